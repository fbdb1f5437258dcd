//! What a file would bring in, before anything is written.

use serde::{Deserialize, Serialize};
use swardbook_journal::records::Laboratory;
use ts_rs::TS;

use super::source::PanelSource;
use crate::{
    Notebook, Problem,
    dto::day_text,
    notebook::NOTEBOOK,
    panel_file::{
        self, Answer, Ask, DateRule, DecimalRule, Form, Imported, ImportedReading, Mapping, Place,
        Question, Sheets, best_fit,
    },
};

/// A person's answer to a question of the preview.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
pub struct AnswerGiven {
    /// The question's id.
    pub question: String,
    /// Which of its choices, counted from 0.
    pub choice: u32,
}

/// What to look at.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct PreviewRequest {
    /// The file or text.
    #[serde(flatten)]
    pub source: PanelSource,
    /// Whose file it is, by id or name; its remembered layouts are tried first.
    #[serde(default)]
    #[ts(optional, as = "Option<String>")]
    pub laboratory: Option<String>,
    /// Answers to questions of an earlier preview, in the order they were given.
    #[serde(default)]
    pub answers: Vec<AnswerGiven>,
}

/// One reading as it stands in the file.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct PreviewReading {
    /// Analyte id.
    pub analyte: String,
    /// Analyte's name.
    pub name: String,
    /// Method id.
    pub method: String,
    /// Method's name.
    pub method_name: String,
    /// The compound the number is of; empty when it is the element itself.
    pub form: String,
    /// `<`, `>` or empty.
    pub qualifier: String,
    /// The number.
    pub value: f64,
    /// The unit it was reported in.
    pub unit: String,
    /// The laboratory's mark.
    pub mark: String,
    /// The cell.
    pub cell: String,
}

/// One sample of the file.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct PreviewSample {
    /// The label on the bag; empty when the file gives none.
    pub label: String,
    /// The laboratory's own number.
    pub number: String,
    /// The property the file names.
    pub property: String,
    /// The zone the file names.
    pub zone: String,
    /// The day the cores were pulled.
    pub sampled: Option<String>,
    /// The day it was reported.
    pub reported: Option<String>,
    /// Upper end of the layer, mm.
    pub from_mm: Option<f64>,
    /// Lower end of the layer, mm.
    pub to_mm: Option<f64>,
    /// Comments.
    pub remarks: String,
    /// The readings.
    pub readings: Vec<PreviewReading>,
    /// The sample of the notebook that carries this label and waits for a panel.
    pub matches: Option<String>,
}

/// A cell that is not read.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS)]
pub struct UnreadView {
    /// The sheet; empty for a text file.
    pub sheet: String,
    /// The cell.
    pub cell: String,
    /// What it says.
    pub text: String,
    /// Why it is not read.
    pub reason: String,
    /// What to do.
    pub remedy: String,
}

/// Cells that the layout leaves out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS)]
pub struct IgnoredView {
    /// Their heading.
    pub heading: String,
    /// How many.
    pub cells: u32,
}

/// Something only a person can decide.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS)]
pub struct QuestionView {
    /// Id, for the answer.
    pub id: String,
    /// The cell that raises it.
    pub cell: String,
    /// What is written there.
    pub written: String,
    /// What is asked.
    pub asked: String,
    /// The answers that make sense.
    pub choices: Vec<String>,
}

/// What a file would bring in.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct PreviewView {
    /// The file's name.
    pub file: String,
    /// How its cells are stored, in words.
    pub form: String,
    /// The laboratory whose remembered layout is used; empty for a layout found anew.
    pub laboratory: String,
    /// The samples.
    pub samples: Vec<PreviewSample>,
    /// Every filled cell that is not read.
    pub unread: Vec<UnreadView>,
    /// What the layout leaves out.
    pub ignored: Vec<IgnoredView>,
    /// What only a person can decide.
    pub questions: Vec<QuestionView>,
    /// Filled cells.
    pub cells: u32,
    /// Cells read as readings.
    pub reading_cells: u32,
}

/// A file read under a layout.
#[derive(Debug)]
pub(super) struct ReadFile {
    pub(super) sheets: Sheets,
    pub(super) mapping: Mapping,
    pub(super) imported: Imported,
    /// The laboratory whose remembered layout was used.
    pub(super) laboratory: Option<String>,
}

impl Notebook {
    /// Shows what a file would bring in.
    ///
    /// # Errors
    /// [`Problem`] when it is no panel file, or an answer answers nothing.
    pub fn preview_panel(&mut self, request: &PreviewRequest) -> Result<PreviewView, Problem> {
        let read =
            self.read_file(&request.source, request.laboratory.as_deref(), &request.answers)?;
        self.preview_of(&read)
    }

    pub(super) fn read_file(
        &mut self,
        source: &PanelSource,
        laboratory: Option<&str>,
        answers: &[AnswerGiven],
    ) -> Result<ReadFile, Problem> {
        let wanted = laboratory
            .map(|name| self.find_record("laboratory", "laboratory", name, None))
            .transpose()?;
        let sheets = source.open()?;
        let remembered = self.remembered_layouts(wanted.as_deref())?;
        let layouts: Vec<Mapping> = remembered.iter().map(|(_, mapping)| mapping.clone()).collect();
        let (mut mapping, laboratory) = match best_fit(&layouts, &sheets) {
            Some(at) => (layouts[at].clone(), Some(remembered[at].0.clone())),
            None => (panel_file::propose(&sheets)?, wanted),
        };
        let mut imported = panel_file::apply(&sheets, &mapping);
        for given in answers {
            let question = imported.questions.iter().find(|q| question_id(q) == given.question);
            let question = question.ok_or_else(|| {
                Problem::bad("answers", format!("nothing is asked at {}", given.question))
            })?;
            let choice = usize::try_from(given.choice).ok().and_then(|n| question.choices.get(n));
            let choice = choice.ok_or_else(|| {
                let most = question.choices.len().saturating_sub(1);
                Problem::bad(
                    "answers",
                    format!("{}: choice {} is none of 0 to {most}", given.question, given.choice),
                )
            })?;
            if !mapping.answer(question, choice) {
                return Err(Problem::bad(
                    "answers",
                    format!("\"{}\" does not answer {}", answer_words(choice), given.question),
                ));
            }
            imported = panel_file::apply(&sheets, &mapping);
        }
        Ok(ReadFile { sheets, mapping, imported, laboratory })
    }

    /// Remembered layouts with the laboratory each belongs to.
    fn remembered_layouts(
        &mut self,
        laboratory: Option<&str>,
    ) -> Result<Vec<(String, Mapping)>, Problem> {
        let entries = self.document(NOTEBOOK)?.entries();
        Ok(entries
            .iter()
            .filter(|entry| laboratory.is_none_or(|wanted| entry.key == wanted))
            .filter_map(|entry| Some((entry.key.clone(), entry.read::<Laboratory>()?)))
            .flat_map(|(key, laboratory)| {
                // A layout of a newer version that this one cannot read is left alone.
                laboratory.layouts.into_values().filter_map(move |layout| {
                    Some((key.clone(), serde_json::from_str(&layout.mapping).ok()?))
                })
            })
            .collect())
    }

    pub(super) fn preview_of(&mut self, read: &ReadFile) -> Result<PreviewView, Problem> {
        let imported = &read.imported;
        let waiting = self.waiting_samples()?;
        let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        let samples = imported
            .samples
            .iter()
            .map(|sample| {
                let a = &sample.attributes;
                let text = |value: &Option<String>| value.clone().unwrap_or_default();
                let label = text(&a.label);
                PreviewSample {
                    matches: waiting.one_labelled(&label),
                    label,
                    number: text(&a.laboratory_number),
                    property: text(&a.property),
                    zone: text(&a.zone),
                    sampled: a.sampled.map(day_text),
                    reported: a.reported.map(day_text),
                    from_mm: a.depth_from_mm,
                    to_mm: a.depth_to_mm,
                    remarks: text(&a.remarks),
                    readings: sample.readings.iter().map(preview_reading).collect(),
                }
            })
            .collect();
        let laboratory = match &read.laboratory {
            Some(id) => self.typed::<Laboratory>("laboratory", id)?.1.name,
            None => String::new(),
        };
        Ok(PreviewView {
            file: read.sheets.file.clone(),
            form: match read.sheets.form {
                Form::Workbook => "workbook".to_owned(),
                Form::Text { encoding, delimiter } => {
                    format!("text, {}, {}", encoding.name(), delimiter.name())
                }
            },
            laboratory,
            samples,
            unread: imported
                .unread
                .iter()
                .map(|unread| UnreadView {
                    sheet: sheet_name(imported, unread.place),
                    cell: unread.place.cell(),
                    text: unread.text.clone(),
                    reason: unread.reason.text().to_owned(),
                    remedy: unread.reason.remedy().to_owned(),
                })
                .collect(),
            ignored: imported
                .ignored
                .iter()
                .map(|i| IgnoredView { heading: i.heading.clone(), cells: count(i.cells) })
                .collect(),
            questions: imported.questions.iter().map(question_view).collect(),
            cells: count(imported.count.filled),
            reading_cells: count(imported.count.readings),
        })
    }
}

fn sheet_name(imported: &Imported, place: Place) -> String {
    imported.sheets.get(usize::from(place.sheet)).cloned().unwrap_or_default()
}

fn preview_reading(reading: &ImportedReading) -> PreviewReading {
    PreviewReading {
        analyte: reading.analyte.id.clone(),
        name: reading.analyte.name.clone(),
        method: reading.method.id.clone(),
        method_name: reading.method.name.clone(),
        form: reading.form.map_or_else(String::new, |form| form.formula.clone()),
        qualifier: reading.qualifier.sign().to_owned(),
        value: reading.value,
        unit: reading.unit.symbol.to_owned(),
        mark: reading.mark().unwrap_or_default().to_owned(),
        cell: reading.place.cell(),
    }
}

fn question_id(question: &Question) -> String {
    let asked = match question.ask {
        Ask::Heading => "heading",
        Ask::Method { .. } => "method",
        Ask::Unit { .. } => "unit",
        Ask::Analyte => "analyte",
        Ask::Decimal => "decimal",
        Ask::DateOrder => "dates",
        Ask::DepthUnit => "depth-unit",
    };
    format!("{}.{}.{asked}", question.place.sheet, question.place.cell())
}

fn question_view(question: &Question) -> QuestionView {
    let asked = match question.ask {
        Ask::Heading => "what does this hold?".to_owned(),
        Ask::Method { analyte } => format!("by which method was {} measured?", analyte.name),
        Ask::Unit { analyte } => format!("in which unit is {} reported?", analyte.name),
        Ask::Analyte => "which analyte is this?".to_owned(),
        Ask::Decimal => "which mark stands before the decimals?".to_owned(),
        Ask::DateOrder => "does the day or the month come first?".to_owned(),
        Ask::DepthUnit => "in which unit are the depths?".to_owned(),
    };
    QuestionView {
        id: question_id(question),
        cell: question.place.cell(),
        written: question.written.clone(),
        asked,
        choices: question.choices.iter().map(answer_words).collect(),
    }
}

fn answer_words(answer: &Answer) -> String {
    match answer {
        Answer::Ignore => "leave it out".to_owned(),
        Answer::Attribute(attribute) => attribute.words().to_owned(),
        Answer::Analyte(analyte) => analyte.name.clone(),
        Answer::Method(method) => method.name.clone(),
        Answer::Unit(unit) | Answer::DepthUnit(unit) => unit.symbol.to_owned(),
        Answer::Decimal(DecimalRule::Shown) => "as each column shows".to_owned(),
        Answer::Decimal(DecimalRule::Point) => "a point: 1,234.5".to_owned(),
        Answer::Decimal(DecimalRule::Comma) => "a comma: 1.234,5".to_owned(),
        Answer::Dates(DateRule::Shown) => "as each column shows".to_owned(),
        Answer::Dates(DateRule::DayFirst) => "the day".to_owned(),
        Answer::Dates(DateRule::MonthFirst) => "the month".to_owned(),
    }
}
