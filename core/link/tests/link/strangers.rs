//! Who is not paired, or no longer, is given nothing.

use swardbook_link::{DeviceRole, LinkError, LinkEvent};
use swardbook_store::{Batch, LocalTable};

use crate::device::{Device, pair};

/// Makes a device believe that it is paired with another, which has never heard of it.
async fn pretends_to_know(stranger: Device, other: &Device) -> Device {
    let mut batch = Batch::new();
    batch.put_local(LocalTable(202), &other.link.me().0, b"them".to_vec());
    stranger.store().commit(&batch).unwrap();
    stranger.restart().await
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_stranger_is_sent_away_before_a_byte_of_the_notebook() {
    let folder = tempfile::tempdir().unwrap();
    let mut office =
        Device::start(&folder.path().join("office"), "office", DeviceRole::Office).await;
    office.note("a client's secret");
    let stranger = Device::start(&folder.path().join("stranger"), "x", DeviceRole::Field).await;
    let (key, addresses) = (office.link.me(), office.link.addresses());
    let unknown = stranger.link.meet(key, &addresses).await;
    assert!(matches!(unknown, Err(LinkError::NotPaired)), "it does not dial strangers itself");

    let mut stranger = pretends_to_know(stranger, &office).await;
    stranger.note("planted");
    // The handshake is answered, and then it is sent away.
    let _handshake = stranger.link.meet(key, &addresses).await;
    stranger.event(|event| matches!(event, LinkEvent::Disconnected { .. })).await;
    assert!(!stranger.has("a client's secret"), "nothing was given");
    assert!(!office.has("planted"), "and nothing taken");
    while let Ok(event) = stranger.events.try_recv() {
        assert!(!matches!(event, LinkEvent::Connected { .. }), "no hello was heard: {event:?}");
    }
    while let Ok(event) = office.events.try_recv() {
        assert!(!matches!(event, LinkEvent::Connected { .. }), "nor answered: {event:?}");
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_removed_device_is_cut_off_by_everyone_who_hears_of_it() {
    let folder = tempfile::tempdir().unwrap();
    let start = async |name: &str, role| Device::start(&folder.path().join(name), name, role).await;
    let mut office = start("office", DeviceRole::Office).await;
    let mut shed = start("shed", DeviceRole::AlwaysOn).await;
    let mut phone = start("phone", DeviceRole::Field).await;
    pair(&mut office, &mut shed).await;
    pair(&mut office, &mut phone).await;
    let phone_key = phone.link.me();
    let listed = |device: &Device| device.link.devices().iter().any(|d| d.peer == phone_key);
    shed.until("the phone is known in the shed", listed).await;
    let shed_key = shed.link.me();
    phone
        .until("the shed is known on the phone", |phone| {
            phone.link.devices().iter().any(|device| device.peer == shed_key)
        })
        .await;
    let shed_addresses = shed.link.addresses();
    phone.link.meet(shed_key, &shed_addresses).await.unwrap();
    phone.event(|event| matches!(event, LinkEvent::InSync { peer, .. } if *peer == shed_key)).await;

    office.link.remove(phone_key, "lost on the train").unwrap();
    phone
        .event(
            |event| matches!(event, LinkEvent::Disconnected { peer } if *peer == office.link.me()),
        )
        .await;
    let removed = |device: &Device| {
        device.link.devices().iter().any(|known| known.peer == phone_key && known.removed)
    };
    shed.until("the shed hears of it", removed).await;
    phone.until("the shed hangs up", |phone| phone.link.connected().is_empty()).await;

    office.note("after the removal");
    shed.until("the others go on", |shed| shed.has("after the removal")).await;
    for (other, addresses) in
        [(office.link.me(), office.link.addresses()), (shed_key, shed_addresses)]
    {
        let _handshake = phone.link.meet(other, &addresses).await;
        phone.until("sent away", |phone| phone.link.connected().is_empty()).await;
    }
    assert!(!phone.has("after the removal"), "it is given nothing more");
    phone.note("from the lost phone");
    assert!(!office.has("from the lost phone"), "and nothing is taken from it");
    let again = office.link.invite(600).unwrap();
    let joined = phone.link.join(&again).await;
    assert!(joined.is_err(), "not even by an invitation, under the same key: {joined:?}");
}
