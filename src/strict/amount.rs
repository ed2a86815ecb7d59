//! Units as they are written by hand, and the figure meant when the wrong one was used.
//!
//! Files carry the unit in the key (`floor_c`, `depth_mm`). When somebody writes `floor_f = 55` or
//! `floor_c = "13 °C"`, this says which figure belongs there.

/// What a unit measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Measure {
    Temperature,
    Length,
    Mass,
    Volume,
    Share,
    Density,
    Energy,
    Price,
    Time,
    SpecificHeat,
    Conductivity,
    PerDegree,
}

/// A unit: how it is spelled, and its size against its measure's first unit (`base = figure * scale + offset`).
#[derive(Debug, PartialEq)]
pub(super) struct Unit {
    pub measure: Measure,
    pub symbol: &'static str,
    /// Lower case; those of letters, digits and `_` alone also count as the ending of a key.
    spellings: &'static [&'static str],
    scale: f64,
    offset: f64,
}

const fn unit(measure: Measure, symbol: &'static str, spellings: &'static [&'static str], scale: f64) -> Unit {
    Unit { measure, symbol, spellings, scale, offset: 0.0 }
}

const UNITS: [Unit; 41] = [
    unit(Measure::Temperature, "°C", &["c", "°c", "deg_c", "degc", "celsius"], 1.0),
    Unit {
        measure: Measure::Temperature,
        symbol: "°F",
        spellings: &["f", "°f", "deg_f", "degf", "fahrenheit"],
        scale: 5.0 / 9.0,
        offset: -160.0 / 9.0,
    },
    Unit { measure: Measure::Temperature, symbol: "K", spellings: &["k", "kelvin"], scale: 1.0, offset: -273.15 },
    unit(Measure::Length, "mm", &["mm", "millimetres", "millimeters"], 1.0),
    unit(Measure::Length, "cm", &["cm", "centimetres", "centimeters"], 10.0),
    unit(Measure::Length, "dm", &["dm"], 100.0),
    unit(Measure::Length, "m", &["m", "metres", "meters"], 1000.0),
    unit(Measure::Length, "inches", &["in", "inch", "inches", "\"", "″"], 25.4),
    unit(Measure::Mass, "g", &["g", "gram", "grams"], 1.0),
    unit(Measure::Mass, "mg", &["mg"], 0.001),
    unit(Measure::Mass, "kg", &["kg", "kilos"], 1000.0),
    unit(Measure::Mass, "oz", &["oz", "ounce", "ounces"], 28.349_523_125),
    unit(Measure::Mass, "lb", &["lb", "lbs", "pound", "pounds"], 453.592_37),
    unit(Measure::Volume, "mL", &["ml", "cm3", "cm³", "cc"], 1.0),
    unit(Measure::Volume, "cL", &["cl"], 10.0),
    unit(Measure::Volume, "dL", &["dl"], 100.0),
    unit(Measure::Volume, "L", &["l", "litres", "liters"], 1000.0),
    unit(Measure::Volume, "US fl oz", &["fl_oz", "floz", "fl oz"], 29.573_529_562_5),
    unit(Measure::Share, "%", &["percent", "%", "pct", "per cent"], 1.0),
    unit(Measure::Share, "of 1", &["fraction"], 100.0),
    unit(Measure::Density, "g/mL", &["g_per_ml", "g/ml", "g_per_cm3", "g/cm3", "g/cm³", "kg_per_l", "kg/l"], 1.0),
    unit(Measure::Density, "kg/m³", &["kg_per_m3", "kg/m3", "kg/m³"], 0.001),
    unit(Measure::Density, "lb/US gal", &["lb_per_gal", "lb/gal"], 0.119_826_427),
    unit(Measure::Energy, "kJ/mol", &["kj_per_mol", "kj/mol"], 1.0),
    unit(Measure::Energy, "kcal/mol", &["kcal_per_mol", "kcal/mol"], 4.184),
    unit(Measure::Price, "money per kg", &["per_kg", "/kg", "per kg"], 1.0),
    unit(Measure::Price, "money per g", &["per_g", "/g", "per g"], 1000.0),
    unit(Measure::Price, "money per oz", &["per_oz", "/oz", "per oz"], 1000.0 / 28.349_523_125),
    unit(Measure::Price, "money per lb", &["per_lb", "/lb", "per lb"], 1.0 / 0.453_592_37),
    unit(Measure::Time, "s", &["s", "sec", "secs", "seconds"], 1.0),
    unit(Measure::Time, "m", &["min", "mins", "minutes", "m"], 60.0),
    unit(Measure::Time, "h", &["h", "hr", "hrs", "hours", "hour"], 3600.0),
    unit(Measure::Time, "d", &["d", "day", "days"], 86_400.0),
    unit(Measure::Time, "w", &["w", "week", "weeks"], 604_800.0),
    unit(Measure::SpecificHeat, "J/gK", &["j_per_gk", "j/gk", "j/(gk)", "kj_per_kgk", "kj/kgk", "kj/(kgk)"], 1.0),
    unit(Measure::SpecificHeat, "J/kgK", &["j_per_kgk", "j/kgk", "j/(kgk)"], 0.001),
    unit(Measure::SpecificHeat, "cal/g°C", &["cal_per_gc", "cal_per_gk", "cal/g°c", "cal/gk"], 4.184),
    unit(Measure::Conductivity, "W/mK", &["w_per_mk", "w/mk", "w/(mk)"], 1.0),
    unit(Measure::Conductivity, "mW/mK", &["mw_per_mk", "mw/mk", "mw/(mk)"], 0.001),
    unit(Measure::PerDegree, "per °C", &["per_c", "per_k", "/c", "/°c", "/k", "per °c"], 1.0),
    unit(Measure::PerDegree, "per °F", &["per_f", "/f", "/°f", "per °f"], 1.8),
];

/// Splits a key into its stem and every unit its ending can mean, the longest ending first: `floor_f` is `floor`, °F.
pub(super) fn endings(key: &str) -> Vec<(&str, &'static Unit)> {
    let mut found: Vec<(&str, &'static Unit)> = UNITS
        .iter()
        .flat_map(|unit| unit.spellings.iter().map(move |spelling| (unit, *spelling)))
        .filter_map(|(unit, spelling)| Some((key.strip_suffix(spelling)?.strip_suffix('_')?, unit)))
        .filter(|(stem, _)| !stem.is_empty())
        .collect();
    found.sort_by_key(|(stem, _)| stem.len());
    found
}

/// The unit a key of ours ends in, if it ends in one.
pub(super) fn of_key(key: &str) -> Option<&'static Unit> {
    endings(key).first().map(|&(_, unit)| unit)
}

/// Reads "55F", "13 °C", "13,5" or "13": the figure, and the unit word behind it (lower case, perhaps empty).
pub(super) fn split(text: &str) -> Option<(f64, String)> {
    let text = text.trim();
    let end = text.find(|c: char| !matches!(c, '0'..='9' | '.' | ',' | '-' | '+' | '_')).unwrap_or(text.len());
    let figure: f64 = text[..end].replace(',', ".").replace('_', "").parse().ok()?;
    figure.is_finite().then(|| (figure, text[end..].trim().to_lowercase()))
}

/// `figure` in the unit spelled `word`, as a figure in `target`; `None` when the word is no unit of that measure.
pub(super) fn convert_word(figure: f64, word: &str, target: &Unit) -> Option<f64> {
    let unit = UNITS.iter().find(|unit| unit.measure == target.measure && unit.spellings.contains(&word))?;
    Some(convert(figure, unit, target))
}

/// `figure` of unit `given` as a figure of `target`, both of one measure.
pub(super) fn convert(figure: f64, given: &Unit, target: &Unit) -> f64 {
    (figure * given.scale + given.offset - target.offset) / target.scale
}

/// A figure as it would be typed: at most four decimals, none that say nothing.
pub fn typed(figure: f64) -> String {
    let size = figure.abs();
    let text = if size < 1.0 { format!("{figure:.4}") } else { format!("{figure:.2}") };
    let short = text.trim_end_matches('0').trim_end_matches('.');
    if matches!(short, "-0" | "") { "0".to_owned() } else { short.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn converted(text: &str, key: &str) -> Option<String> {
        let (figure, word) = split(text)?;
        convert_word(figure, &word, of_key(key)?).map(typed)
    }

    #[test]
    fn wrong_units_become_the_figure_meant() {
        // 55 °F = 12.78 °C, 1 in = 25.4 mm and 1 lb = 453.59237 g: exact by the definitions of 1959.
        assert_eq!(converted("55F", "floor_c").as_deref(), Some("12.78"));
        assert_eq!(converted("13 °C", "floor_c").as_deref(), Some("13"));
        assert_eq!(converted("293.15 K", "floor_c").as_deref(), Some("20"));
        assert_eq!(converted("1/2 in", "layer_min_mm"), None);
        assert_eq!(converted("0.5 in", "layer_min_mm").as_deref(), Some("12.7"));
        assert_eq!(converted("2 lb", "batch_max_g").as_deref(), Some("907.18"));
        assert_eq!(converted("1130 kg/m3", "density_g_per_ml").as_deref(), Some("1.13"));
        assert_eq!(converted("5 mm", "batch_max_g"), None);
        assert_eq!(converted("10 /lb", "resin_per_kg").as_deref(), Some("22.05"), "per mass, so the other way round");
    }

    #[test]
    fn the_longest_ending_names_the_unit() {
        assert_eq!(of_key("density_g_per_ml").map(|unit| unit.symbol), Some("g/mL"));
        assert_eq!(of_key("after"), None);
        let (stem, unit) = endings("after_min")[0];
        assert_eq!((stem, unit.measure), ("after", Measure::Time));
        assert!(endings("layer_m").iter().any(|(_, unit)| unit.measure == Measure::Time));
    }
}
