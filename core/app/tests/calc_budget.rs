//! The budget counts whole packs to the cent.

#![allow(clippy::unwrap_used, reason = "a test stops at the first thing that is not as expected")]

use serde_json::{Value, json};
use swardbook_app::calc;

fn lines() -> Value {
    json!([
        { "material": "dolomite", "dose": 245.6, "area": 388, "pack": 20, "price": 11.5 },
        { "material": "gypsum", "dose": 51.1, "area": 96, "pack": 25, "price": 13.2, "stock": 2 },
    ])
}

/// By hand: 95.29 kg of dolomite are 5 packs, 57.50; 2.91 kg of gypsum beyond the stock are 1 pack,
/// 13.20; together 70.70.
#[test]
fn packs_are_whole_and_the_sum_is_to_the_cent() {
    let asked = json!({ "lines": lines(), "currency": "AUD", "limit": 60 });
    let answer = calc::run("budget", &asked).unwrap().to_json();
    let result = &answer["result"];
    assert_eq!(result["cost"], json!({ "value": 70.7, "unit": "AUD" }), "{answer}");
    assert_eq!(result["left"]["value"], -10.7, "{answer}");
    assert_eq!(result["suffices"], false);
    assert_eq!(result["lines"][0]["packs"]["value"], 5.0, "{answer}");
}

#[test]
fn without_a_limit_nothing_is_said_of_it() {
    let asked = json!({ "lines": lines(), "currency": "AUD" });
    let answer = calc::run("budget", &asked).unwrap().to_json();
    assert!(answer["result"]["suffices"].is_null(), "{answer}");
}

#[test]
fn a_sign_is_no_currency() {
    let asked = json!({ "lines": lines(), "currency": "$" });
    assert_eq!(calc::run("budget", &asked).unwrap_err().field.as_deref(), Some("currency"));
}
