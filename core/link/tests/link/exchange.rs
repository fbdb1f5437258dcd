//! Entries between paired devices on loopback.

use swardbook_link::{DeviceRole, LinkEvent};

use crate::device::{Device, pair};

async fn two() -> (tempfile::TempDir, Device, Device) {
    let folder = tempfile::tempdir().unwrap();
    let office = Device::start(&folder.path().join("office"), "office", DeviceRole::Office).await;
    let phone = Device::start(&folder.path().join("phone"), "phone", DeviceRole::Field).await;
    (folder, office, phone)
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn what_was_written_before_pairing_arrives_and_then_each_entry_as_it_is_made() {
    let (_folder, mut office, mut phone) = two().await;
    for number in 0..20 {
        office.note(&format!("office-{number}"));
        phone.note(&format!("phone-{number}"));
    }
    pair(&mut office, &mut phone).await;
    office.until("the phone's past", |office| office.keys().len() == 40).await;
    phone.until("the office's past", |phone| phone.keys().len() == 40).await;
    // Live, in both directions.
    phone.note("while connected");
    office.until("a live entry", |office| office.has("while connected")).await;
    office.note("and back");
    phone.until("a live entry", |phone| phone.has("and back")).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn after_a_restart_they_find_each_other_where_they_were() {
    let (_folder, mut office, mut phone) = two().await;
    pair(&mut office, &mut phone).await;
    office.event(|event| matches!(event, LinkEvent::InSync { .. })).await;
    let (office_key, office_port) = (office.link.me(), office.link.addresses()[0].port());
    phone = phone.restart().await;
    office = office.restart().await;
    assert_eq!(office.link.me(), office_key, "the key is kept");
    assert_eq!(office.link.addresses()[0].port(), office_port, "and so is the port");
    phone.note("written apart");
    office.note("written apart too");
    phone.link.meet(office_key, &[]).await.unwrap();
    office.until("the phone's entry", |office| office.has("written apart")).await;
    phone.until("the office's entry", |phone| phone.has("written apart too")).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn an_entry_reaches_a_third_device_through_the_second() {
    let (folder, mut office, mut phone) = two().await;
    let shed = folder.path().join("shed");
    let mut shed = Device::start(&shed, "shed", DeviceRole::AlwaysOn).await;
    pair(&mut office, &mut phone).await;
    pair(&mut office, &mut shed).await;
    shed.event(|event| matches!(event, LinkEvent::InSync { .. })).await;
    phone.note("from the yard");
    shed.until("through the office", |shed| shed.has("from the yard")).await;
    // The third has heard of the second and meets it without the office.
    let phone_key = phone.link.me();
    shed.until("the list of devices", |shed| {
        shed.link.devices().iter().any(|device| device.peer == phone_key)
    })
    .await;
    office.link.stop().await;
    let addresses = phone.link.addresses();
    shed.link.meet(phone_key, &addresses).await.unwrap();
    shed.note("from the shed");
    phone.until("without the office", |phone| phone.has("from the shed")).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn devices_that_keep_looking_for_each_other_meet_by_themselves() {
    let (_folder, mut office, mut phone) = two().await;
    pair(&mut office, &mut phone).await;
    phone.event(|event| matches!(event, LinkEvent::InSync { .. })).await;
    phone = phone.restart().await;
    let keeping = [office.link.clone(), phone.link.clone()]
        .map(|link| tokio::spawn(async move { link.keep().await }));
    phone.note("after a restart");
    office.until("found again", |office| office.has("after a restart")).await;
    for keep in keeping {
        keep.abort();
    }
}
