//! The chart and the slate as files.

use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::export::write_new;
use crate::{
    Notebook, Problem,
    photo::{CHART_WIDTH_MM, chart_pdf, chart_png, chart_values, slate_pdf, slate_png},
};

/// The chart as a file.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct ChartRequest {
    /// The file to write, ending in `.pdf` or `.png`; its values are written beside it as
    /// `.values.csv`.
    pub out: String,
    /// Width on paper, mm, of a PDF; 180 when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<f64>")]
    pub width_mm: Option<f64>,
}

/// A zone's slate as a file.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct SlateRequest {
    /// The zone.
    pub zone: String,
    /// The file to write, ending in `.pdf` or `.png`.
    pub out: String,
}

/// Files that were written.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS)]
pub struct WrittenFiles {
    /// Their paths.
    pub files: Vec<String>,
}

/// Pixels of a marker's ring in the PNG: a sheet of 1752 by 936.
const PIXELS_PER_MODULE: u16 = 24;

enum Form {
    Pdf,
    Png,
}

fn form_of(path: &Path) -> Result<Form, Problem> {
    match path.extension().and_then(|end| end.to_str()).map(str::to_lowercase).as_deref() {
        Some("pdf") => Ok(Form::Pdf),
        Some("png") => Ok(Form::Png),
        _ => Err(Problem::bad(
            "out",
            format!("{}: the file's name must end in .pdf or .png", path.display()),
        )),
    }
}

impl Notebook {
    /// Writes a zone's slate, to be photographed before the zone's photos.
    ///
    /// # Errors
    /// [`Problem`] when there is no such zone, or the file is there already.
    pub fn write_slate(&mut self, request: &SlateRequest) -> Result<WrittenFiles, Problem> {
        let zone = self.find_zone("zone", &request.zone)?;
        let name = self.zone_row(zone)?.map_or_else(String::new, |row| row.name);
        let out = PathBuf::from(&request.out);
        let bytes = match form_of(&out)? {
            Form::Pdf => slate_pdf(zone, &name)?,
            Form::Png => slate_png(zone)?,
        };
        write_new(&out, &bytes, "out")?;
        Ok(WrittenFiles { files: vec![request.out.clone()] })
    }
}

/// Writes our chart, and the values of its patches beside it; no notebook is needed.
///
/// # Errors
/// [`Problem`] when a file is there already or cannot be written.
pub fn write_chart(request: &ChartRequest) -> Result<WrittenFiles, Problem> {
    let out = PathBuf::from(&request.out);
    let bytes = match form_of(&out)? {
        Form::Pdf => chart_pdf(request.width_mm.unwrap_or(CHART_WIDTH_MM))?,
        Form::Png => chart_png(PIXELS_PER_MODULE)?,
    };
    let values = out.with_extension("values.csv");
    write_new(&out, &bytes, "out")?;
    write_new(&values, chart_values().as_bytes(), "out")?;
    Ok(WrittenFiles { files: vec![out.display().to_string(), values.display().to_string()] })
}
