//! The devices that hold the notebook: pairing them, and keeping them the same.
//!
//! A [`LinkedNotebook`] is an open notebook with its link to other devices; the link runs on
//! threads of its own, and everything here is called from ordinary ones.
//!
//! Which devices hold the notebook stands in records that the link writes; this only renames them.

mod folder;
mod holder;
mod linked;
mod live;
mod name;
mod own;
mod pairing;
mod pass;
mod qr;
mod running;
mod status;
mod view;

pub use linked::{LinkedNotebook, News};
pub use own::{OwnDevice, OwnDeviceEdit};
pub use pairing::{ConfirmRequest, InvitationView, InviteRequest, JoinRequest, PairingView};
pub use pass::{SyncPass, SyncPassRequest};
pub(crate) use qr::read as read_qr;
pub use qr::{QrMatrix, QrPicture, QrText};
pub use status::{SyncStatus, WaitingLine};
pub use view::{DeviceLine, DevicesView, KeepRuleRequest, RemoveDevice, RenameDevice};

use swardbook_link::LinkError;

use crate::{Code, Problem};

impl From<LinkError> for Problem {
    fn from(error: LinkError) -> Self {
        use LinkError as E;
        let (code, field) = match error {
            E::Store(error) => return error.into(),
            E::Document(error) => return error.into(),
            E::Write(error) => return error.into(),
            E::NotAnInvitation => (Code::BadInput, Some("code")),
            E::Relay { .. } => (Code::BadInput, Some("relay")),
            E::Expired | E::InvitationClosed | E::OwnInvitation => (Code::Refused, Some("code")),
            E::NotPaired => (Code::NotFound, Some("device")),
            E::NoCommonVersion | E::UnknownKind => (Code::NewerVersion, None),
            E::WrongBytes | E::File(_) | E::Key(_) | E::Bind { .. } | E::NoRandomness => {
                (Code::Storage, None)
            }
            E::Unreachable
            | E::Refused
            | E::Lost
            | E::Malformed(_)
            | E::CalledOff
            | E::RemovedHere
            | E::AnotherNotebook
            | E::AlreadyPaired => (Code::Refused, None),
        };
        Self { code, message: sentence(&error), field: field.map(str::to_owned) }
    }
}

/// What went wrong, and what to do where that is not said yet.
fn sentence(error: &LinkError) -> String {
    match error {
        LinkError::Unreachable => format!(
            "{error}: both devices must be on one network, awake, with Swardbook open; when a \
             network keeps its devices apart, use the hotspot of one of them; devices far apart \
             need a relay of your own, named on both"
        ),
        _ => error.to_string(),
    }
}
