//! The known word that a word was meant to be.

/// The known word most like `word`, if any is close enough.
pub fn nearest<'a>(word: &str, known: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    nearer(word, known, 0.75)
}

/// The same, if it is nearer than `least`; 1 is the same word.
pub(super) fn nearer<'a>(
    word: &str,
    known: impl Iterator<Item = &'a str>,
    least: f64,
) -> Option<&'a str> {
    known
        .map(|k| (strsim::jaro_winkler(&word.to_lowercase(), &k.to_lowercase()), k))
        .filter(|(score, _)| *score > least)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, k)| k)
}

/// The known words most like `word`, at most `most`, the nearest first.
pub fn most_like<'a>(
    word: &str,
    known: impl Iterator<Item = &'a str>,
    most: usize,
) -> Vec<&'a str> {
    let word = word.to_lowercase();
    let mut all: Vec<(f64, &str)> =
        known.map(|k| (strsim::jaro_winkler(&word, &k.to_lowercase()), k)).collect();
    all.sort_by(|a, b| b.0.total_cmp(&a.0));
    all.into_iter().take(most).map(|(_, k)| k).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_likest_words_come_first() {
        let known = ["roof-l", "maple", "roof", "roof-r"];
        assert_eq!(most_like("Roof", known.into_iter(), 3), ["roof", "roof-l", "roof-r"]);
        assert_eq!(nearest("xyz", known.into_iter()), None);
    }
}
