//! Invitations: one try, limited time, proof of the secret, and two people who agree.

use std::sync::atomic::Ordering;

use swardbook_link::{DeviceRole, Invitation, LinkError, LinkEvent};

use crate::device::{Device, NOW, pair};

async fn two() -> (tempfile::TempDir, Device, Device) {
    let folder = tempfile::tempdir().unwrap();
    let office = Device::start(&folder.path().join("office"), "office", DeviceRole::Office).await;
    let phone = Device::start(&folder.path().join("phone"), "phone", DeviceRole::Field).await;
    (folder, office, phone)
}

/// The same invitation with another secret: what a stranger would have to guess.
fn guessed(invitation: &Invitation, other: &Invitation) -> Invitation {
    // The texts differ in the secret and the check only, so the other's is taken with our address.
    let mut guess = other.clone();
    guess.inviter = invitation.inviter;
    guess.addresses.clone_from(&invitation.addresses);
    guess
}

fn paired(device: &Device) -> usize {
    let me = device.link.me();
    device.link.devices().iter().filter(|known| known.peer != me && !known.removed).count()
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_wrong_secret_pairs_nobody_and_ends_the_invitation() {
    let (_folder, mut office, phone) = two().await;
    let other = phone.link.invite(600).unwrap();
    let invitation = office.link.invite(600).unwrap();
    let refused = phone.link.join(&guessed(&invitation, &other)).await;
    assert!(matches!(refused, Err(LinkError::InvitationClosed)), "{refused:?}");
    office.event(|event| matches!(event, LinkEvent::PairingFailed { .. })).await;
    let late = phone.link.join(&invitation).await;
    assert!(late.is_err(), "even the right secret is too late: {late:?}");
    assert_eq!((paired(&office), paired(&phone)), (0, 0), "nobody is trusted");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn an_invitation_is_used_once() {
    let (folder, mut office, mut phone) = two().await;
    let third = Device::start(&folder.path().join("third"), "third", DeviceRole::Field).await;
    let invitation = office.link.invite(600).unwrap();
    let joining = phone.link.join(&invitation).await.unwrap();
    let again = third.link.join(&invitation).await;
    assert!(again.is_err(), "the second guest finds it closed: {again:?}");
    let guest = phone.link.me();
    office.event(|event| matches!(event, LinkEvent::PairingAsked { .. })).await;
    office.link.answer_guest(guest, true).unwrap();
    joining.confirm().await.unwrap();
    phone.event(|event| matches!(event, LinkEvent::InSync { .. })).await;
    assert_eq!((paired(&office), paired(&third)), (1, 0), "the first is in, the second is not");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn an_invitation_expires_by_the_clock_it_was_made_by() {
    let (_folder, office, phone) = two().await;
    let invitation = office.link.invite(600).unwrap();
    office.clock.store(NOW + 601, Ordering::Relaxed);
    let late = phone.link.join(&invitation).await;
    assert!(matches!(late, Err(LinkError::InvitationClosed)), "by the inviter's clock: {late:?}");
    let invitation = office.link.invite(600).unwrap();
    office.link.close_invitation().unwrap();
    // A guest that is not let in, and whose clock says that it is late, gives that as the reason.
    phone.clock.store(NOW + 20_000, Ordering::Relaxed);
    let late = phone.link.join(&invitation).await;
    assert!(matches!(late, Err(LinkError::Expired)), "the likely reason: {late:?}");
    assert_eq!(paired(&office), 0, "nobody is trusted");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_guest_whose_clock_is_years_off_is_let_in() {
    let (_folder, mut office, mut phone) = two().await;
    // 2040: the invitation looks long expired there.
    phone.clock.store(2_208_988_800, Ordering::Relaxed);
    pair(&mut office, &mut phone).await;
    assert_eq!((paired(&office), paired(&phone)), (1, 1), "paired");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_same_device_twice_and_its_own_invitation_are_told_as_such() {
    let (_folder, mut office, mut phone) = two().await;
    let own = office.link.invite(600).unwrap();
    let refused = office.link.join(&own).await;
    assert!(matches!(refused, Err(LinkError::OwnInvitation)), "{refused:?}");
    pair(&mut office, &mut phone).await;
    let again = office.link.invite(600).unwrap();
    let refused = phone.link.join(&again).await;
    assert!(matches!(refused, Err(LinkError::AlreadyPaired)), "{refused:?}");
    let known = office.link.devices();
    assert_eq!(known.len(), 2, "each device is listed once: {known:?}");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_notebook_of_another_practitioner_is_not_mixed_in() {
    let (_folder, mut office, phone) = two().await;
    office.note("mine");
    phone.note_on(9, "theirs");
    let invitation = office.link.invite(600).unwrap();
    let refused = phone.link.join(&invitation).await;
    assert!(matches!(refused, Err(LinkError::AnotherNotebook)), "{refused:?}");
    let told = office.event(|event| matches!(event, LinkEvent::PairingFailed { .. })).await;
    let LinkEvent::PairingFailed { reason } = told else { unreachable!("it was waited for") };
    assert!(reason.contains("another notebook"), "the inviter's person reads why: {reason}");
    assert_eq!((paired(&office), paired(&phone)), (0, 0), "nobody is trusted");
    assert!(!office.has("theirs") && !phone.has("mine"), "and nothing went over");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn one_person_who_says_that_the_words_differ_is_enough() {
    let (_folder, mut office, phone) = two().await;
    let invitation = office.link.invite(600).unwrap();
    let joining = phone.link.join(&invitation).await.unwrap();
    office.event(|event| matches!(event, LinkEvent::PairingAsked { .. })).await;
    office.link.answer_guest(phone.link.me(), false).unwrap();
    // The inviter is done with it before the guest's person answers.
    office.event(|event| matches!(event, LinkEvent::PairingFailed { .. })).await;
    let called_off = joining.confirm().await;
    let is_told = matches!(called_off, Err(LinkError::CalledOff));
    assert!(is_told, "the inviter's person says no: {called_off:?}");

    let invitation = office.link.invite(600).unwrap();
    let joining = phone.link.join(&invitation).await.unwrap();
    office.event(|event| matches!(event, LinkEvent::PairingAsked { .. })).await;
    office.link.answer_guest(phone.link.me(), true).unwrap();
    joining.refuse().await;
    office.event(|event| matches!(event, LinkEvent::PairingFailed { .. })).await;
    assert_eq!((paired(&office), paired(&phone)), (0, 0), "nobody is trusted");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn an_invitation_outlives_a_restart_of_the_inviter() {
    let (_folder, mut office, phone) = two().await;
    let invitation = office.link.invite(600).unwrap();
    office = office.restart().await;
    let joining = phone.link.join(&invitation).await.unwrap();
    office.event(|event| matches!(event, LinkEvent::PairingAsked { .. })).await;
    office.link.answer_guest(phone.link.me(), true).unwrap();
    joining.confirm().await.unwrap();
    assert_eq!(paired(&phone), 1, "paired");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn without_an_invitation_pairing_is_not_spoken() {
    let (_folder, mut office, mut phone) = two().await;
    let invitation = office.link.invite(600).unwrap();
    office.link.close_invitation().unwrap();
    let closed = phone.link.join(&invitation).await;
    assert!(closed.is_err(), "it was closed: {closed:?}");
    pair(&mut office, &mut phone).await;
    assert_eq!(paired(&phone), 1, "a new one works");
}
