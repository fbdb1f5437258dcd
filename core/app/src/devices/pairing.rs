//! Two devices come to trust each other: the invitation, the words, the answer.

use serde::{Deserialize, Serialize};
use swardbook_link::{DeviceRole, PeerId};
use ts_rs::TS;

use super::{QrMatrix, linked::LinkedNotebook, qr};
use crate::{Code, Problem};

/// How far a pairing is.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) enum Pairing {
    #[default]
    None,
    /// An invitation is open.
    Inviting {
        expires: i64,
    },
    /// A guest came with it: the words are compared.
    Asked {
        guest: PeerId,
        name: String,
        role: DeviceRole,
        words: [&'static str; 4],
    },
    /// This device came with one: the words are compared.
    Joining {
        name: String,
        role: DeviceRole,
        words: [&'static str; 4],
    },
    /// The person here has said yes; the other one has not answered.
    Waiting {
        name: String,
    },
    Done {
        name: String,
    },
    Failed {
        reason: String,
    },
}

impl Pairing {
    /// The other device's name, once it is known.
    pub(super) fn name(&self) -> Option<String> {
        match self {
            Self::Asked { name, .. }
            | Self::Joining { name, .. }
            | Self::Waiting { name }
            | Self::Done { name } => Some(name.clone()),
            Self::None | Self::Inviting { .. } | Self::Failed { .. } => None,
        }
    }
}

/// Makes what went wrong on the other device readable here.
pub(super) fn why_not(reason: &str) -> String {
    format!("nothing was paired: {reason}")
}

/// How long an invitation is good.
#[derive(Debug, Clone, Copy, Default, Deserialize, TS)]
pub struct InviteRequest {
    /// Minutes, 1 to 1,440; 10 when left out.
    #[serde(default)]
    #[ts(optional, as = "Option<u32>")]
    pub minutes: Option<u32>,
}

/// An open invitation.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS)]
pub struct InvitationView {
    /// To be pasted on the other device.
    pub text: String,
    /// The same to be scanned there.
    pub qr: QrMatrix,
    /// Minutes for which it is good.
    pub minutes: u32,
    /// Where this device is reached, as the invitation says it.
    pub addresses: Vec<String>,
}

/// Accepting an invitation.
#[derive(Debug, Clone, Deserialize, TS)]
pub struct JoinRequest {
    /// Its text.
    pub code: String,
}

/// Whether the words are the same on both devices.
#[derive(Debug, Clone, Copy, Deserialize, TS)]
pub struct ConfirmRequest {
    /// They are.
    #[serde(rename = "match")]
    pub matches: bool,
}

/// How far a pairing is.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, TS)]
pub struct PairingView {
    /// `none`, `inviting`, `compare`, `waiting` for the other person, `done` or `failed`.
    pub state: String,
    /// The other device's name, once it is known.
    pub name: String,
    /// What it is for.
    pub role: String,
    /// The words that both devices must show, to be compared by people.
    pub words: Vec<String>,
    /// Why it failed.
    pub reason: String,
}

/// Minutes for which an invitation is good when nobody says.
const MINUTES: u32 = 10;

impl LinkedNotebook {
    /// Opens an invitation for one device; an earlier one is closed.
    ///
    /// # Errors
    /// [`Problem`]
    pub fn invite(&self, request: InviteRequest) -> Result<InvitationView, Problem> {
        let minutes = request.minutes.unwrap_or(MINUTES);
        if !(1..=1_440).contains(&minutes) {
            return Err(Problem::bad("minutes", format!("minutes is {minutes}: from 1 to 1440")));
        }
        let running = self.running()?;
        let invitation = running.link().invite(i64::from(minutes) * 60)?;
        running.live().lock().pairing = Pairing::Inviting { expires: invitation.expires };
        let text = invitation.to_string();
        Ok(InvitationView {
            qr: qr::draw(&text)?,
            text,
            minutes,
            addresses: invitation.addresses.iter().map(ToString::to_string).collect(),
        })
    }

    /// Closes the open invitation, or ends a pairing that has come to nothing.
    ///
    /// # Errors
    /// [`Problem`] when the notebook cannot be written.
    pub fn close_invitation(&self) -> Result<PairingView, Problem> {
        let running = self.running()?;
        running.link().close_invitation()?;
        let joining = {
            let mut live = running.live().lock();
            live.pairing = Pairing::None;
            live.joining.take()
        };
        if let Some(joining) = joining {
            running.spawn(joining.refuse());
        }
        self.pairing()
    }

    /// Accepts an invitation; the words to be compared are in the answer.
    ///
    /// # Errors
    /// [`Problem`] when it is no invitation, is used or expired, or nobody answers.
    pub fn join(&self, request: &JoinRequest) -> Result<PairingView, Problem> {
        let invitation = request.code.parse::<swardbook_link::Invitation>()?;
        let running = self.running()?;
        let joining = running.wait(running.link().join(&invitation))?;
        {
            let mut live = running.live().lock();
            let introduction = joining.introduction();
            live.pairing = Pairing::Joining {
                name: introduction.name.clone(),
                role: introduction.role.clone(),
                words: joining.words(),
            };
            live.joining = Some(joining);
        }
        self.pairing()
    }

    /// Says whether the words are the same on both devices.
    ///
    /// # Errors
    /// [`Problem`] when no pairing waits for that.
    pub fn confirm(&self, request: ConfirmRequest) -> Result<PairingView, Problem> {
        let running = self.running()?;
        let (pairing, joining) = {
            let mut live = running.live().lock();
            (live.pairing.clone(), live.joining.take())
        };
        let called_off = || Pairing::Failed {
            reason: why_not("you said that the words differ; make a new invitation and look again"),
        };
        match (pairing, joining, request.matches) {
            (Pairing::Asked { guest, name, .. }, _, matches) => {
                running.link().answer_guest(guest, matches)?;
                let mut live = running.live().lock();
                // It may have gone on already.
                if matches!(live.pairing, Pairing::Asked { .. }) {
                    live.pairing = if matches { Pairing::Waiting { name } } else { called_off() };
                }
            }
            (Pairing::Joining { name, .. }, Some(joining), true) => {
                running.live().lock().pairing = Pairing::Waiting { name };
                let (live, news) = (running.live().clone(), running.news());
                running.spawn(async move {
                    if let Err(error) = joining.confirm().await {
                        let reason = why_not(&super::sentence(&error));
                        live.lock().pairing = Pairing::Failed { reason };
                        news.devices();
                    }
                });
            }
            (Pairing::Joining { .. }, Some(joining), false) => {
                running.live().lock().pairing = called_off();
                running.spawn(joining.refuse());
            }
            _ => {
                return Err(Problem::new(
                    Code::NotFound,
                    "no pairing waits for an answer; make an invitation or join with one",
                ));
            }
        }
        self.pairing()
    }

    /// How far a pairing is.
    ///
    /// # Errors
    /// None now; as every command.
    pub fn pairing(&self) -> Result<PairingView, Problem> {
        let mut view = PairingView {
            state: "none".to_owned(),
            name: String::new(),
            role: String::new(),
            words: Vec::new(),
            reason: String::new(),
        };
        let Some(running) = self.if_running() else { return Ok(view) };
        let now = running.now();
        let pairing = running.live().lock().pairing.clone();
        view.name = pairing.name().unwrap_or_default();
        view.state = match &pairing {
            Pairing::None => "none",
            Pairing::Inviting { expires } if *expires >= now => "inviting",
            Pairing::Inviting { .. } => {
                view.reason = why_not("the invitation has expired; make a new one");
                "failed"
            }
            Pairing::Asked { role, words, .. } | Pairing::Joining { role, words, .. } => {
                role.word().clone_into(&mut view.role);
                view.words = words.iter().map(|word| (*word).to_owned()).collect();
                "compare"
            }
            Pairing::Waiting { .. } => "waiting",
            Pairing::Done { .. } => "done",
            Pairing::Failed { reason } => {
                view.reason.clone_from(reason);
                "failed"
            }
        }
        .to_owned();
        Ok(view)
    }
}
