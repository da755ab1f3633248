//! Markup of pages and pictures. What stands in the program goes in as it is, everything else is
//! escaped: there is no third way in.

use std::fmt::{self, Display, Write};

/// Markup as far as it is written.
#[derive(Clone, Debug, Default)]
pub(crate) struct Markup(String);

impl Markup {
    /// Tags and words of the program's own. A text that comes from a sheet can't be given here,
    /// since it does not live as long as the program.
    pub(crate) fn tags(&mut self, tags: &'static str) -> &mut Self {
        self.0.push_str(tags);
        self
    }

    /// Text between tags, or between the quotes of an attribute.
    pub(crate) fn text(&mut self, text: impl Display) -> &mut Self {
        // Writing to a string can't fail.
        let _ = write!(Escaping(&mut self.0), "{text}");
        self
    }

    /// What is markup already.
    pub(crate) fn append(&mut self, markup: &Markup) -> &mut Self {
        self.0.push_str(&markup.0);
        self
    }

    /// The whole of it.
    pub(crate) fn into_string(self) -> String {
        self.0
    }
}

/// Writes every character that could be markup as its number.
struct Escaping<'a>(&'a mut String);

impl Write for Escaping<'_> {
    fn write_str(&mut self, text: &str) -> fmt::Result {
        for c in text.chars() {
            match c {
                '<' | '>' | '&' | '"' | '\'' => write!(self.0, "&#{};", u32::from(c))?,
                _ => self.0.push(c),
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_can_not_be_markup() {
        let mut markup = Markup::default();
        markup.tags("<p title=\"").text("\"'>").tags("\">").text("<b> & é").tags("</p>");
        // The numbers are those of ASCII.
        let expected = "<p title=\"&#34;&#39;&#62;\">&#60;b&#62; &#38; é</p>";
        assert_eq!(markup.into_string(), expected);
    }
}
