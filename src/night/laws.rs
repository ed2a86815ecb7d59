//! How the stages of a pour are distributed that is still to come: by its slot, its bed and its dose.

use super::ask::AWAY;
use super::timeline::{Ages, Grid, Timeline};
use crate::cure::{StageDoubt, StageModel, normal_quantile, normal_share};
use crate::material::{Mixing, Stage, StageTime};
use crate::pour::DoseOption;
use crate::units::{Celsius, DosePercent, Hours};
use std::cell::{Cell, OnceCell};

/// One dose of one layer on one bed, on a cool and on a warm bench.
#[derive(Debug, Clone, Copy)]
pub(super) struct Between<'a> {
    pub cool: (f64, &'a DoseOption),
    pub warm: (f64, &'a DoseOption),
}

/// ln(share of its plain age that a stage needs with the resin's own heat), on a cool and on a warm bench.
type Shares = [f64; 2];

/// What a stage of a pour stands on, whatever the slot.
#[derive(Debug)]
struct Track<'a> {
    time: &'a StageTime,
    ages: &'a Ages,
    shares: Shares,
    /// The standard deviation of ln(age) for a pour at every so many slots; found when it is asked for.
    sds: Vec<OnceCell<f64>>,
}

/// The spread of a stage changes slowly with the hour of the pour: it is worked out once an hour, and lies on the line between.
const SD_EVERY: usize = 12;

/// One dose of one layer on one bed.
#[derive(Debug)]
pub(super) struct Pour<'a> {
    line: &'a Timeline<'a>,
    pub between: Between<'a>,
    /// Another dose than that of the option, whose heat is taken for it.
    dose: Option<DosePercent>,
    /// ln of the option's doses, on the cool and on the warm bench.
    doses_ln: Option<[f64; 2]>,
    limits: Option<(DosePercent, DosePercent)>,
    /// Of the slot that was asked for last: several stages are asked for one after another.
    slower: Cell<(usize, f64)>,
    tracks: Vec<Track<'a>>,
}

/// ln(age) of one stage, normal: its median is `age_h` after the age at the pour, hours at the reference temperature.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct AgeLaw {
    pub age_h: f64,
    pub sd: f64,
}

impl AgeLaw {
    /// By which age it is there with the chance whose standard normal value is `z`.
    pub fn age_at_z(&self, z: f64) -> f64 {
        self.age_h * (self.sd * z).exp()
    }

    /// The chance that it is there at an age.
    pub fn by(&self, age_h: f64) -> f64 {
        if age_h <= 0.0 { 0.0 } else { normal_share((age_h / self.age_h).ln() / self.sd) }
    }
}

impl<'a> Pour<'a> {
    pub fn new(line: &'a Timeline<'a>, between: Between<'a>) -> Self {
        let tracks = line.cure.stages.iter().map(|time| {
            let share = |(c, option): (f64, &DoseOption)| own_share(line, time, c, option).unwrap_or(0.0);
            let nodes = line.grid.slots / SD_EVERY + 2;
            Track {
                time,
                ages: line.ages_of(time),
                shares: [share(between.cool), share(between.warm)],
                sds: (0..nodes).map(|_| OnceCell::new()).collect(),
            }
        });
        let limits = match &line.ask.profile.mixing {
            Mixing::Catalysed { min, max, .. } => Some((min.value, max.value)),
            Mixing::TwoPart { .. } | Mixing::OnePart => None,
        };
        let doses = between.cool.1.dose.zip(between.warm.1.dose);
        let doses_ln = doses.map(|(cool, warm)| [cool.get().ln(), warm.get().ln()]);
        let slower = Cell::new((usize::MAX, 1.0));
        Self { line, between, dose: None, doses_ln, limits, slower, tracks: tracks.collect() }
    }

    /// The same layer at another dose, which is near that of its option.
    pub fn at_dose(line: &'a Timeline<'a>, between: Between<'a>, dose: DosePercent) -> Self {
        Self { dose: Some(dose), ..Self::new(line, between) }
    }

    /// Steps from the planned dose.
    pub fn away(&self) -> u16 {
        AWAY.get(self.between.cool.1.factor).copied().unwrap_or(0)
    }

    /// How far from the cool to the warm bench it is at a slot, from 0 to 1.
    fn share(&self, slot: usize) -> f64 {
        let (cool, warm) = (self.between.cool.0, self.between.warm.0);
        if warm > cool { ((self.line.celsius[slot] - cool) / (warm - cool)).clamp(0.0, 1.0) } else { 0.0 }
    }

    /// Poured at a slot: to hundredths, as it is weighed.
    pub fn dose(&self, slot: usize) -> Option<DosePercent> {
        if self.dose.is_some() {
            return self.dose;
        }
        let [cool, warm] = self.doses_ln?;
        let dose = (cool + self.share(slot) * (warm - cool)).exp();
        let dose = DosePercent::new((dose * 100.0).round() / 100.0).ok()?;
        let (least, most) = self.limits?;
        let meant = if dose < least {
            least
        } else if dose > most {
            most
        } else {
            dose
        };
        let strength = self.line.ask.options.strength;
        if strength < 1.0 { DosePercent::new(meant.get() * strength).ok() } else { Some(meant) }
    }

    /// How much longer all takes with that dose.
    fn slower(&self, slot: usize) -> f64 {
        let (of, slower) = self.slower.get();
        if of == slot {
            return slower;
        }
        let slower = self.line.cure.slower_at(self.dose(slot));
        self.slower.set((slot, slower));
        slower
    }

    /// The peak the heat model makes of it, °C.
    pub fn peak_c(&self, slot: usize) -> Option<f64> {
        let (cool, warm) = (self.between.cool.1.peak_c?, self.between.warm.1.peak_c?);
        Some(cool + self.share(slot) * (warm - cool))
    }

    /// A stage of the pour at `slot`; `None` where the profile has none.
    pub fn law(&self, slot: usize, stage: Stage) -> Option<AgeLaw> {
        let track = self.tracks.iter().find(|track| track.time.stage == stage)?;
        let age_h = self.age_h(track, slot);
        let (node, between) = (slot / SD_EVERY, (slot % SD_EVERY) as f64 / SD_EVERY as f64);
        let [before, after] =
            [node, node + 1].map(|node| *track.sds[node].get_or_init(|| self.sd(track, node * SD_EVERY)));
        Some(AgeLaw { age_h, sd: before + between * (after - before) })
    }

    /// The age at which half of all such pours at `slot` have reached the stage.
    fn age_h(&self, track: &Track<'_>, slot: usize) -> f64 {
        let [cool, warm] = track.shares;
        let own = if cool.abs() + warm.abs() > 0.0 { (cool + self.share(slot) * (warm - cool)).exp() } else { 1.0 };
        track.time.after.value.get() * self.slower(slot) * own
    }

    fn sd(&self, track: &Track<'_>, slot: usize) -> f64 {
        let (line, time) = (self.line, track.time);
        let slot = slot.min(line.grid.slots - 1);
        let Ok(age) = Hours::new(self.age_h(track, slot)) else { return 0.0 };
        let strength = line.cure.strength(self.dose(slot));
        let doubt = line.cure.learned_of(time.stage).map(|learned| StageDoubt { doubt: learned.doubt, strength });
        let model = StageModel { age, spread: time.spread.value, least_c: None, doubt };
        let poured_h = Grid::hour(slot);
        let likely_h = track.ages.curve.reach(track.ages.at[slot] + age.get()).unwrap_or(poured_h + age.get());
        let sd_c = line.ask.bench.outlook.mean_temperature_sd_between_c(poured_h, likely_h);
        model.log_sd(&track.ages.curve, likely_h - poured_h, sd_c)
    }

    /// The clock hour at which a stage of the pour at `slot` is there with the chance `p`; `None` where it never is.
    pub fn reach_h(&self, slot: usize, stage: Stage, p: f64) -> Option<f64> {
        self.reach_at_z(slot, stage, normal_quantile(p))
    }

    /// The same for the chance below the standard normal value `z`.
    pub fn reach_at_z(&self, slot: usize, stage: Stage, z: f64) -> Option<f64> {
        let law = self.law(slot, stage)?;
        let time = self.line.cure.stage(stage)?;
        let ages = self.line.ages_of(time);
        let age_h = ages.at[slot] + law.age_at_z(z);
        ages.curve.reach_where_warm(age_h, self.line.cure.warmth_for(time))
    }

    /// Whether its cup stays usable until it is poured, but for the risk that is taken.
    pub fn can_be_poured(&self, slot: usize) -> bool {
        let Some(law) = self.law(slot, Stage::PotLife) else { return true };
        let Some(time) = self.line.cure.stage(Stage::PotLife) else { return true };
        let ages = self.line.ages_of(time);
        law.by(ages.poured_at[slot] - ages.at[slot]) <= self.line.ask.rules.risk
    }
}

/// ln of the share of its plain age by the bench at which a stage comes with the resin's own heat, on a bench that stays so.
fn own_share(line: &Timeline<'_>, time: &StageTime, c: f64, option: &DoseOption) -> Option<f64> {
    let rate = |time: &StageTime| line.cure.rule_of(time).rate(c);
    let plain_h =
        |time: &StageTime| Some(line.cure.age(time, option.dose).get() / rate(time)).filter(|h| h.is_finite());
    let own_h = |stage: Stage| option.stages_h.iter().find(|(of, _)| *of == stage).map(|(_, at_h)| *at_h);
    let share = line.cure.own_h(time, own_h, plain_h)? / plain_h(time)?;
    Some(share.ln()).filter(|ln| ln.is_finite() && Celsius::new(c).is_ok())
}
