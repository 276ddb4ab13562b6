//! A place in a pour line that moves on word by word.

use crate::notebook::yaml::Text;

/// A place in the text of a line.
pub(super) struct Cursor<'a> {
    /// The line.
    pub text: &'a Text,
    /// Bytes before the place.
    pub at: usize,
}

impl<'a> Cursor<'a> {
    /// What is left.
    pub fn rest(&self) -> &'a str {
        &self.text.value[self.at..]
    }

    /// Steps over so many bytes and the space after them.
    pub fn skip(&mut self, bytes: usize) {
        self.at += bytes;
        self.at += self.rest().len() - self.rest().trim_start().len();
    }

    /// Steps over a word and the space after it.
    pub fn word(&mut self, word: &str) -> bool {
        let rest = self.rest();
        let found = rest.get(..word.len()).is_some_and(|s| s.eq_ignore_ascii_case(word))
            && rest[word.len()..].chars().next().is_none_or(|c| !c.is_alphanumeric());
        if found {
            self.skip(word.len());
        }
        found
    }

    /// What is left, as a name.
    pub fn name(&self) -> Text {
        let rest = self.rest().trim_end();
        Text {
            value: rest.to_owned(),
            span: self.text.part(self.at, self.at + rest.len()),
            exact: self.text.exact,
            quoted: self.text.quoted,
        }
    }
}
