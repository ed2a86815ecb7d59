//! Layers that share something, said in one go.

use std::fmt::Write;

/// `items` gathered by what `key` says of them, in the order in which each key first comes.
pub(super) fn gathered<T, K: PartialEq>(items: impl IntoIterator<Item = T>, key: impl Fn(&T) -> K) -> Vec<(K, Vec<T>)> {
    let mut groups: Vec<(K, Vec<T>)> = Vec::new();
    for item in items {
        let its = key(&item);
        match groups.iter_mut().find(|(known, _)| *known == its) {
            Some((_, members)) => members.push(item),
            None => groups.push((its, vec![item])),
        }
    }
    groups
}

/// "layer 3", "layers 2 to 6", "layers 1, 3 and 5 to 8"; `numbers` rise.
pub(super) fn layers_words(numbers: &[u32]) -> String {
    let mut runs: Vec<(u32, u32)> = Vec::new();
    for &number in numbers {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 >= number => *last = number,
            _ => runs.push((number, number)),
        }
    }
    let word = |&(first, last): &(u32, u32)| match last - first {
        0 => first.to_string(),
        1 => format!("{first} and {last}"),
        _ => format!("{first} to {last}"),
    };
    match runs.as_slice() {
        [(first, last)] if first == last => format!("layer {first}"),
        [(first, last)] if first + 1 == *last => format!("layers {first} and {last}"),
        [only] => format!("layers {}", word(only)),
        [] => String::new(),
        [before @ .., (first, last)] => {
            let mut words = String::from("layers ");
            for run in before {
                let run = if run.0 + 1 == run.1 { format!("{}, {}", run.0, run.1) } else { word(run) };
                let _ = write!(words, "{run}, ");
            }
            words.truncate(words.len() - 2);
            let end = if first + 1 == *last {
                format!(", {first} and {last}")
            } else {
                format!(" and {}", word(&(*first, *last)))
            };
            words + &end
        }
    }
}

/// The words of `text` alone, to tell whether two texts differ in their figures only.
pub(super) fn without_figures(text: &str) -> String {
    text.chars().filter(|c| !c.is_ascii_digit() && *c != '.').collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn runs_of_layers_are_named_by_their_ends() {
        assert_eq!(layers_words(&[3]), "layer 3");
        assert_eq!(layers_words(&[2, 3]), "layers 2 and 3");
        assert_eq!(layers_words(&[2, 3, 4, 5, 6]), "layers 2 to 6");
        assert_eq!(layers_words(&[1, 3, 5, 6, 7]), "layers 1, 3 and 5 to 7");
        assert_eq!(layers_words(&[1, 2, 4, 5]), "layers 1, 2, 4 and 5");
        assert_eq!(layers_words(&[]), "");
    }

    #[test]
    fn texts_that_differ_in_figures_only_have_the_same_words() {
        let words = ["layer 2: 0.12 g short", "layer 13: 4 g short"].map(without_figures);
        assert_eq!(words[0], words[1]);
        assert_ne!(words[0], without_figures("layer 2: 0.12 g over"));
    }

    #[test]
    fn what_is_alike_comes_together() {
        assert_eq!(gathered([1, 2, 3, 5], |n| n % 2), [(1, vec![1, 3, 5]), (0, vec![2])]);
    }
}
