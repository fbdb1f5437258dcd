//! Questions: what only a person can decide is asked once for each rule of the mapping.

use swardbook_agronomy::analyte::Analyte;
use swardbook_units::parse_unit;

use super::{
    apply::Work,
    attribute::Attribute,
    decimal::DecimalRule,
    mapping::DateRule,
    naming,
    outcome::{About, Answer, Ask, Note, Place, Question},
    reading_cell::Remarks,
    reason::Reason,
};

impl Work<'_> {
    /// Asks once for each rule.
    pub(super) fn ask(
        &mut self,
        place: Place,
        written: &str,
        about: &About,
        ask: Ask,
        choices: impl FnOnce() -> Vec<Answer>,
    ) {
        let is_asked = |known: &Question| {
            std::mem::discriminant(&known.ask) == std::mem::discriminant(&ask)
                && known.about == *about
        };
        if !self.questions.iter().any(is_asked) {
            let (written, about) = (written.to_owned(), about.clone());
            self.questions.push(Question { place, written, ask, choices: choices(), about });
        }
    }

    /// Asks what a refused cell leaves open about the whole file.
    pub(super) fn ask_about(&mut self, place: Place, text: &str, reason: Reason) {
        let ask = match reason {
            Reason::TwoWays => Ask::Decimal,
            Reason::TwoWayDate => Ask::DateOrder,
            Reason::DepthWithoutUnit => Ask::DepthUnit,
            _ => return,
        };
        self.ask(place, text, &About::File, ask, || match ask {
            Ask::Decimal => [DecimalRule::Point, DecimalRule::Comma].map(Answer::Decimal).to_vec(),
            Ask::DateOrder => {
                [DateRule::DayFirst, DateRule::MonthFirst].map(Answer::Dates).to_vec()
            }
            _ => {
                let units = ["mm", "cm", "in"].iter().filter_map(|unit| parse_unit(unit).ok());
                units.map(Answer::DepthUnit).collect()
            }
        });
    }

    /// Asks for the method that an analyte's heading or name leaves open.
    pub(super) fn ask_method(
        &mut self,
        analyte: &'static Analyte,
        place: Place,
        written: &str,
        about: &About,
    ) {
        self.ask(place, written, about, Ask::Method { analyte }, || {
            let stated = naming::stated_methods(analyte).map(Answer::Method);
            stated.chain([Answer::Method(naming::not_stated())]).collect()
        });
    }

    /// Asks for the unit that an analyte's heading or name leaves open.
    pub(super) fn ask_unit(
        &mut self,
        analyte: &'static Analyte,
        place: Place,
        written: &str,
        about: &About,
    ) {
        self.ask(place, written, about, Ask::Unit { analyte }, || {
            naming::possible_units(analyte).into_iter().map(Answer::Unit).collect()
        });
    }

    /// Notes what was unusual about a cell.
    pub(super) fn remark(&mut self, place: Place, remarks: Remarks) {
        if remarks.unit_from_cell {
            self.notes.push(Note::UnitFromCell { place });
        }
        let said = |note: &Note| matches!(note, Note::InclusiveSign { .. });
        if remarks.inclusive && !self.notes.iter().any(said) {
            self.notes.push(Note::InclusiveSign { place });
        }
    }
}

/// Analytes to choose from, or to leave out.
pub(super) fn choices_of_analytes(analytes: impl Iterator<Item = &'static Analyte>) -> Vec<Answer> {
    let mut choices: Vec<Answer> = Vec::new();
    for analyte in analytes {
        let choice = Answer::Analyte(analyte);
        if !choices.contains(&choice) {
            choices.push(choice);
        }
    }
    choices.push(Answer::Ignore);
    choices
}

/// What a column with an unknown heading may hold.
pub(super) fn choices_of_roles(has_dates: bool) -> Vec<Answer> {
    let dates = [Attribute::Sampled, Attribute::Received, Attribute::Reported];
    let words = [
        Attribute::Remark,
        Attribute::Label,
        Attribute::LaboratoryNumber,
        Attribute::Zone,
        Attribute::Property,
    ];
    let attributes: &[Attribute] = if has_dates { &dates } else { &words };
    let ignore = std::iter::once(Answer::Ignore);
    ignore.chain(attributes.iter().copied().map(Answer::Attribute)).collect()
}
