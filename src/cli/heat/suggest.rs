//! `nightpour heat --suggest`: how deep, what dose, in how many layers.

use super::asked::{Asked, of_what};
use super::suggest_json::SuggestJson;
use super::{HeatArgs, HeatError};
use crate::cli::json::print_json;
use crate::cli::page::Page;
use crate::cli::table;
use crate::heat::{Deepest, Doses, SuggestAsk, Suggestion, SweepCell, Way};
use crate::material::Stage;
use crate::report::{Column, ESTIMATE, NOT_RESOLVED, Said, Table, Verdict, hours_words};
use crate::units::Hours;
use std::io::Write;

/// Of the profile's gel time, for who says nothing.
const GEL_WITHIN: f64 = 2.0;

pub(super) fn run(asked: &Asked, args: &HeatArgs, out: &mut impl Write) -> Result<(), HeatError> {
    let wish = SuggestAsk {
        layer: asked.layer,
        limit: args.limit_c.unwrap_or_else(|| asked.limit()),
        gel_within: args.gel_within.unwrap_or_else(|| usual_gel(asked)),
    };
    let suggestion = Suggestion::of(&asked.material, &asked.profile, &wish);
    if args.json {
        return Ok(print_json(&SuggestJson::new(asked, &wish, &suggestion), out)?);
    }
    Ok(out.write_all(text(asked, &wish, &suggestion).as_bytes())?)
}

/// Twice what the profile's gel takes on this bench, or where that never comes, at its reference.
fn usual_gel(asked: &Asked) -> Hours {
    let cure = asked.profile.thermal();
    let gel_h = cure.and_then(|cure| {
        let time = cure.stage(Stage::Gel)?;
        Some(cure.after_h(time, None, &asked.bench(), 0.0).unwrap_or(time.after.value.get()))
    });
    gel_h.and_then(|gel_h| Hours::new(GEL_WITHIN * gel_h).ok()).unwrap_or(Hours::DAY)
}

fn text(asked: &Asked, wish: &SuggestAsk, suggestion: &Suggestion) -> String {
    let said = |about: &str, words: String| Said { about: about.to_owned(), words };
    let dose = wish.layer.dose.map(|dose| format!(" with {dose} of catalyst")).unwrap_or_default();
    let mut page = Page::default();
    page.words("", &format!("{}, {:.1} deep{dose}", asked.profile.name, wish.layer.depth));
    page.said(&[
        said("layer", of_what(asked).to_string()),
        said("bench", format!("{:.1}, and the resin as warm", wish.layer.start)),
        said("limit", if wish.limit == asked.limit() { asked.limit_words() } else { format!("{:.0}", wish.limit) }),
        said("gel within", format!("{} h of its pour", hours_words(wish.gel_within.get()))),
    ]);
    for remark in asked.remarks() {
        page.words("  ! ", &remark);
    }
    page.title("how deep at this dose");
    page.words("  ", &deepest_words(suggestion.deepest, wish));
    if let Some(doses) = &suggestion.doses {
        page.title("what dose at this depth");
        page.words("  ", &dose_words(doses, wish));
    }
    page.title("in how many layers");
    ways(suggestion, wish, &mut page);
    if cells(suggestion).any(|cell| !cell.resolved) {
        page.words("  ! ", NOT_RESOLVED);
    }
    page.line("");
    page.words(
        "",
        "The most is where the prediction meets the limit, and it may be off by 15 % of the rise either way: stay well under \
         it. Each is one layer by itself: on a warm one it gets hotter, and 'nightpour heat' with the piece says how hot.",
    );
    if suggestion.doses.is_some() {
        page.words("", "Raise a dose only within the label.");
    }
    page.words("", ESTIMATE);
    page.finished()
}

fn cells(suggestion: &Suggestion) -> impl Iterator<Item = &SweepCell> {
    let doses = suggestion.doses.iter().flat_map(|doses| doses.weakest.iter().chain(&doses.strongest));
    suggestion
        .deepest
        .iter()
        .map(|deepest| &deepest.cell)
        .chain(doses)
        .chain(suggestion.ways.iter().map(|way| &way.cell))
}

fn deepest_words(deepest: Option<Deepest>, wish: &SuggestAsk) -> String {
    match deepest {
        None => format!("None: even the thinnest layer of the profile gets over {:.0}.", wish.limit),
        Some(Deepest { cell, held: true }) => format!(
            "{:.1}, the profile's deepest, or the deepest looked at: {}. Not deeper, whatever its heat.",
            cell.ask.depth,
            peak_words(&cell)
        ),
        Some(Deepest { cell, held: false }) => format!("{:.1} at the most: {}.", cell.ask.depth, peak_words(&cell)),
    }
}

fn peak_words(cell: &SweepCell) -> String {
    let gel =
        cell.gel_h.map_or_else(|| "it never gels".to_owned(), |gel_h| format!("gel after {} h", hours_words(gel_h)));
    format!("about {:.0} °C, {gel}", cell.peak_c)
}

fn dose_words(doses: &Doses, wish: &SuggestAsk) -> String {
    let percent = |cell: &SweepCell| cell.ask.dose.map(|dose| format!("{dose:.2}")).unwrap_or_default();
    let (time, limit) = (hours_words(wish.gel_within.get()), format!("{:.0}", wish.limit));
    if let Some([weakest, strongest]) = doses.range() {
        return format!(
            "From {} ({}) to {} ({}).",
            percent(&weakest),
            peak_words(&weakest),
            percent(&strongest),
            peak_words(&strongest)
        );
    }
    match (&doses.weakest, &doses.strongest) {
        (None, None) => format!("None: no dose of the profile gels within {time} h, and all get over {limit}."),
        (None, Some(_)) => {
            format!("None: no dose of the profile gels within {time} h. Warm the bench, or wait longer.")
        }
        (Some(_), None) => format!("None: all doses of the profile get over {limit}. Pour thinner."),
        (Some(weakest), Some(strongest)) => format!(
            "None: to gel within {time} h it needs {}, and over {} it gets hotter than {limit}. Pour thinner, or wait longer.",
            percent(weakest),
            percent(strongest)
        ),
    }
}

/// The whole depth at once and in layers, the coolest way last.
fn ways(suggestion: &Suggestion, wish: &SuggestAsk, page: &mut Page) {
    let all = suggestion.ways.as_slice();
    let cells = |of: &dyn Fn(&Way) -> String| all.iter().map(of).collect::<Vec<_>>();
    let column = |group, head, unit, cells| Column { group, head, unit, cells };
    let verdict = |way: &Way| Verdict::of(way.cell.peak_c, way.cell.ask.start.get(), wish.limit.get());
    let mut columns = vec![
        column("", "layers", "", cells(&|way| way.layers.to_string())),
        column("", "each", "mm", cells(&|way| format!("{:.1}", way.cell.ask.depth.get()))),
        column(
            "",
            "dose",
            "%",
            cells(&|way| way.cell.ask.dose.map(|dose| format!("{:.2}", dose.get())).unwrap_or_default()),
        ),
        column("", "peak", "°C", cells(&|way| format!("{:.0}", way.cell.peak_c))),
        column("", "gel", "h:min", cells(&|way| way.cell.gel_h.map(hours_words).unwrap_or_default())),
        column("", "", "", cells(&|way| verdict(way).word().to_owned())),
    ];
    columns.retain(|column| column.head == "layers" || column.cells.iter().any(|cell| !cell.is_empty()));
    if !all.is_empty() {
        for line in table::lines(&Table { columns }) {
            page.line(&line);
        }
        page.line("");
    }
    let time = hours_words(wish.gel_within.get());
    match (suggestion.fewest(), suggestion.coolest()) {
        (Some(fewest), Some(coolest)) => {
            page.words("  ", &format!("Fewest within the limit: {}.", way_words(&fewest)));
            page.words("  ", &format!("Coolest: {}.", way_words(&coolest)));
        }
        _ if all.is_empty() => page.words("  ", &format!("None: in no number of layers does it gel within {time} h.")),
        _ => page.words("  ", &format!("None of these stays within {:.0}.", wish.limit)),
    }
}

fn way_words(way: &Way) -> String {
    let dose = way.cell.ask.dose.map(|dose| format!(" with {dose:.2}")).unwrap_or_default();
    format!("{}{dose}, {}", layers_words(way), peak_words(&way.cell))
}

fn layers_words(way: &Way) -> String {
    match way.layers {
        1 => "all at once".to_owned(),
        layers => format!("{layers} layers of {:.1}", way.cell.ask.depth),
    }
}
