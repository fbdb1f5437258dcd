//! The command as a person runs it: what it prints and how it ends.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::{
    io::Write,
    path::Path,
    process::{Command, Output, Stdio},
};

fn swardbook(arguments: &[&str], typed: &str) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_swardbook"))
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(typed.as_bytes()).unwrap();
    child.wait_with_output().unwrap()
}

/// Conyers and Davey 1988: pH 6.0 in water is 5.4 in calcium chloride.
#[test]
fn a_calculation_prints_one_json_document() {
    let out = swardbook(&["calc", "acidity-scale", "--input", "-"], r#"{"ph":6,"from":"water"}"#);
    let said = String::from_utf8(out.stdout).unwrap();
    assert_eq!(out.status.code(), Some(0), "{said}");
    let answer: serde_json::Value = serde_json::from_str(&said).unwrap();
    let ph = answer["result"]["ph"]["value"].as_f64().unwrap();
    assert!((ph - 5.4).abs() < 1e-9, "{ph}");
}

#[test]
fn refusals_end_with_1_and_bad_usage_with_2() {
    let out = swardbook(&["calc", "acidity-scale", "--input", "-"], r#"{"ph":15,"from":"water"}"#);
    assert_eq!(out.status.code(), Some(1), "an impossible pH");
    assert!(String::from_utf8(out.stderr).unwrap().contains("ph is 15"), "the field is named");
    assert_eq!(swardbook(&["dig"], "").status.code(), Some(2), "no such command");
    let file = env!("CARGO_BIN_EXE_swardbook");
    assert_eq!(swardbook(&["panel", "read", file], "").status.code(), Some(1), "a program");
}

#[test]
fn a_panel_file_is_read() {
    let file =
        Path::new(env!("CARGO_MANIFEST_DIR")).join("../app/tests/panel_files/wide-limits-bom.tsv");
    let out = swardbook(&["panel", "read", file.to_str().unwrap()], "");
    assert_eq!(out.status.code(), Some(0), "{}", String::from_utf8_lossy(&out.stderr));
    let read: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
    assert!(!read["samples"].as_array().unwrap().is_empty(), "{read}");
}
