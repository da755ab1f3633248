//! Pages of the reference, written in a small part of Markdown, for the screen and the manual.

pub mod manual;
pub mod parts;
pub mod screen;
pub mod table;
