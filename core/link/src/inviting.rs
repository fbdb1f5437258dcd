//! Inviting a device, and accepting an invitation.

use std::{collections::HashMap, sync::Mutex, time::Duration};

use iroh::endpoint::{Connection, RecvStream, SendStream, VarInt};
use swardbook_store::{Batch, DocumentName};
use tokio::sync::oneshot;

use crate::{
    Introduction, Invitation, Link, LinkError, LinkEvent, PeerId, StoreHolder,
    addresses::keep_addresses,
    devices,
    endpoint::{self, PAIR, SYNC},
    link::{lock, random},
    pairing::{self, Meeting},
    tables::{INVITATION, TRUSTED, document_id},
};

/// How long people may take to compare the words.
const COMPARING: Duration = Duration::from_secs(180);
/// How long a device may take to say something by itself.
const SPEAKING: Duration = Duration::from_secs(10);
/// The code with which a wrong secret is sent away.
const WRONG: u32 = 403;

const OPEN: &[u8] = b"open";

/// Guests whose words are being compared.
#[derive(Debug, Default)]
pub(crate) struct Inviting {
    comparing: Mutex<HashMap<PeerId, oneshot::Sender<bool>>>,
}

/// A guest's side of a pairing: the words are shown and wait to be compared.
#[derive(Debug)]
pub struct Joining<S: StoreHolder> {
    link: Link<S>,
    connection: Connection,
    send: SendStream,
    receive: RecvStream,
    inviter: PeerId,
    invitation: Invitation,
    introduction: Introduction,
    words: [&'static str; 4],
}

impl<S: StoreHolder> Link<S> {
    /// Opens an invitation for one device; an earlier one is closed.
    ///
    /// # Errors
    /// [`LinkError`] when the notebook cannot be written.
    pub fn invite(&self, seconds: i64) -> Result<Invitation, LinkError> {
        let shared = &self.0.shared;
        if shared.state(|state| state.devices.iter().any(|d| d.removed && d.peer == shared.me)) {
            return Err(LinkError::RemovedHere);
        }
        self.list_myself()?;
        let invitation = Invitation {
            inviter: shared.me,
            addresses: self.addresses(),
            secret: random()?,
            expires: (shared.clock)().saturating_add(seconds),
        };
        let row = [invitation.secret.as_slice(), &invitation.expires.to_le_bytes()].concat();
        let mut batch = Batch::new();
        batch.put_local(INVITATION, OPEN, row);
        shared.holder.with_store(|store| store.commit(&batch))?;
        self.speak_pairing(true);
        Ok(invitation)
    }

    /// Closes the open invitation, if there is one.
    ///
    /// # Errors
    /// [`LinkError`] when the notebook cannot be written.
    pub fn close_invitation(&self) -> Result<(), LinkError> {
        self.take_invitation().map(|_| ())
    }

    /// Says whether a guest's words are the same on both devices.
    ///
    /// # Errors
    /// [`LinkError::InvitationClosed`] when that guest is not waiting.
    pub fn answer_guest(&self, guest: PeerId, words_match: bool) -> Result<(), LinkError> {
        let waiting = lock(&self.0.inviting.comparing).remove(&guest);
        let waiting = waiting.ok_or(LinkError::InvitationClosed)?;
        waiting.send(words_match).map_err(|_| LinkError::InvitationClosed)
    }

    /// Accepts an invitation: proves its secret and gives back the words to be compared.
    ///
    /// # Errors
    /// [`LinkError`] when the invitation has expired or is closed, or the inviter does not answer.
    pub async fn join(&self, invitation: &Invitation) -> Result<Joining<S>, LinkError> {
        let shared = &self.0.shared;
        if shared.state(|state| state.devices.iter().any(|d| d.removed && d.peer == shared.me)) {
            return Err(LinkError::RemovedHere);
        }
        let inviter = invitation.inviter;
        if inviter == shared.me {
            return Err(LinkError::OwnInvitation);
        }
        if shared.gate.allows(inviter) {
            return Err(LinkError::AlreadyPaired);
        }
        // Whether it has expired is the inviter's to say, whose clock it was made by: this one may
        // be years off. Only when nobody opens, it is the likely reason.
        let looks_expired = (shared.clock)() > invitation.expires;
        let relay = self.0.relay.as_ref();
        let dialled =
            endpoint::dial(&self.0.endpoint, inviter, &invitation.addresses, PAIR, relay).await;
        let connection = dialled.map_err(|error| match error {
            LinkError::NoCommonVersion | LinkError::Unreachable if looks_expired => {
                LinkError::Expired
            }
            // Pairing is spoken only while an invitation is open.
            LinkError::NoCommonVersion => LinkError::InvitationClosed,
            other => other,
        })?;
        let (mut send, mut receive) = connection.open_bi().await.map_err(|_| LinkError::Lost)?;
        let meeting = Meeting::new(&connection, invitation.secret, inviter, shared.me);
        let (introduction, holds) = (shared.introduction(), shared.holds()?);
        let me = (&introduction, &holds);
        let knocked = pairing::knock(&meeting, &mut send, &mut receive, me);
        let knocked = tokio::time::timeout(SPEAKING, knocked).await;
        let (introduction, theirs) =
            knocked.map_err(|_| LinkError::Unreachable)?.map_err(|error| {
                // Sent away with a code, or silence: either way the invitation did not open.
                if matches!(error, LinkError::Lost) { LinkError::InvitationClosed } else { error }
            })?;
        if !holds.fits(&theirs) {
            // Said to the other as well, so that both people read the reason.
            let _ = pairing::say(&mut send, false).await;
            let _ = send.finish();
            let _ = tokio::time::timeout(SPEAKING, connection.closed()).await;
            return Err(LinkError::AnotherNotebook);
        }
        Ok(Joining {
            link: self.clone(),
            words: meeting.words(),
            connection,
            send,
            receive,
            inviter,
            invitation: invitation.clone(),
            introduction,
        })
    }

    /// An invitation outlives the program's end, and its expiry does too.
    pub(crate) fn open_invitation_again(&self) -> Result<(), LinkError> {
        let shared = &self.0.shared;
        let row = shared.holder.with_store(|store| store.get_local(INVITATION, OPEN))?;
        let open = row.and_then(|row| read_row(&row));
        self.speak_pairing(open.is_some_and(|(_, expires)| (shared.clock)() <= expires));
        Ok(())
    }

    /// Outside of an open invitation a stranger does not get past the first packet.
    fn speak_pairing(&self, pairs: bool) {
        let mut spoken = vec![SYNC.to_vec()];
        if pairs {
            spoken.push(PAIR.to_vec());
        }
        self.0.endpoint.set_alpns(spoken);
    }

    /// Takes the open invitation, which ends it.
    fn take_invitation(&self) -> Result<Option<[u8; 16]>, LinkError> {
        let shared = &self.0.shared;
        let now = (shared.clock)();
        let row = shared.holder.with_store(|store| {
            let row = store.get_local(INVITATION, OPEN)?;
            if row.is_some() {
                let mut batch = Batch::new();
                batch.delete_local(INVITATION, OPEN);
                store.commit(&batch)?;
            }
            Ok::<_, LinkError>(row)
        })?;
        self.speak_pairing(false);
        let open = row.and_then(|row| read_row(&row));
        Ok(open.filter(|(_, expires)| now <= *expires).map(|(secret, _)| secret))
    }

    /// A guest called.
    pub(crate) async fn invited(&self, connection: Connection) {
        let guest = PeerId::of(connection.remote_id());
        let outcome = self.receive_guest(&connection, guest).await;
        lock(&self.0.inviting.comparing).remove(&guest);
        match outcome {
            Ok(()) => {
                self.0.shared.tell(LinkEvent::Paired { peer: guest });
                // The guest hangs up when it has heard.
                let _ = tokio::time::timeout(SPEAKING, connection.closed()).await;
            }
            Err(error) => {
                let reason = error.to_string();
                self.0.shared.tell(LinkEvent::PairingFailed { reason });
                connection.close(VarInt::from_u32(WRONG), b"");
            }
        }
    }

    async fn receive_guest(&self, connection: &Connection, guest: PeerId) -> Result<(), LinkError> {
        let shared = &self.0.shared;
        let accepted = tokio::time::timeout(SPEAKING, connection.accept_bi()).await;
        let (mut send, mut receive) =
            accepted.map_err(|_| LinkError::Lost)?.map_err(|_| LinkError::Lost)?;
        // Right or wrong, there is one try.
        let secret = self.take_invitation()?.ok_or(LinkError::InvitationClosed)?;
        if shared.state(|state| state.devices.iter().any(|d| d.removed && d.peer == guest)) {
            return Err(LinkError::NotPaired);
        }
        let meeting = Meeting::new(connection, secret, shared.me, guest);
        let knock = pairing::hear_knock(&meeting, &mut receive);
        let (introduction, theirs) =
            tokio::time::timeout(SPEAKING, knock).await.map_err(|_| LinkError::Lost)??;
        let holds = shared.holds()?;
        pairing::welcome(&meeting, &mut send, (&shared.introduction(), &holds)).await?;
        if !holds.fits(&theirs) {
            // The guest comes to the same end by itself, once it has read the welcome.
            let _ = tokio::time::timeout(SPEAKING, pairing::hear(&mut receive)).await;
            return Err(LinkError::AnotherNotebook);
        }
        let (answer, answered) = oneshot::channel();
        lock(&self.0.inviting.comparing).insert(guest, answer);
        let words = meeting.words();
        shared.tell(LinkEvent::PairingAsked { guest, introduction: introduction.clone(), words });
        let both = async {
            let here = answered.await.unwrap_or(false);
            pairing::say(&mut send, here).await?;
            if !here {
                // The connection is closed next: the guest has that by then, and reads it when its
                // own person has answered.
                let _ = send.finish();
                let _ = tokio::time::timeout(SPEAKING, send.stopped()).await;
                return Err(LinkError::CalledOff);
            }
            pairing::hear(&mut receive).await
        };
        tokio::time::timeout(COMPARING, both).await.map_err(|_| LinkError::CalledOff)??;
        let listed = shared.state(|state| state.devices.iter().any(|d| d.peer == guest));
        if !listed {
            let note = shared.note("device paired");
            let Introduction { name, role } = &introduction;
            devices::write_device(&shared.holder, &new_key()?, guest, name, role, &note)?;
            shared.changed(None, vec![document_id(devices::notebook_name())]);
        }
        // Trusted and safe on the disk: now the guest may come.
        pairing::say(&mut send, true).await?;
        let _ = send.finish();
        Ok(())
    }

    /// This device's own record, so that those who join know whom they hear from.
    fn list_myself(&self) -> Result<(), LinkError> {
        let shared = &self.0.shared;
        if shared.state(|state| state.devices.iter().any(|device| device.peer == shared.me)) {
            return Ok(());
        }
        let Introduction { name, role } = &shared.introduction();
        let note = shared.note("device listed");
        devices::write_device(&shared.holder, &new_key()?, shared.me, name, role, &note)?;
        shared.changed(None, vec![document_id(devices::notebook_name())]);
        Ok(())
    }
}

impl<S: StoreHolder> Joining<S> {
    /// The words that the inviter must show too.
    #[must_use]
    pub const fn words(&self) -> [&'static str; 4] {
        self.words
    }

    /// How the inviter presents itself.
    #[must_use]
    pub const fn introduction(&self) -> &Introduction {
        &self.introduction
    }

    /// The words are the same: waits for the other person, trusts the inviter and meets it.
    ///
    /// # Errors
    /// [`LinkError::CalledOff`] when the other person says that they differ.
    pub async fn confirm(mut self) -> Result<PeerId, LinkError> {
        let both = async {
            // One who has said no may have hung up; what was said is there all the same.
            let said = pairing::say(&mut self.send, true).await;
            pairing::hear(&mut self.receive).await?;
            said?;
            pairing::hear(&mut self.receive).await
        };
        tokio::time::timeout(COMPARING, both).await.map_err(|_| LinkError::CalledOff)??;
        let shared = &self.link.0.shared;
        let mut batch = Batch::new();
        batch.put_local(TRUSTED, &self.inviter.0, self.introduction.name.clone().into_bytes());
        shared.holder.with_store(|store| store.commit(&batch))?;
        keep_addresses(shared, self.inviter, &self.invitation.addresses)?;
        shared.read_devices()?;
        shared.tell(LinkEvent::Paired { peer: self.inviter });
        self.connection.close(VarInt::from_u32(0), b"paired");
        // It may be busy; whoever keeps the link running tries again.
        let _ = self.link.meet(self.inviter, &[]).await;
        Ok(self.inviter)
    }

    /// The words differ: nothing is trusted.
    pub async fn refuse(mut self) {
        // Silence says the same.
        let _ = pairing::say(&mut self.send, false).await;
        let _ = self.send.finish();
        let _ = tokio::time::timeout(SPEAKING, self.connection.closed()).await;
    }
}

fn read_row(row: &[u8]) -> Option<([u8; 16], i64)> {
    let (secret, expires) = row.split_first_chunk::<16>()?;
    Some((*secret, i64::from_le_bytes(expires.try_into().ok()?)))
}

/// A random name for a record.
fn new_key() -> Result<String, LinkError> {
    let id: [u8; 10] = random()?;
    let name = DocumentName::from_bytes(&[[0].as_slice(), &id].concat());
    Ok(name.expect("eleven bytes are a name").id.to_string())
}
