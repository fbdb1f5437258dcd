//! Quick answers for the thousands of labels and comments that name no analyte and no method.

use std::{collections::HashSet, sync::LazyLock};

use swardbook_agronomy::analyte::{analytes, methods};

/// Whether a text has any word of an analyte's names.
pub(super) fn mentions_an_analyte(text: &str) -> bool {
    static WORDS: LazyLock<HashSet<String>> = LazyLock::new(|| {
        let mut words = HashSet::new();
        for analyte in analytes() {
            let mut names = vec![&analyte.id, &analyte.name, &analyte.symbol];
            names.extend(&analyte.aliases);
            names.extend(analyte.by.iter().flat_map(|by| &by.aliases));
            for form in &analyte.forms {
                names.push(&form.formula);
                names.extend(&form.aliases);
            }
            add_words(&mut words, names.into_iter());
        }
        words
    });
    has_word(text, &WORDS)
}

/// Whether a text has any word of a method's names.
pub(super) fn mentions_a_method(text: &str) -> bool {
    static WORDS: LazyLock<HashSet<String>> = LazyLock::new(|| {
        let mut words = HashSet::new();
        for method in methods() {
            add_words(&mut words, [&method.id, &method.name].into_iter().chain(&method.aliases));
        }
        words
    });
    has_word(text, &WORDS)
}

fn add_words<'a>(words: &mut HashSet<String>, names: impl Iterator<Item = &'a String>) {
    for name in names {
        each_word(name, |word| {
            words.insert(word.to_owned());
            false
        });
    }
}

fn has_word(text: &str, words: &HashSet<String>) -> bool {
    each_word(text, |word| words.contains(word))
}

/// Calls `found` with every run of letters and digits, folded, until it says `true`.
fn each_word(text: &str, mut found: impl FnMut(&str) -> bool) -> bool {
    let mut word = String::new();
    for c in text.chars().flat_map(char::to_lowercase).chain([' ']) {
        match c {
            '\u{2080}'..='\u{2089}' => {
                word.push(char::from_digit(c as u32 - 0x2080, 10).unwrap_or(c));
            }
            '\u{b2}' => word.push('2'),
            '\u{b3}' => word.push('3'),
            c if c.is_alphanumeric() => word.push(c),
            _ if word.is_empty() => {}
            _ => {
                if found(&word) {
                    return true;
                }
                word.clear();
            }
        }
    }
    false
}
