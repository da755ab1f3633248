//! Both sides of an alley as one value: `11.5/17.5`, or two columns.

use super::doubt::Doubt;
use super::token::is_one;
use super::values::cells;

/// The two lists of which pairs were given.
pub(super) type Sides = (Vec<String>, Vec<String>);

/// Whether a text is two readings with a slash between them.
pub(super) fn may_be_one(text: &str) -> bool {
    !sides_of(text).is_empty()
}

/// Pairs out of words of a command line.
pub(super) fn in_words(texts: &[String]) -> Result<Sides, Doubt> {
    let mut pairs = vec![];
    let pieces = texts.iter().flat_map(|text| text.split(['\n', '\r', '\t', ';']));
    for piece in pieces.map(|piece| piece.trim().trim_end_matches(',')) {
        let words = piece.split_whitespace().map(|word| word.trim_end_matches(','));
        if piece.is_empty() {
        } else if words.clone().all(may_be_one) {
            for word in words {
                pairs.push(pair(word)?);
            }
        } else {
            pairs.push(pair(piece)?);
        }
    }
    sorted(pairs)
}

/// Pairs out of a pasted text: two columns with a tab or a semicolon between them, or one pair a
/// line.
pub(super) fn in_lines(text: &str) -> Result<Sides, Doubt> {
    let lines: Vec<&str> = text.lines().map(str::trim).filter(|line| !line.is_empty()).collect();
    let columns = |line: &str| line.contains(['\t', ';']) && !line.contains('/');
    if lines.is_empty() || !lines.iter().all(|line| columns(line)) {
        let words: Vec<String> = lines.iter().map(ToString::to_string).collect();
        return in_words(&words);
    }
    let mut pairs = vec![];
    for line in lines {
        let both: Vec<&str> = line.split(['\t', ';']).map(str::trim).collect();
        match both[..] {
            [last, first] if !last.is_empty() && !first.is_empty() => {
                pairs.push((last.to_owned(), first.to_owned()));
            }
            _ => return Err(no_pair(line)),
        }
    }
    sorted(pairs)
}

fn sorted(pairs: Vec<(String, String)>) -> Result<Sides, Doubt> {
    let (last, first): (Vec<String>, Vec<String>) = pairs.into_iter().unzip();
    let both = cells(&[last, first].concat())?;
    let (last, first) = both.split_at(both.len() / 2);
    Ok((last.to_vec(), first.to_vec()))
}

fn pair(text: &str) -> Result<(String, String), Doubt> {
    let ways = sides_of(text);
    match &ways[..] {
        [] => Err(no_pair(text)),
        [(last, first)] => Ok((last.clone(), first.clone())),
        [one, other, ..] => Err(Doubt::new(
            format!("`{text}` may be {} and {}, or {} and {}", one.0, one.1, other.0, other.1),
            "write the fractions as decimals, such as 11.5/17.5".into(),
        )),
    }
}

fn no_pair(text: &str) -> Doubt {
    Doubt::new(
        format!("`{text}` is not both sides of an alley"),
        "write last seed to mark, a slash, mark to first seed: 11.5/17.5; alleys of which one side \
         was measured go into a run of their own, by --last-seed-to-mark or --mark-to-first-seed"
            .into(),
    )
}

/// Every way to read a text as two readings with a slash between them.
fn sides_of(text: &str) -> Vec<(String, String)> {
    let side = |text: &str| is_one(text) || is_one(&text.replacen(',', ".", 1));
    let at = text.match_indices('/').map(|(at, _)| at);
    let ways = at.map(|at| (text[..at].trim(), text[at + 1..].trim()));
    ways.filter(|(last, first)| side(last) && side(first))
        .map(|(last, first)| (last.to_owned(), first.to_owned()))
        .collect()
}
