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
    office.event(|event| *event == LinkEvent::PairingFailed).await;
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
async fn an_invitation_expires_on_both_devices() {
    let (_folder, office, phone) = two().await;
    let invitation = office.link.invite(600).unwrap();
    phone.clock.store(NOW + 601, Ordering::Relaxed);
    let late = phone.link.join(&invitation).await;
    assert!(matches!(late, Err(LinkError::Expired)), "by the guest's clock: {late:?}");
    phone.clock.store(NOW, Ordering::Relaxed);
    office.clock.store(NOW + 601, Ordering::Relaxed);
    let late = phone.link.join(&invitation).await;
    assert!(late.is_err(), "by the inviter's clock: {late:?}");
    assert_eq!(paired(&office), 0, "nobody is trusted");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn one_person_who_says_that_the_words_differ_is_enough() {
    let (_folder, mut office, phone) = two().await;
    let invitation = office.link.invite(600).unwrap();
    let joining = phone.link.join(&invitation).await.unwrap();
    office.event(|event| matches!(event, LinkEvent::PairingAsked { .. })).await;
    office.link.answer_guest(phone.link.me(), false).unwrap();
    let called_off = joining.confirm().await;
    assert!(called_off.is_err(), "the inviter's person says no: {called_off:?}");

    let invitation = office.link.invite(600).unwrap();
    let joining = phone.link.join(&invitation).await.unwrap();
    office.event(|event| matches!(event, LinkEvent::PairingAsked { .. })).await;
    office.link.answer_guest(phone.link.me(), true).unwrap();
    joining.refuse().await;
    office.event(|event| *event == LinkEvent::PairingFailed).await;
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
