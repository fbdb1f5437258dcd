//! Where the link keeps what belongs to this device alone, inside the notebook's file.
//!
//! Numbers from 200 on are the link's.

use swardbook_journal::sync::DocumentId;
use swardbook_store::{DocumentName, LocalTable};

use crate::PeerId;

/// Peer -> its nonce and the commit up to which both were equal.
pub(crate) const AGREED: LocalTable = LocalTable(200);
/// (peer, document) -> what it keeps.
pub(crate) const KEPT_THERE: LocalTable = LocalTable(201);
/// Peer -> the name of a device that was paired and whose record has not arrived.
pub(crate) const TRUSTED: LocalTable = LocalTable(202);
/// Peer -> addresses at which it was met.
pub(crate) const ADDRESSES: LocalTable = LocalTable(203);
/// The open invitation.
pub(crate) const INVITATION: LocalTable = LocalTable(204);
/// Files promised to other devices.
pub(crate) const PROMISED: LocalTable = LocalTable(205);
/// Settings of this device, by a short name.
pub(crate) const OWN: LocalTable = LocalTable(206);

/// (peer, file) -> nothing: files that are known to be safe on another device.
pub(crate) const THERE: LocalTable = LocalTable(207);
/// Peer -> what it said that it keeps of files.
pub(crate) const RULES: LocalTable = LocalTable(208);

pub(crate) fn document_id(name: DocumentName) -> DocumentId {
    DocumentId { kind: name.kind, id: name.id }
}

pub(crate) fn document_name(id: DocumentId) -> DocumentName {
    DocumentName { kind: id.kind, id: id.id }
}

pub(crate) fn kept_there_key(peer: PeerId, id: DocumentId) -> Vec<u8> {
    let mut key = peer.0.to_vec();
    key.push(id.kind);
    key.extend_from_slice(id.id.as_bytes());
    key
}

pub(crate) fn there_key(peer: PeerId, hash: &[u8; 32]) -> Vec<u8> {
    [peer.0, *hash].concat()
}
