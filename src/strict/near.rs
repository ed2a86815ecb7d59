//! Near misses: what somebody probably meant.

/// The candidate closest to `given`, if close enough to be a slip of the finger: at most a third of its characters
/// differ (Damerau-Levenshtein), letters compared without case and with `-`, `_` and blanks taken as one.
pub fn nearest<'c>(given: &str, candidates: impl IntoIterator<Item = &'c str>) -> Option<&'c str> {
    let fold = |text: &str| text.trim().to_lowercase().replace([' ', '-'], "_");
    let wanted = fold(given);
    let most = (wanted.chars().count() / 3).max(1);
    candidates
        .into_iter()
        .map(|candidate| (strsim::damerau_levenshtein(&wanted, &fold(candidate)), candidate))
        .filter(|&(distance, candidate)| distance <= most && distance < candidate.chars().count())
        .min_by_key(|&(distance, _)| distance)
        .map(|(_, candidate)| candidate)
}

#[cfg(test)]
mod tests {
    use super::nearest;

    #[test]
    fn slips_are_found_and_other_words_are_not() {
        let keys = ["floor_c", "ceiling_c", "from"];
        assert_eq!(nearest("floor-C", keys), Some("floor_c"));
        assert_eq!(nearest("cieling_c", keys), Some("ceiling_c"));
        assert_eq!(nearest("form", keys), Some("from"));
        assert_eq!(nearest("viscosity", keys), None);
        assert_eq!(nearest("", keys), None);
    }
}
