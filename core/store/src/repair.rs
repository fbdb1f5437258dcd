//! Looking for damage without touching anything, and putting a new file in a damaged one's place.

use std::{fs, io, path::Path};

use redb::backends::InMemoryBackend;

use crate::{
    Damage, Part, Remedy, StoreError,
    device::{self, Device},
    document::Reading,
    handle::{self, Handle, Trouble},
    layout::{self, Layout},
    open::{Randomness, notebook_of},
    overlay::Overlay,
    recover::{self, Recovery},
    table::Notebook,
};

/// The file lacks commits that it once had.
pub(crate) const OLDER: &str = "it is older than when it was last closed";

/// Looks through the file: every page's checksum, every row, every document as a whole.
///
/// The answer is what is wrong; none when all is well.
///
/// # Errors
/// [`StoreError`] when it could not be looked at for a reason other than damage.
pub(crate) fn inspect(layout: &Layout, at_least: u64) -> Result<Option<String>, StoreError> {
    let path = layout.notebook();
    let looked = handle::guard(&path, "looking for damage", || {
        let overlay = Overlay::open(&path).map_err(|e| StoreError::io(&path, e))?;
        let handle = Handle::Image(handle::inspection_builder().create_with_backend(overlay)?);
        let notebook = notebook_of(&handle, layout)?;
        survey(&handle)?;
        Ok(notebook)
    });
    match looked {
        Ok(notebook) if notebook.sequence < at_least => Ok(Some(OLDER.to_owned())),
        Ok(_) => Ok(None),
        Err(StoreError::Io { source, .. }) if source.kind() == io::ErrorKind::NotFound => {
            Ok(Some("it is missing".to_owned()))
        }
        Err(StoreError::Database { source, .. }) => Ok(Some(source.to_string())),
        Err(StoreError::Broken { message, .. }) => Ok(Some(message)),
        Err(error) if error.is_damage() => Ok(Some(error.to_string())),
        Err(error) => Err(error),
    }
}

/// Whether every row of an open file is what was written.
pub(crate) fn is_whole(path: &Path, handle: &Handle) -> bool {
    handle::guard(path, "looking for damage", || survey(handle)).is_ok()
}

fn survey(handle: &Handle) -> Result<(), Trouble> {
    let transaction = handle.begin_read()?;
    match Reading::new(&transaction).survey()?.first() {
        Some(wrong) => Err(wrong.into()),
        None => Ok(()),
    }
}

/// Puts a new file, of what can be read and of copies, in the place of a damaged one.
///
/// The damaged one is kept under another name.
/// The new file has a new identity: it may lack changes that other devices have of this one, whose
/// numbers must not be given out again.
pub(crate) fn repair(
    layout: &Layout,
    why: String,
    at_least: u64,
    randomness: Randomness,
) -> Result<Vec<Damage>, StoreError> {
    let Randomness { nonce, actor } = randomness;
    let recovery = recover::gather(layout, &why, at_least)?;
    make_part(layout, |handle| recover::write_into(handle, &recovery, nonce))?;
    let kept = keep(layout)?;
    layout::rename_durably(&layout.unfinished(), &layout.notebook())?;
    device::write(layout, &Device { nonce, actor })?;
    Ok(findings(why, Remedy::MadeAnew { kept }, recovery))
}

/// What is shown where nothing can be written: the file itself where it is whole, and what can be
/// read of it where it is not.
pub(crate) fn image(
    layout: &Layout,
    wrong: Option<String>,
    at_least: u64,
) -> Result<(Handle, Vec<Damage>), StoreError> {
    let path = layout.notebook();
    let Some(why) = wrong else {
        let handle = handle::guard(&path, "opening", || {
            let overlay = Overlay::open(&path).map_err(|e| StoreError::io(&path, e))?;
            Ok(Handle::Image(handle::image_builder().create_with_backend(overlay)?))
        })?;
        return Ok((handle, Vec::new()));
    };
    let recovery = recover::gather(layout, &why, at_least)?;
    let handle = handle::guard(&path, "opening", || {
        let database = handle::image_builder().create_with_backend(InMemoryBackend::new())?;
        let handle = Handle::Writer(database);
        recover::write_into(&handle, &recovery, [0; 16])?;
        Ok(handle.into_image())
    })?;
    Ok((handle, findings(why, Remedy::OnlyShown, recovery)))
}

fn findings(why: String, remedy: Remedy, recovery: Recovery) -> Vec<Damage> {
    let mut findings = vec![Damage { part: Part::File { why }, remedy }];
    findings.extend(recovery.findings);
    findings
}

/// Gives the damaged file a second name; none when there is no file.
fn keep(layout: &Layout) -> Result<Option<std::path::PathBuf>, StoreError> {
    let path = layout.notebook();
    if !path.exists() {
        return Ok(None);
    }
    let kept = layout.damaged();
    // Where the disk cannot give a file two names, the bytes are copied.
    if fs::hard_link(&path, &kept).is_err() {
        fs::copy(&path, &kept).map_err(|e| StoreError::io(&kept, e))?;
    }
    layout::sync_folder(layout.folder())?;
    Ok(Some(kept))
}

/// Makes a database file beside the notebook's, closed and safe.
pub(crate) fn make_part(
    layout: &Layout,
    fill: impl FnOnce(&Handle) -> Result<Notebook, Trouble>,
) -> Result<(), StoreError> {
    let part = layout.unfinished();
    match fs::remove_file(&part) {
        Err(e) if e.kind() != io::ErrorKind::NotFound => return Err(StoreError::io(part, e)),
        _ => {}
    }
    handle::guard(&part, "making the notebook", || {
        let handle = Handle::Writer(handle::builder().create(&part)?);
        fill(&handle)?;
        if let Handle::Writer(database) = handle {
            database.close()?;
        }
        Ok(())
    })
}
