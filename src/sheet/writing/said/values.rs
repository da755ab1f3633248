//! Readings out of what was typed or pasted: which characters part them, and which belong to them.
//!
//! What leaves a doubt is refused with both readings shown; nothing is guessed.

use crate::quantity::{Duration, Length};

use super::commas::resolved;
use super::doubt::{Doubt, Sense};
use super::fractions::joined;
use super::token::{Break, Token, is_bare, is_one};

/// The readings in words of a command line, or in a pasted text.
pub(super) fn readings(texts: &[String], sense: &Sense) -> Result<Vec<String>, Doubt> {
    let all = with_units(texts.iter().flat_map(|text| tokens(text)).collect());
    joined(resolved(all, false)?, sense)
}

/// A text that can hold one reading only: a cell, or what stands on one side of a slash.
pub(super) fn cells(texts: &[String]) -> Result<Vec<String>, Doubt> {
    let token = |text: &String| Token { text: text.trim().into(), after: Break::Hard };
    let all = resolved(texts.iter().map(token).collect(), true)?;
    Ok(all.into_iter().map(|token| token.text).collect())
}

/// The parts of a text that each may be a reading.
pub(super) fn tokens(text: &str) -> Vec<Token> {
    let text = text.trim_matches('\u{feff}');
    let mut all = vec![];
    let mut rest = text;
    while let Some(at) = rest.find(['\n', '\r', '\t', ';']) {
        let hard = matches!(rest.as_bytes()[at], b'\t' | b';');
        piece(&rest[..at], if hard { Break::Hard } else { Break::Line }, &mut all);
        rest = &rest[at + 1..];
    }
    piece(rest, Break::Blank, &mut all);
    all
}

/// A part of a text between two hard ends.
fn piece(text: &str, after: Break, all: &mut Vec<Token>) {
    let text = text.trim();
    if text.is_empty() {
        // An end that follows another makes it no weaker: `4 ;` and CR LF.
        if let Some(last) = all.last_mut().filter(|_| after == Break::Hard) {
            last.after = after;
        }
        return;
    }
    let (text, comma) = match text.strip_suffix(',') {
        Some(before) => (before.trim_end(), true),
        None => (text, false),
    };
    let after = if comma && after == Break::Blank { Break::Comma } else { after };
    let own: Vec<Token> = if is_one(text) {
        vec![Token { text: text.into(), after }]
    } else {
        with_units(words(text, after))
    };
    // Words that are no readings are left as they were typed, for the message about them.
    if own.iter().all(|token| may_be_one(&token.text)) || own.len() < 2 {
        all.extend(own);
    } else {
        all.push(Token { text: text.into(), after });
    }
}

/// The words of a text, a comma at the end of one being no part of it.
fn words(text: &str, after: Break) -> Vec<Token> {
    let mut all: Vec<Token> = text
        .split_whitespace()
        .map(|word| match word.strip_suffix(',') {
            Some(word) => Token { text: word.into(), after: Break::Comma },
            None => Token { text: word.into(), after: Break::Blank },
        })
        .collect();
    if let Some(last) = all.last_mut() {
        last.after = after;
    }
    all
}

/// One reading, or numbers with commas between them.
fn may_be_one(text: &str) -> bool {
    is_one(text) || (text.contains(',') && is_one(&text.replace(',', ""))) || {
        text.contains(',') && text.split(',').all(is_one)
    }
}

/// Units that stand as words of their own go with the number before them.
fn with_units(all: Vec<Token>) -> Vec<Token> {
    let mut out: Vec<Token> = vec![];
    for token in all {
        match out.last_mut() {
            Some(last) if last.after == Break::Blank && goes_with(&last.text, &token.text) => {
                last.text = format!("{} {}", last.text, token.text);
                last.after = token.after;
            }
            _ => out.push(token),
        }
    }
    out
}

fn goes_with(number: &str, word: &str) -> bool {
    !word.starts_with(|c: char| c.is_ascii_digit() || "+-.".contains(c))
        && is_bare(number)
        && (Length::parse(&format!("1 {word}"), None).is_ok()
            || Duration::parse(&format!("1 {word}"), None).is_ok())
}
