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
