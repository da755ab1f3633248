//! Results on paper, on the screen and for programs. One result object feeds every format.

pub mod csv;
pub mod diagnostics;
pub mod difference;
pub mod drawing;
pub mod geojson;
pub mod json;
pub mod markdown;
mod markup;
pub mod page;
pub mod record;
pub mod reference;
mod said_once;
pub mod season;
pub mod text;
pub mod what_if;
mod wrap;

use unicode_width::UnicodeWidthStr;

use std::path::Path;

/// How text is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Style {
    /// Plain ASCII only.
    pub ascii: bool,
    /// With the colours of a terminal.
    pub colour: bool,
}

/// Columns of a text page.
pub const WIDTH: usize = 80;

/// Text from a sheet made harmless for a terminal: control characters become visible.
///
/// ```
/// use alleytrue::render::harmless;
/// assert_eq!(harmless("north\u{1b}[2J block"), "north\\u{1b}[2J block");
/// ```
#[must_use]
pub fn harmless(text: &str) -> String {
    if is_plain(text) {
        return text.into();
    }
    text.chars()
        .map(|c| if is_harmful(c) { c.escape_unicode().to_string() } else { c.to_string() })
        .collect()
}

/// Columns that text takes on a terminal.
fn width_of(text: &str) -> usize {
    // Most text is ASCII: a page takes 5 % more instructions where every character is looked up.
    if text.is_ascii() { text.len() } else { text.width() }
}

/// Whether every character is one of the printed ones of ASCII.
fn is_plain(text: &str) -> bool {
    text.bytes().all(|byte| (b' '..0x7f).contains(&byte))
}

/// Control characters, and what changes or hides text without being seen itself: marks that
/// reorder it, line ends of other kinds, characters without width, and tags.
fn is_harmful(c: char) -> bool {
    c.is_control()
        || matches!(c,
            // Line and paragraph separators.
            '\u{2028}' | '\u{2029}'
            // All that Unicode lets a program show as nothing (Default_Ignorable_Code_Point), the
            // marks that reorder text among them.
            | '\u{ad}' | '\u{34f}' | '\u{61c}' | '\u{115f}' | '\u{1160}' | '\u{17b4}' | '\u{17b5}'
            | '\u{180b}'..='\u{180f}' | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}' | '\u{3164}' | '\u{fe00}'..='\u{fe0f}' | '\u{feff}'
            | '\u{ffa0}' | '\u{fff0}'..='\u{fff8}' | '\u{1bca0}'..='\u{1bca3}'
            | '\u{1d173}'..='\u{1d17a}' | '\u{e0000}'..='\u{e0fff}'
            // Notes between the lines.
            | '\u{fff9}'..='\u{fffb}'
        )
}

/// A path as one word of a command that is typed into a shell.
///
/// Names of letters, digits and plain signs stand as they are. Others stand in double quotes, which
/// every shell takes, and where one of their signs means something in those too, in single quotes
/// as POSIX has them. What can't be typed is written as its bytes in `$'...'` (POSIX since 2024).
/// On Windows single quotes are those of PowerShell.
///
/// ```
/// use std::path::Path;
/// use alleytrue::render::shell_word;
/// assert_eq!(shell_word(Path::new("trials/north.toml")), "trials/north.toml");
/// assert_eq!(shell_word(Path::new("my trial.toml")), "\"my trial.toml\"");
/// # if cfg!(unix) {
/// assert_eq!(shell_word(Path::new("$5 trial.toml")), "'$5 trial.toml'");
/// # }
/// ```
#[must_use]
pub fn shell_word(path: &Path) -> String {
    let text = path.to_string_lossy();
    // What starts with a hyphen would be an option.
    let text = if text.starts_with('-') { format!("./{text}") } else { text.into_owned() };
    let plain =
        |c: char| c.is_alphanumeric() || "._/-+,:@".contains(c) || cfg!(windows) && c == '\\';
    let special = if cfg!(windows) { "\"$`%" } else { "\"$`\\!" };
    if path.to_str().is_none() || text.contains(is_harmful) {
        typed_as_bytes(path)
    } else if !text.is_empty() && text.chars().all(plain) {
        text
    } else if !text.contains(|c| special.contains(c)) {
        format!("\"{text}\"")
    } else if cfg!(windows) {
        format!("'{}'", text.replace('\'', "''"))
    } else {
        format!("'{}'", text.replace('\'', r"'\''"))
    }
}

#[cfg(unix)]
fn typed_as_bytes(path: &Path) -> String {
    use std::os::unix::ffi::OsStrExt;
    let bytes = path.as_os_str().as_bytes();
    let typed: String = bytes
        .iter()
        .map(|byte| match byte {
            b'\'' | b'\\' => format!("\\{}", char::from(*byte)),
            b' '..=b'~' => char::from(*byte).to_string(),
            byte => format!("\\{byte:03o}"),
        })
        .collect();
    format!("$'{}{typed}'", if bytes.starts_with(b"-") { "./" } else { "" })
}

#[cfg(not(unix))]
fn typed_as_bytes(path: &Path) -> String {
    format!("\"{}\"", harmless(&path.to_string_lossy()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_not_seen_is_written_out() {
        for c in [
            '\u{1b}',
            '\u{9b}',
            '\u{ad}',
            '\u{61c}',
            '\u{180e}',
            '\u{200b}',
            '\u{200d}',
            '\u{200f}',
            '\u{2028}',
            '\u{2029}',
            '\u{202e}',
            '\u{2060}',
            '\u{2069}',
            '\u{fe0f}',
            '\u{feff}',
            '\u{fffa}',
            '\u{e0001}',
            '\u{e0041}',
            '\u{e007f}',
        ] {
            assert_eq!(harmless(&c.to_string()), c.escape_unicode().to_string());
        }
        let seen = "N\u{f6}rdlich \u{bd} \u{2013} \u{5317} \u{627}\u{644} \u{1f331} 2\u{a0}m";
        assert_eq!(harmless(seen), seen);
    }

    /// By the library that looks every character up (Unicode Standard Annex 11).
    #[test]
    fn ascii_is_as_wide_as_it_is_long() {
        for byte in 0..0x80_u8 {
            assert_eq!(char::from(byte).to_string().width(), 1, "{byte}");
        }
    }

    /// The shell itself says what a word of a command is.
    #[cfg(unix)]
    #[test]
    fn a_shell_reads_the_word_as_the_path() {
        use std::os::unix::ffi::OsStrExt;
        let names: [&[u8]; 14] = [
            b"a.toml",
            b"a b.toml",
            b"it's $HOME.toml",
            b"`date`.toml",
            b"back\\slash \"two\".toml",
            b"-x.toml",
            b"-x y.toml",
            b"~.toml",
            b"a;b&c|d.toml",
            b"#a.toml",
            b"a*?[b].toml",
            b"(a)!b.toml",
            b"=a{1,2}.toml",
            b"gr\xc3\xbcn nord.toml",
        ];
        let said = |shell: &str, word: &str| {
            let line = format!("printf %s {word}");
            let output = std::process::Command::new(shell).args(["-c", &line]).output();
            output.ok().map(|output| output.stdout)
        };
        let wanted = |name: &[u8]| {
            if name.starts_with(b"-") { [b"./", name].concat() } else { name.to_vec() }
        };
        for name in names {
            let word = shell_word(Path::new(std::ffi::OsStr::from_bytes(name)));
            assert_eq!(said("sh", &word), Some(wanted(name)), "{word}");
        }
        // Not every `sh` has these quotes yet.
        for name in [&b"n\xffrd \x1b[2J'\\.toml"[..], "-\u{202e}.toml".as_bytes()] {
            let word = shell_word(Path::new(std::ffi::OsStr::from_bytes(name)));
            assert!(word.bytes().all(|byte| (b' '..=b'~').contains(&byte)), "{word}");
            if let Some(read) = said("bash", &word) {
                assert_eq!(read, wanted(name), "{word}");
            }
        }
    }
}
