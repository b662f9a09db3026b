//! "Did you mean": the nearest of the known words.

use super::letters::composed;

/// The known word nearest to `word`, if it is near enough to be a slip of the hand: at most one
/// slip in three letters.
pub(crate) fn nearest<'k>(word: &str, known: impl IntoIterator<Item = &'k str>) -> Option<&'k str> {
    let word = plain(word);
    known
        .into_iter()
        .map(|candidate| (slips(&word, &plain(candidate)), candidate))
        .filter(|(slips, candidate)| *slips <= letters(candidate).max(letters(&word)).div_ceil(3))
        .min_by_key(|(slips, _)| *slips)
        .filter(|(slips, candidate)| *slips < letters(candidate))
        .map(|(_, candidate)| candidate)
}

/// Lower case, letters composed, with hyphens and underscores as spaces, so that `egg white` is
/// `Egg-White`, and `crème` is `CRÈME` however its accent is typed.
pub(crate) fn plain(word: &str) -> String {
    let lower = composed(&word.trim().to_lowercase());
    lower.replace(['-', '_', '\u{A0}'], " ")
}

fn letters(word: &str) -> usize {
    word.chars().count()
}

/// Letters left out, added, changed or swapped with their neighbour (optimal string alignment).
fn slips(from: &str, to: &str) -> usize {
    let from: Vec<char> = from.chars().take(64).collect();
    let to: Vec<char> = to.chars().take(64).collect();
    let width = to.len() + 1;
    let mut rows = vec![0; (from.len() + 1) * width];
    for (j, slips) in rows.iter_mut().enumerate().take(width) {
        *slips = j;
    }
    for i in 1..=from.len() {
        rows[i * width] = i;
        for j in 1..width {
            let changed = usize::from(from[i - 1] != to[j - 1]);
            let mut least = (rows[(i - 1) * width + j] + 1)
                .min(rows[i * width + j - 1] + 1)
                .min(rows[(i - 1) * width + j - 1] + changed);
            if i > 1 && j > 1 && from[i - 1] == to[j - 2] && from[i - 2] == to[j - 1] {
                least = least.min(rows[(i - 2) * width + j - 2] + 1);
            }
            rows[i * width + j] = least;
        }
    }
    rows[rows.len() - 1]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// "kitten" and "sitting" are the textbook example of the edit distance; "ca" and "abc" that
    /// of optimal string alignment, which counts a swap as one slip but never edits it again.
    #[test]
    fn slips_are_counted_as_in_the_textbook() {
        assert_eq!(slips("kitten", "sitting"), 3);
        assert_eq!(slips("lnog peir", "long pier"), 2);
        assert_eq!(slips("ca", "abc"), 3);
        assert_eq!(slips("", "abc"), 3);
        assert_eq!(slips("abc", "abc"), 0);
    }
}
