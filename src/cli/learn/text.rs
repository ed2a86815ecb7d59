//! What `learn MATERIAL` says.

use super::chart::charts;
use super::looks;
use super::shop::Shop;
use super::words;
use crate::cli::look::Look as Terminal;
use crate::cli::page::Page;
use crate::cli::shared::Desk;
use crate::cli::table;
use crate::cli::words::duration;
use crate::fit::padded;
use crate::learn::{Gathered, Trial, Verdict};
use crate::report::{Column, ESTIMATE, Table};

const NAME: usize = 16;

pub(super) fn text(shop: &Shop, desk: &Desk, terminal: Terminal) -> String {
    let mut page = Page::default();
    head(&mut page, shop);
    stages(&mut page, shop);
    rules(&mut page, shop);
    if shop.fit.looks() > 0 {
        charts(&mut page, shop, terminal);
        looks::table(&mut page, shop);
    }
    looks::left_out(&mut page, shop, &desk.zone);
    trial(&mut page, shop);
    last(&mut page, shop);
    page.finished()
}

fn head(page: &mut Page, shop: &Shop) {
    let (id, name) = (shop.id(), &shop.item.profile.name);
    let looks = counted(shop.fit.looks(), "look", "looks");
    let aside = match shop.left_out() {
        0 => String::new(),
        more => format!(", {more} set aside"),
    };
    page.words("", &format!("{id}: {name}, as this shop has it: {looks}{}{aside}.", of_what(&shop.gathered)));
}

/// What the looks are of.
pub(super) fn of_what(gathered: &Gathered) -> String {
    let batches = format!(" at {}", counted(gathered.batches(), "batch", "batches"));
    match (gathered.batches(), gathered.remembered()) {
        (_, 0) => batches,
        (0, _) => " from before the notebook".to_owned(),
        (_, remembered) => format!("{batches} and {remembered} from before the notebook"),
    }
}

pub(super) fn counted(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

fn stages(page: &mut Page, shop: &Shop) {
    let label = &shop.label;
    let dose = label.reference_dose.map(|dose| format!(", {}", dose.value)).unwrap_or_default();
    page.title(&format!("Times at {}{dose}", label.reference_temperature.value));
    let places = 0..shop.fit.model.stages.len();
    let cells = |cell: &dyn Fn(usize) -> String| places.clone().map(cell).collect();
    let column = |group, head, unit, cells| Column { group, head, unit, cells };
    let term = |place: usize| &shop.fit.model.stages[place];
    let known = |place: usize| !matches!(shop.fit.stages[place], Verdict::Label);
    let columns = vec![
        column("", "stage", "", cells(&|place| term(place).stage.key().to_owned())),
        column("label", "after", "", cells(&|place| duration(term(place).label))),
        column("this shop", "after", "", cells(&|place| duration(shop.fit.after(place)))),
        column("this shop", "factor", "", cells(&|place| format!("{:.2}", shop.fit.factor(place).0))),
        column(
            "this shop",
            "±",
            "%",
            cells(&|place| {
                if known(place) {
                    format!("{:.0}", (shop.fit.factor(place).1.exp() - 1.0) * 100.0)
                } else {
                    "-".to_owned()
                }
            }),
        ),
        column(
            "",
            "looks",
            "",
            cells(&|place| match shop.fit.stages[place] {
                Verdict::Learned { looks } => looks.to_string(),
                Verdict::GoesAlong => "along".to_owned(),
                Verdict::Label => "label".to_owned(),
                Verdict::CannotTell(_) => "?".to_owned(),
            }),
        ),
    ];
    for line in table::lines(&Table { columns }) {
        page.line(&line);
    }
    page.line("");
    page.words(
        "  ",
        "± is how far the factor may still be off (one standard deviation). along: nobody looked for it, it \
        goes with the others. ?: look once shortly before it and once shortly after.",
    );
}

fn rules(page: &mut Page, shop: &Shop) {
    page.title("What moves them");
    let row = |page: &mut Page, name: &str, words: &str| page.words(&format!("  {}  ", padded(name, NAME)), words);
    for (place, term) in shop.fit.model.rules.iter().enumerate() {
        let (name, was) = words::law(term.law());
        let verdict = shop.fit.rules[place];
        let whose = term.of.map(|stage| format!(" of '{stage}'")).unwrap_or_default();
        let (rule, sd) = shop.fit.rule(place);
        let now = match verdict {
            Verdict::Learned { .. } => format!(
                "{} (may be {}), the label's is {was}; ",
                words::law(rule.law).1,
                words::law_range(rule.law, sd)
            ),
            _ => format!("{was}, "),
        };
        row(page, &format!("{name}{whose}"), &format!("{now}{}", words::verdict(verdict)));
    }
    if let (Some(dose), Some(verdict), Some((n, sd))) = (shop.fit.model.dose, shop.fit.dose, shop.fit.exponent()) {
        let now = match verdict {
            Verdict::Learned { .. } => format!("{n:.2} ± {sd:.2}, the label's is {:.2}; ", dose.exponent),
            _ => format!("{:.2}, ", dose.exponent),
        };
        row(page, "dose exponent", &format!("{now}{}", words::verdict(verdict)));
    }
    if let Some(place) = most_looked_for(shop) {
        let (term, label) = (&shop.fit.model.stages[place], &shop.label);
        let was =
            label.stage(term.stage).map_or(String::new(), |time| format!(", the label's ×{}", time.spread.value.get()));
        let late = shop.fit.spread_factor(place).get();
        let verdict = words::verdict(shop.fit.spread);
        row(page, "batch to batch", &format!("late is ×{late:.2} for {}{was}; {verdict}", term.stage.key()));
    }
}

/// The place of the stage with the most looks.
fn most_looked_for(shop: &Shop) -> Option<usize> {
    let looks = |place: &usize| match shop.fit.stages[*place] {
        Verdict::Learned { looks } => looks,
        _ => 0,
    };
    (0..shop.fit.model.stages.len()).max_by_key(looks)
}

fn trial(page: &mut Page, shop: &Shop) {
    let Some(best) = shop.best_trial() else { return };
    page.title("The trial cup that would tell most");
    page.words("  ", &trial_words(shop, &best));
    if let Some(here) = shop.best_trial_here() {
        page.words("  ", &format!("On the bench as it is: {}", trial_words(shop, &here)));
    }
    page.words("  ", "A small cup, watched, with what the label allows; a strong dose on a warm bench gets hot.");
}

fn trial_words(shop: &Shop, trial: &Trial) -> String {
    let dose = trial.dose.map(|dose| format!(" with {dose:.2} catalyst")).unwrap_or_default();
    let waits: Vec<String> =
        trial.stages.iter().map(|(stage, hours)| format!("{} about {}", stage.words(), words::hours(*hours))).collect();
    let percent = |sd: f64| format!("{:.0} %", (sd.exp() - 1.0) * 100.0);
    let mut told = Vec::new();
    if let Some(place) = trial.stages.first().and_then(|(stage, _)| shop.fit.model.place(*stage)) {
        let stage = shop.fit.model.stages[place].stage;
        let (before, after) = (percent(shop.fit.factor(place).1), percent(trial.stage_sd(&shop.fit, place)));
        if before != after {
            told.push(format!("{} from ±{before} to ±{after}", stage.words()));
        }
    }
    let (rule, sd) = shop.fit.rule(0);
    let name = words::law(rule.law).0;
    let (before, after) = (words::law_range(rule.law, sd), words::law_range(rule.law, trial.rule_sd(&shop.fit, 0)));
    told.push(format!("{name} from {before} to {after}"));
    if let (Some((_, before)), Some(after)) = (shop.fit.exponent(), trial.dose_sd(&shop.fit)) {
        told.push(format!("the dose exponent from ±{before:.2} to ±{after:.2}"));
    }
    format!("at {:.0} °C{dose}: {}. It would narrow {}.", trial.celsius, waits.join(", "), told.join(", "))
}

fn last(page: &mut Page, shop: &Shop) {
    page.line("");
    if shop.fit.looks() > 0 {
        let id = shop.id();
        page.words("", &format!("'nightpour learn {id} --apply' writes this into your profile; '--back' undoes that."));
    }
    page.words("", ESTIMATE);
}
