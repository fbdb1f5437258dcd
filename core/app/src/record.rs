//! Records: adding, editing, showing, taking away and looking back, the same way for every kind.

mod apart;
mod find;
pub(crate) mod forms;
pub(crate) mod given;
mod keep;
mod look_back;
pub mod spec;
pub(crate) mod view;

pub use apart::PlaceApart;
pub(crate) use apart::plans_apart;
pub use find::{FindRecord, ListRecords};
pub use forms::FORMS;
pub(crate) use forms::form;
pub use given::GivenFields;
pub(crate) use keep::check;
pub use keep::{AddRecord, EditRecord, RecordRef, VoidRecord, WithinRequest};
pub use look_back::{ChooseRequest, ClaimView, ConflictView, RevisionView};
pub use spec::{FieldInfo, FieldKind, FieldSpec, FormInfo, Home, Need, RecordSpec};
pub use view::{FieldView, RecordView, StampView};
