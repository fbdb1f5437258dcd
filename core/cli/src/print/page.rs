//! A page of plain text: paragraphs, labelled values and tables, aligned by themselves.

use std::io::IsTerminal;

/// How a column of a table is set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Column<'a> {
    /// Words, from the left.
    Left(&'a str),
    /// Numbers, to the right.
    Right(&'a str),
}

/// Whether the arithmetic behind numbers is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Workings {
    /// Only what to mind, and on whose word.
    Hidden,
    /// Every step.
    Shown,
}

/// What is being written.
#[derive(Debug)]
pub(crate) struct Page {
    text: String,
    width: Option<usize>,
    workings: Workings,
}

/// Narrower than this a terminal cannot hold a label beside its value.
const LEAST_WIDTH: usize = 40;

impl Page {
    /// As wide as the terminal; without one, lines are as long as they are.
    pub(crate) fn for_this_terminal(workings: Workings) -> Self {
        let width = std::io::stdout()
            .is_terminal()
            .then(terminal_size::terminal_size)
            .flatten()
            .map(|(width, _)| usize::from(width.0).max(LEAST_WIDTH));
        Self { text: String::new(), width, workings }
    }

    #[cfg(test)]
    const fn of_width(width: Option<usize>) -> Self {
        Self { text: String::new(), width, workings: Workings::Hidden }
    }

    /// Whether the arithmetic behind numbers is shown.
    pub(crate) fn shows_workings(&self) -> bool {
        self.workings == Workings::Shown
    }

    /// What was written.
    pub(crate) fn text(&self) -> &str {
        &self.text
    }

    /// Leaves a line free, unless the page is empty.
    pub(crate) fn gap(&mut self) {
        if !self.text.is_empty() && !self.text.ends_with("\n\n") {
            self.text.push('\n');
        }
    }

    /// A paragraph.
    pub(crate) fn say(&mut self, words: &str) {
        self.hang("", words);
    }

    /// A heading with a free line above.
    pub(crate) fn heading(&mut self, words: &str) {
        self.gap();
        self.say(words);
    }

    /// A paragraph that begins with a mark and stays right of it.
    pub(crate) fn hang(&mut self, mark: &str, words: &str) {
        let indent = width_of(mark);
        let mut lead = mark.to_owned();
        for line in words.lines().chain(words.is_empty().then_some("")) {
            for piece in wrapped(line, self.width.map(|width| width.saturating_sub(indent))) {
                let row = format!("{lead}{piece}");
                self.text.push_str(row.trim_end());
                self.text.push('\n');
                lead = " ".repeat(indent);
            }
        }
    }

    /// Labels with their values beside them; pairs without a value are left out.
    pub(crate) fn pairs<L: AsRef<str>, V: AsRef<str>>(&mut self, pairs: &[(L, V)]) {
        let filled = || pairs.iter().filter(|(_, value)| !value.as_ref().trim().is_empty());
        let widest = filled().map(|(label, _)| width_of(label.as_ref())).max().unwrap_or(0);
        for (label, value) in filled() {
            let label = label.as_ref();
            let space = " ".repeat(widest - width_of(label));
            self.hang(&format!("  {label}{space}  "), value.as_ref());
        }
    }

    /// A table; columns without a single filled cell are left out.
    pub(crate) fn table(&mut self, columns: &[Column<'_>], rows: &[Vec<String>]) {
        let cell = |row: &[String], at: usize| row.get(at).cloned().unwrap_or_default();
        let kept: Vec<usize> = (0..columns.len())
            .filter(|&at| rows.iter().any(|row| !cell(row, at).trim().is_empty()))
            .collect();
        let head: Vec<String> = columns
            .iter()
            .map(|column| match column {
                Column::Left(name) | Column::Right(name) => (*name).to_owned(),
            })
            .collect();
        let widths: Vec<usize> = kept
            .iter()
            .map(|&at| {
                let cells = rows.iter().map(|row| width_of(&cell(row, at)));
                cells.chain([width_of(&head[at])]).max().unwrap_or(0)
            })
            .collect();
        for row in std::iter::once(&head).chain(rows) {
            let mut lead = "  ".to_owned();
            let mut last = String::new();
            for (place, (&at, &width)) in kept.iter().zip(&widths).enumerate() {
                let cell = cell(row, at).replace('\n', " ");
                let space = " ".repeat(width - width_of(&cell));
                let is_last = place + 1 == kept.len();
                match columns[at] {
                    Column::Left(_) if is_last => last = cell,
                    Column::Left(_) => lead.push_str(&format!("{cell}{space}  ")),
                    Column::Right(_) => lead.push_str(&format!("{space}{cell}  ")),
                }
            }
            self.hang(&lead, &last);
        }
    }
}

fn width_of(text: &str) -> usize {
    text.chars().count()
}

/// The words of one line in lines of at most that width; a longer word stays whole.
fn wrapped(line: &str, width: Option<usize>) -> Vec<String> {
    let Some(width) = width.filter(|width| width_of(line) > *width) else {
        return vec![line.to_owned()];
    };
    // Where a narrow terminal leaves next to nothing, wrapping would stack single words.
    if width < LEAST_WIDTH / 2 {
        return vec![line.to_owned()];
    }
    let mut lines: Vec<String> = Vec::new();
    for word in line.split_whitespace() {
        match lines.last_mut() {
            Some(last) if width_of(last) + 1 + width_of(word) <= width => {
                last.push(' ');
                last.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_stand_under_each_other_and_stay_right_of_their_labels() {
        let mut page = Page::of_width(Some(44));
        page.pairs(&[
            ("Area", "184 m2"),
            ("Note", "a dry corner behind the shed that never gets water"),
            ("Grass", ""),
        ]);
        assert_eq!(
            page.text(),
            "  Area  184 m2\n  Note  a dry corner behind the shed that\n        never gets water\n"
        );
    }

    #[test]
    fn tables_align_and_leave_empty_columns_out() {
        let mut page = Page::of_width(None);
        page.table(
            &[Column::Left("Zone"), Column::Right("m2"), Column::Left("Grass"), Column::Left("Id")],
            &[
                vec!["Front verge".into(), "184".into(), String::new(), "a".into()],
                vec!["Lawn".into(), "9".into(), String::new(), "b".into()],
            ],
        );
        let expected = "  Zone          m2  Id\n  Front verge  184  a\n  Lawn           9  b\n";
        assert_eq!(page.text(), expected);
    }
}
