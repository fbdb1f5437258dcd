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
    reading_cell::{ReadingColumn, Remarks},
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
        choices: Vec<Answer>,
    ) {
        if self.questions.iter().any(|known| known.about == *about && known.ask == ask) {
            return;
        }
        let (written, about) = (written.to_owned(), about.clone());
        self.questions.push(Question { place, written, ask, choices, about });
    }

    /// Asks what a refused cell leaves open.
    pub(super) fn ask_about(&mut self, place: Place, text: &str, reason: Reason) {
        match reason {
            Reason::TwoWays => {
                let rules = [DecimalRule::Point, DecimalRule::Comma].map(Answer::Decimal);
                self.ask(place, text, &About::File, Ask::Decimal, rules.to_vec());
            }
            Reason::TwoWayDate => {
                let rules = [DateRule::DayFirst, DateRule::MonthFirst].map(Answer::Dates);
                self.ask(place, text, &About::File, Ask::DateOrder, rules.to_vec());
            }
            Reason::DepthWithoutUnit => {
                let units = ["mm", "cm", "in"].iter().filter_map(|unit| parse_unit(unit).ok());
                self.ask(
                    place,
                    text,
                    &About::File,
                    Ask::DepthUnit,
                    units.map(Answer::DepthUnit).collect(),
                );
            }
            _ => {}
        }
    }

    /// Asks for the method or the unit that an analyte's heading or name leaves open.
    pub(super) fn ask_about_analyte(
        &mut self,
        column: &ReadingColumn,
        place: Place,
        written: &str,
        about: &About,
        needs_unit: bool,
    ) {
        let analyte = column.analyte;
        if column.is_method_open {
            let choices = naming::stated_methods(analyte).map(Answer::Method);
            let choices = choices.chain([Answer::Method(naming::not_stated())]).collect();
            self.ask(place, written, about, Ask::Method { analyte }, choices);
        }
        if needs_unit {
            let choices = naming::possible_units(analyte).into_iter().map(Answer::Unit).collect();
            self.ask(place, written, about, Ask::Unit { analyte }, choices);
        }
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
