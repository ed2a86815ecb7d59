//! The looks one by one, and those that are not used.

use super::shop::Shop;
use super::words;
use crate::cli::page::Page;
use crate::cli::table;
use crate::learn::{Insight, Logged};
use crate::report::{Column, Table};
use jiff::tz::TimeZone;

/// The looks that pull most are shown; more than this nobody reads at once.
const MOST_SHOWN: usize = 24;
/// Less trust than this is said beside the look.
const DOUBTED: f64 = 0.5;

/// The looks with what each says against the fit, those that pull most first.
pub(super) fn table(page: &mut Page, shop: &Shop) {
    let mut rows: Vec<(&Logged, Insight)> =
        shop.used().map(|(logged, place)| (logged, shop.fit.insight(place))).collect();
    rows.sort_by(|a, b| b.1.pull.abs().total_cmp(&a.1.pull.abs()));
    let all = rows.len();
    rows.truncate(MOST_SHOWN);
    page.title("The looks, those that pull most first");
    let cells = |cell: &dyn Fn(&Logged, &Insight) -> String| rows.iter().map(|(l, i)| cell(l, i)).collect();
    let hours = |hours: Option<f64>| hours.map_or("-".to_owned(), words::hours);
    let column = |group, head, unit, cells| Column { group, head, unit, cells };
    let columns = vec![
        column(
            "",
            "of",
            "",
            cells(&|logged, _| format!("{}{}", words::from(logged.from), if logged.trial { " trial" } else { "" })),
        ),
        column("", "stage", "", cells(&|logged, _| logged.look.stage.key().to_owned())),
        column("seen", "not yet", "", cells(&|logged, _| hours(logged.look.after_h))),
        column("seen", "there", "", cells(&|logged, _| hours(logged.look.by_h))),
        column("seen", "at", "°C", cells(&|_, insight| format!("{:.1}", insight.celsius))),
        column(
            "seen",
            "dose",
            "%",
            cells(&|logged, _| logged.look.dose.map_or("-".to_owned(), |dose| format!("{:.2}", dose.get()))),
        ),
        column("against the fit", "off", "sd", cells(&|_, insight| format!("{:+.1}", insight.residual))),
        column("against the fit", "pulls", "%", cells(&|_, insight| format!("{:+.1}", insight.pull * 100.0))),
        column(
            "against the fit",
            "slip?",
            "",
            cells(&|_, insight| {
                if insight.trust < DOUBTED { "likely".to_owned() } else { String::new() }
            }),
        ),
    ];
    for line in table::lines(&Table { columns }) {
        page.line(&line);
    }
    if all > rows.len() {
        page.words("  ", &format!("… and {} that pull less; --json has them all.", all - rows.len()));
    }
    page.line("");
    page.words(
        "  ",
        "off: standard deviations later (+) or earlier (-) than likely. pulls: what its stage's time moves by \
        because of it. A likely slip hardly counts; look at it, and undo it if it is one.",
    );
}

/// What is not used, and why.
pub(super) fn left_out(page: &mut Page, shop: &Shop, zone: &TimeZone) {
    if shop.left_out() == 0 {
        return;
    }
    page.title("Set aside");
    for aside in &shop.gathered.set_aside {
        let entries: Vec<String> = aside.entries.iter().map(|entry| entry.0.to_string()).collect();
        let lead = format!("  {} {} (entry {}): ", words::from(aside.from), aside.title, entries.join(", "));
        page.words("  ", &format!("{}{}", lead.trim_start(), words::why(aside.why, zone)));
    }
    for (logged, reason) in shop.silent() {
        let name = format!("{} {}", words::from(logged.from), logged.title);
        page.words("  ", &format!("{name}, {}: {}", logged.look.stage.words(), words::tells_nothing(reason)));
    }
}
