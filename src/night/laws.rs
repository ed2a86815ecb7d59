//! How the stages of a pour are distributed that is still to come: by its slot, its bed and its dose.

use super::ask::AWAY;
use super::timeline::{Grid, Timeline};
use crate::cure::{StageDoubt, StageModel, normal_quantile, normal_share};
use crate::material::{Stage, StageTime};
use crate::pour::DoseOption;
use crate::units::{Celsius, DosePercent, Hours};

/// One dose of one layer on one bed, on a cool and on a warm bench.
#[derive(Debug, Clone, Copy)]
pub(super) struct Between<'a> {
    pub cool: (f64, &'a DoseOption),
    pub warm: (f64, &'a DoseOption),
}

/// ln(share of its plain age that a stage needs with the resin's own heat), on a cool and on a warm bench.
type Shares = [f64; 2];

/// What does not depend on the slot.
#[derive(Debug)]
pub(super) struct Pour<'a> {
    line: &'a Timeline<'a>,
    pub between: Between<'a>,
    /// Another dose than that of the option, whose heat is taken for it.
    dose: Option<DosePercent>,
    limits: Option<(DosePercent, DosePercent)>,
    shares: Vec<(Stage, Shares)>,
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
        let shares = line.cure.stages.iter().map(|time| {
            let share = |(c, option): (f64, &DoseOption)| own_share(line, time, c, option).unwrap_or(0.0);
            (time.stage, [share(between.cool), share(between.warm)])
        });
        let limits = match &line.ask.profile.mixing {
            crate::material::Mixing::Catalysed { min, max, .. } => Some((min.value, max.value)),
            _ => None,
        };
        Self { line, between, dose: None, limits, shares: shares.collect() }
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
        let [cool, warm] = [self.between.cool.1.dose?, self.between.warm.1.dose?].map(|dose| dose.get().ln());
        let dose = (cool + self.share(slot) * (warm - cool)).exp();
        let dose = DosePercent::new((dose * 100.0).round() / 100.0).ok()?;
        let (least, most) = self.limits?;
        Some(if dose < least {
            least
        } else if dose > most {
            most
        } else {
            dose
        })
    }

    /// The peak the heat model makes of it, °C.
    pub fn peak_c(&self, slot: usize) -> Option<f64> {
        let (cool, warm) = (self.between.cool.1.peak_c?, self.between.warm.1.peak_c?);
        Some(cool + self.share(slot) * (warm - cool))
    }

    /// A stage of the pour at `slot`; `None` where the profile has none.
    pub fn law(&self, slot: usize, stage: Stage) -> Option<AgeLaw> {
        let cure = self.line.cure;
        let time = cure.stage(stage)?;
        let [cool, warm] = self.shares.iter().find(|(of, _)| *of == stage)?.1;
        let own = (cool + self.share(slot) * (warm - cool)).exp();
        let dose = self.dose(slot);
        let age = Hours::new(cure.age(time, dose).get() * own).ok()?;
        let doubt =
            cure.learned_of(stage).map(|learned| StageDoubt { doubt: learned.doubt, strength: cure.strength(dose) });
        let model = StageModel { age, spread: time.spread.value, least_c: None, doubt };
        let ages = self.line.ages_of(time);
        let poured_h = Grid::hour(slot);
        let likely_h = ages.curve.reach(ages.at[slot] + age.get()).unwrap_or(poured_h + age.get());
        let sd_c = self.line.ask.bench.outlook.mean_temperature_sd_between_c(poured_h, likely_h);
        Some(AgeLaw { age_h: age.get(), sd: model.log_sd(&ages.curve, likely_h - poured_h, sd_c) })
    }

    /// The clock hour at which a stage of the pour at `slot` is there with the chance `p`; `None` where it never is.
    pub fn reach_h(&self, slot: usize, stage: Stage, p: f64) -> Option<f64> {
        let law = self.law(slot, stage)?;
        let time = self.line.cure.stage(stage)?;
        let ages = self.line.ages_of(time);
        let age_h = ages.at[slot] + law.age_at_z(normal_quantile(p));
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
