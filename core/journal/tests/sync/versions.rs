//! Devices of different versions, kinds of document only one knows, and a writer in two places.

use swardbook_journal::sync::{
    Difference, DocumentId, Effect, Event, Hello, Input, Memory, Refusal, Role, Session,
    SessionError, VERSION,
};
use swardbook_units::Id;

use crate::{
    chance::Chance,
    device::{Device, NOTEBOOK},
    pair::Connection,
};

const ZONE: DocumentId = DocumentId { kind: 2, id: Id::from_random([5; 10]) };
const FUTURE: DocumentId = DocumentId { kind: 7, id: Id::from_random([6; 10]) };

fn two() -> Vec<Device> {
    let mut chance = Chance::new(1);
    (0..2).map(|_| Device::new(chance.bytes(), chance.bytes())).collect()
}

fn newer(hello: Hello) -> Hello {
    let mut kinds = hello.kinds.clone();
    kinds.insert(FUTURE.kind);
    Hello { newest: VERSION + 1, schema: 3, kinds, ..hello }
}

#[test]
fn an_older_and_a_newer_device_exchange_what_both_know_and_say_so() {
    let mut devices = two();
    devices[0].write(NOTEBOOK, "old", 1, true);
    devices[1].write(ZONE, "new", 2, true);
    devices[1].write(FUTURE, "of a kind the older does not know", 3, true);
    let mut connection = Connection::open([0, 1], &mut devices);
    // Side 1 is of a newer version; it says more than we know, and a kind of frame we do not know.
    let hello = newer(devices[1].hello());
    connection.sessions[1] = Session::new(Role::Listener, hello, Memory::default());
    connection.wire = Default::default();
    connection.sessions[0] = Session::new(Role::Dialler, devices[0].hello(), Memory::default());
    connection.events = Default::default();
    connection.input(0, Input::Opened, &mut devices);
    connection.input(1, Input::Opened, &mut devices);
    connection.wire[0].push_back(vec![250, 1, 2, 3]);
    connection.settle(&mut devices);

    let told = &connection.events[0];
    let is_newer =
        |event: &Event| matches!(event, Event::Met { difference: Difference::OtherIsNewer, .. });
    assert!(told.iter().any(is_newer), "the older says that the other is newer: {told:?}");
    assert!(told.contains(&Event::Skipped { kind: 250 }), "and what it left out: {told:?}");
    let is_older =
        |event: &Event| matches!(event, Event::Met { difference: Difference::OtherIsOlder, .. });
    assert!(connection.events[1].iter().any(is_older), "the newer says that the other is older");
    assert!(connection.in_sync(), "they agree on what both know");
    for device in &mut devices {
        assert!(device.document(NOTEBOOK).entry("old").is_some(), "the older's entry");
        assert!(device.document(ZONE).entry("new").is_some(), "the newer's entry");
    }
    assert!(!devices[0].disk.documents.contains_key(&FUTURE), "not what the older cannot read");
}

#[test]
fn without_a_common_version_each_says_who_is_older() {
    let hello = |oldest, newest| Hello { oldest, newest, ..two()[0].hello() };
    let meet = |mine: Hello, theirs: &Hello| {
        let mut device = two().remove(0);
        let mut opened = Session::new(Role::Dialler, theirs.clone(), Memory::default());
        let Ok(effects) = opened.handle(Input::Opened, &mut device) else { panic!("a hello") };
        let [Effect::Send(frame)] = &effects[..] else { panic!("a hello, not {effects:?}") };
        let mut session = Session::new(Role::Listener, mine, Memory::default());
        session.handle(Input::Frame(frame), &mut device).unwrap()
    };
    let end = |difference| vec![Effect::Tell(Event::NeedsUpdate { difference }), Effect::Close];
    assert_eq!(meet(hello(1, 1), &hello(2, 3)), end(Difference::OtherIsNewer), "as the older");
    assert_eq!(meet(hello(2, 3), &hello(1, 1)), end(Difference::OtherIsOlder), "as the newer");
}

#[test]
fn nothing_is_said_to_who_does_not_say_hello() {
    let mut devices = two();
    devices[0].write(NOTEBOOK, "secret", 1, true);
    let mut session = Session::new(Role::Listener, devices[0].hello(), Memory::default());
    let early = session.handle(Input::Frame(&[2, 1, 0, 0, 0, 0, 0, 0, 0, 0]), &mut devices[0]);
    assert!(early.is_err(), "a check before a hello ends it");
    let mut session = Session::new(Role::Listener, devices[0].hello(), Memory::default());
    let check = [&[2, 1][..], &[0; 16]].concat();
    let early = session.handle(Input::Frame(&check), &mut devices[0]);
    assert!(matches!(early, Err(SessionError::NoHello)), "a whole one too: {early:?}");
}

#[test]
fn one_writer_in_two_places_stops_that_document_and_no_other() {
    let mut devices = two();
    devices[0].write(ZONE, "common", 1, true);
    let twin = devices[0].disk.clone();
    devices[1].disk = twin;
    devices[0].write(ZONE, "here", 2, true);
    devices[1].write(ZONE, "there", 3, true);
    devices[0].write(NOTEBOOK, "other document", 4, true);
    let mut connection = Connection::open([0, 1], &mut devices);
    connection.settle(&mut devices);
    for told in &connection.events {
        let stuck = Event::Stuck { id: ZONE, why: Some(Refusal::Forked) };
        assert!(told.contains(&stuck), "told on both sides: {told:?}");
        let told_so =
            |event: &Event| matches!(event, Event::InSync { except, .. } if *except == [ZONE]);
        assert!(told.iter().any(told_so), "in sync but for that one: {told:?}");
    }
    assert!(devices[1].document(NOTEBOOK).entry("other document").is_some(), "the rest arrived");
    assert!(devices[0].document(ZONE).entry("here").is_some(), "nothing was overwritten");
}

#[test]
fn a_longer_fork_is_told_too() {
    let mut devices = two();
    devices[0].write(ZONE, "common", 1, true);
    let twin = devices[0].disk.clone();
    devices[1].disk = twin;
    devices[0].write(ZONE, "here", 2, true);
    devices[1].write(ZONE, "there", 3, true);
    devices[1].write(ZONE, "there again", 4, true);
    let mut connection = Connection::open([0, 1], &mut devices);
    connection.settle(&mut devices);
    for told in &connection.events {
        let stuck = |event: &Event| matches!(event, Event::Stuck { id, .. } if *id == ZONE);
        assert!(told.iter().any(stuck), "told on both sides: {told:?}");
    }
    assert!(devices[0].document(ZONE).entry("here").is_some(), "nothing was overwritten");
}

#[test]
fn a_memory_that_says_too_much_of_the_other_is_put_right() {
    let mut devices = two();
    devices[0].write(ZONE, "common", 1, true);
    Connection::open([0, 1], &mut devices).settle(&mut devices);
    devices[0].write(ZONE, "new", 2, true);
    let remembered = devices[0].disk.peers.get_mut(&1).unwrap();
    for last in remembered.held.values_mut().flat_map(|held| held.values_mut()) {
        last.0 += 10;
    }
    let mut connection = Connection::open([0, 1], &mut devices);
    connection.settle(&mut devices);
    assert!(connection.in_sync(), "they agree: {:?}", connection.events);
    assert!(devices[1].document(ZONE).entry("new").is_some(), "and the entry arrived");
}
