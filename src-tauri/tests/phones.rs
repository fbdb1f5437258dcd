//! What phones ask of the program before it may run there, as far as it can be told without one.

/// A system that finds no words for a use ends the program when it asks.
#[test]
fn every_use_that_a_phone_asks_about_has_its_words() {
    let plist = include_str!("../Info.ios.plist");
    for key in [
        "NSCameraUsageDescription",
        "NSPhotoLibraryUsageDescription",
        "NSLocalNetworkUsageDescription",
    ] {
        let after = plist.split(&format!("<key>{key}</key>")).nth(1).unwrap_or_default();
        let words = after.split("<string>").nth(1).and_then(|rest| rest.split("</string>").next());
        assert!(words.is_some_and(|words| words.len() > 20), "{key} says nothing");
    }
}

/// Local discovery is silently empty on a phone that was not told of it.
#[test]
fn phones_are_told_of_local_discovery() {
    let plist = include_str!("../Info.ios.plist");
    let services = plist.split("NSBonjourServices").nth(1).unwrap_or_default();
    assert!(services.contains("<string>_swardbook._udp</string>"), "the service's name");
    let manifest = include_str!("../android/AndroidManifest.xml");
    for permission in [
        "INTERNET",
        "ACCESS_NETWORK_STATE",
        "ACCESS_WIFI_STATE",
        "CHANGE_WIFI_MULTICAST_STATE",
        "CAMERA",
    ] {
        let asked = format!("<uses-permission android:name=\"android.permission.{permission}\"");
        assert!(manifest.contains(&asked), "{permission} is not asked for");
    }
    // A phone without a camera or with its backup on must not be refused or copied.
    assert!(manifest.contains("android:required=\"false\""), "a camera is of use, not needed");
    assert!(
        manifest.contains("android:allowBackup=\"false\""),
        "a restored key is a second writer"
    );
}

/// The packets of local discovery are dropped by a phone on which nobody holds the lock for them, and
/// one that is held in the background empties the battery.
#[test]
fn the_lock_of_local_discovery_is_held_while_the_window_is_in_front() {
    let activity = include_str!("../android/MainActivity.kt");
    let settings = include_str!("../tauri.conf.json");
    let package = activity.lines().find_map(|line| line.strip_prefix("package "));
    let package = package.expect("the activity says whose it is");
    assert!(settings.contains(&format!("\"identifier\": \"{package}\"")), "{package}");
    let body = |name: &str| {
        let after = activity.split(&format!("override fun {name}()")).nth(1).unwrap_or_default();
        after.split("override fun").next().unwrap_or_default().to_owned()
    };
    let (resumed, paused) = (body("onResume"), body("onPause"));
    assert!(resumed.contains("createMulticastLock") && resumed.contains("acquire()"), "{resumed}");
    assert!(paused.contains("release()"), "{paused}");
}

/// Raw bytes cannot cross as a command on every phone, and nothing else may be asked of the window.
#[test]
fn the_window_is_granted_its_own_commands_only() {
    let granted = include_str!("../capabilities/window.json");
    let build = include_str!("../build.rs");
    let list = build.split("COMMANDS: &[&str] = &[").nth(1).and_then(|rest| rest.split(']').next());
    let list = list.expect("the build script lists the commands");
    for command in
        list.split(',').map(|name| name.trim().trim_matches('"')).filter(|name| !name.is_empty())
    {
        let permission = format!("\"allow-{}\"", command.replace('_', "-"));
        assert!(granted.contains(&permission), "{command} is not granted");
    }
    for foreign in ["shell", "fs:", "http:", "core:default", "dialog:"] {
        assert!(!granted.contains(foreign), "{foreign} is granted and not needed");
    }
}
