//! Which sign stands before the decimals, judged on whole columns and never on one cell.

use swardbook_units::DecimalMark;

use super::grid::CellKind;

/// How a mapping says numbers are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum DecimalRule {
    /// Each column shows it, or else the other columns of the same file do.
    #[default]
    Shown,
    /// `1,234.5`
    Point,
    /// `1.234,5`
    Comma,
}

/// What the cells of one column prove about their marks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct MarksSeen {
    /// At least one cell makes sense only with a decimal point.
    pub(super) point: bool,
    /// At least one cell makes sense only with a decimal comma.
    pub(super) comma: bool,
}

impl MarksSeen {
    /// Adds what one cell proves.
    pub(super) fn see(&mut self, cell: &str) {
        // Thousands of cells say the same: one that cannot add anything is not looked at.
        let (mut has_point, mut has_comma) = (false, false);
        for byte in cell.bytes() {
            has_point |= byte == b'.';
            has_comma |= byte == b',';
        }
        if !(has_comma && !(self.comma && self.point) || has_point && !has_comma && !self.point) {
            return;
        }
        match proof(cell) {
            Some(DecimalMark::Point) => self.point = true,
            Some(DecimalMark::Comma) => self.comma = true,
            _ => {}
        }
    }

    /// Adds what a cell of any kind proves; a number stored as one proves nothing.
    pub(super) fn see_kind(&mut self, kind: CellKind, cell: &str) {
        if kind == CellKind::Text {
            self.see(cell);
        }
    }

    /// Adds what other cells prove.
    pub(super) fn join(&mut self, other: Self) {
        self.point |= other.point;
        self.comma |= other.comma;
    }

    /// The mark, when the proofs agree.
    pub(super) const fn mark(self) -> Option<DecimalMark> {
        match (self.point, self.comma) {
            (true, false) => Some(DecimalMark::Point),
            (false, true) => Some(DecimalMark::Comma),
            _ => None,
        }
    }
}

/// The mark that one cell proves: `5,25` and `0,125` prove a comma, `1,234` proves nothing.
fn proof(cell: &str) -> Option<DecimalMark> {
    let number = number_part(cell);
    let points = number.bytes().filter(|&b| b == b'.').count();
    let commas = number.bytes().filter(|&b| b == b',').count();
    match (points, commas) {
        (0, 0) => None,
        (1, 0) => (!is_two_way(number, '.')).then_some(DecimalMark::Point),
        (0, 1) => (!is_two_way(number, ',')).then_some(DecimalMark::Comma),
        (0, _) => Some(DecimalMark::Point),
        (_, 0) => Some(DecimalMark::Comma),
        // Both marks: the one that comes last stands before the decimals.
        _ if number.rfind('.') > number.rfind(',') => Some(DecimalMark::Point),
        _ => Some(DecimalMark::Comma),
    }
}

/// Whether the only mark could also stand between thousands.
fn is_two_way(number: &str, mark: char) -> bool {
    number.split_once(mark).is_some_and(|(whole, fraction)| {
        fraction.len() == 3 && (1..=3).contains(&whole.len()) && !whole.starts_with('0')
    })
}

/// Whether a number can be read two ways when nothing else is known.
pub(super) fn can_be_read_two_ways(cell: &str) -> bool {
    let number = number_part(cell);
    [',', '.']
        .into_iter()
        .any(|mark| number.matches([',', '.']).count() == 1 && is_two_way(number, mark))
}

/// Digits and marks from the first digit on.
fn number_part(cell: &str) -> &str {
    let Some(start) = cell.find(|c: char| c.is_ascii_digit()) else { return "" };
    // `.5` and `,5` begin with their mark.
    let start = if start > 0 && matches!(cell.as_bytes()[start - 1], b'.' | b',') {
        start - 1
    } else {
        start
    };
    let rest = &cell[start..];
    let end =
        rest.find(|c: char| !c.is_ascii_digit() && c != '.' && c != ',').unwrap_or(rest.len());
    rest[..end].trim_end_matches([',', '.'])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(cells: &[&str], expected: Option<DecimalMark>) {
        let mut seen = MarksSeen::default();
        for cell in cells {
            seen.see(cell);
        }
        assert_eq!(seen.mark(), expected, "{cells:?}");
    }

    #[test]
    fn a_column_proves_its_mark() {
        check(&["1,234", "5,2"], Some(DecimalMark::Comma));
        check(&["1,234", "5.2"], Some(DecimalMark::Point));
        check(&["1,234", "2,345"], None);
        check(&["1.234", "0,5"], Some(DecimalMark::Comma));
        check(&["<0,125 mg/kg"], Some(DecimalMark::Comma));
        check(&["1,234,567"], Some(DecimalMark::Point));
        check(&["1.234,5"], Some(DecimalMark::Comma));
        check(&["1,234.5"], Some(DecimalMark::Point));
        check(&["5,2", "5.2"], None);
        check(&["12", "n/a", "."], None);
        check(&["12345,678"], Some(DecimalMark::Comma));
        check(&[",5"], Some(DecimalMark::Comma));
    }
}
