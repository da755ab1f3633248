//! Commas without a blank behind them: decimal commas, commas between readings, or those that set
//! thousands apart.

use super::doubt::Doubt;
use super::token::{Break, Token, is_one};

/// Readings without commas; `alone` where each text can hold one reading only.
pub(super) fn resolved(all: Vec<Token>, alone: bool) -> Result<Vec<Token>, Doubt> {
    let tight = |token: &&Token| token.text.contains(',');
    if !all.iter().any(|token| tight(&token)) {
        return Ok(all);
    }
    if !alone && let Some(long) = all.iter().find(|token| is_row(&token.text)) {
        // Commas part the readings here, and so they do in the whole list.
        return parted(&all, &long.text);
    }
    let numbers: Vec<Halves<'_>> =
        all.iter().filter(tight).filter_map(|token| halves(&token.text)).collect();
    if numbers.len() < all.iter().filter(tight).count() {
        return Ok(all); // no number, which the reader says
    }
    let Some(first) = all.iter().find(tight) else { return Ok(all) };
    if numbers.iter().all(Halves::may_be_thousands) {
        let (joined, point) = (first.text.replace(',', ""), first.text.replace(',', "."));
        return Err(Doubt::new(
            format!("`{}` may be {joined} or {point}", first.text),
            format!("type `{joined}` or `{point}`, without a comma"),
        ));
    }
    if !alone && !is_decimal(&all, &numbers) {
        let point = first.text.replace(',', ".");
        let two = first.text.replace(',', ", ");
        return Err(Doubt::new(
            format!("`{}` may be {point}, or {}", first.text, first.text.replace(',', " and ")),
            format!("type `{point}` where it is one reading, `{two}` where they are two"),
        ));
    }
    let point = |token: Token| Token { text: token.text.replacen(',', ".", 1), ..token };
    Ok(all.into_iter().map(point).collect())
}

/// Bare numbers in one word, parted by commas; why that may not be meant, and what to type.
pub(in crate::sheet) fn parted_by_commas(text: &str) -> Result<Vec<String>, String> {
    let one = Token { text: text.to_owned(), after: Break::Line };
    let parted = resolved(vec![one], false).map_err(|doubt| doubt.in_one_line())?;
    Ok(parted.into_iter().map(|token| token.text).collect())
}

/// Whether commas part several readings in one word: `1.5,2,3`, `50,51,52`.
fn is_row(text: &str) -> bool {
    let parts = text.split(',').count();
    (parts > 2 || text.contains('.')) && parts > 1 && text.split(',').all(is_one)
}

/// Every comma parts two readings, where nothing speaks against it.
fn parted(all: &[Token], shown: &str) -> Result<Vec<Token>, Doubt> {
    for token in all.iter().filter(|token| is_row(&token.text)) {
        if let Some(other) = otherwise(&token.text) {
            let list = token.text.replace(',', ", ");
            return Err(Doubt::new(
                format!("`{}` may be {other}, or {list}", token.text),
                format!("type `{other}`, or `{list}` with blanks behind the commas"),
            ));
        }
    }
    let mut out = vec![];
    for token in all {
        let parts: Vec<&str> = token.text.split(',').collect();
        if parts.len() > 1 && !parts.iter().all(|part| is_one(part)) {
            return Err(Doubt::new(
                format!("`{}` is no reading beside `{shown}`", token.text),
                "put a blank behind every comma that parts two readings".into(),
            ));
        }
        let part = |text: &&str| Token { text: text.trim().to_owned(), after: Break::Comma };
        out.extend(parts.iter().map(part));
        if let Some(last) = out.last_mut() {
            last.after = token.after;
        }
    }
    Ok(out)
}

/// What else a row of numbers may be: one with its thousands set apart, or some with decimal
/// commas.
fn otherwise(text: &str) -> Option<String> {
    let parts: Vec<&str> = text.trim_start_matches(['-', '+']).split(',').collect();
    let (whole, _) = text.split_once('.').unwrap_or((text, ""));
    let grouped = |parts: &[&str]| {
        parts.len() > 1
            && (1..=3).contains(&parts[0].len())
            && !parts[0].starts_with('0')
            && parts[1..].iter().all(|part| part.len() == 3)
    };
    let whole: Vec<&str> = whole.trim_start_matches(['-', '+']).split(',').collect();
    if grouped(&whole) && whole.len() == parts.len() {
        return Some(text.replace(',', ""));
    }
    if text.contains('.') || !parts.len().is_multiple_of(2) {
        return None;
    }
    let pairs: Option<Vec<Halves<'_>>> = parts
        .chunks(2)
        .map(|pair| Some(Halves { before: pair.first()?.parse().ok()?, after: pair.get(1)? }))
        .collect();
    let point = |pair: &[&str]| pair.join(".");
    let pairs = pairs.filter(|pairs| set_apart(pairs))?;
    (pairs.len() > 1).then(|| parts.chunks(2).map(point).collect::<Vec<_>>().join(" and "))
}

/// What stands before and behind the comma of a number.
struct Halves<'t> {
    before: u64,
    after: &'t str,
}

impl Halves<'_> {
    fn may_be_thousands(&self) -> bool {
        self.after.len() == 3 && (1..1000).contains(&self.before)
    }
}

/// The halves of a number with one comma, its sign and its unit left aside.
fn halves(text: &str) -> Option<Halves<'_>> {
    let (before, after) = text.split_once(',')?;
    let end = after.find(|c: char| !c.is_ascii_digit()).unwrap_or(after.len());
    let whole = !after[end..].contains([',', '.', '/']) && end > 0;
    let digits = before.trim_start_matches(['-', '+', '\u{2212}']);
    let before = if digits.is_empty() { 0 } else { digits.parse().ok()? };
    (whole && is_one(&text.replacen(',', ".", 1)))
        .then_some(Halves { before, after: &after[..end] })
}

/// Whether the commas of a list can be decimal ones only: what parts the readings is in no number,
/// or what stands before the commas is of another size than what stands behind them, so that they
/// are no readings of one thing.
fn is_decimal(all: &[Token], numbers: &[Halves<'_>]) -> bool {
    let (_, before_last) = all.split_last().map_or((None, all), |(last, rest)| (Some(last), rest));
    let hard = !before_last.is_empty() && before_last.iter().all(|one| one.after == Break::Hard);
    hard || (numbers.len() > 1 && set_apart(numbers))
}

fn set_apart(numbers: &[Halves<'_>]) -> bool {
    let before = numbers.iter().map(|one| one.before);
    let after = numbers.iter().filter_map(|one| one.after.parse::<u64>().ok());
    let (Some(least), Some(most)) = (before.clone().min(), before.max()) else { return false };
    let (Some(low), Some(high)) = (after.clone().min(), after.max()) else { return false };
    high < least || low > most
}
