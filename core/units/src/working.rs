//! The shown arithmetic of one number: what went in, how it was worked, on whose word.

/// How sure we are of a published value or of a rule.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Confidence {
    /// The source was read and states it.
    Confirmed,
    /// Follows from atomic weights or definitions.
    Computed,
    /// Trade habit that no source was found for.
    CommonPractice,
    /// Remembered, not read: shown as such, never chosen by default over a confirmed value.
    FromMemory,
}

impl Confidence {
    /// The words that stand beside the value wherever it is shown; empty where none are needed.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Confirmed | Self::Computed => "",
            Self::CommonPractice => "common practice, no source",
            Self::FromMemory => "from memory, unconfirmed",
        }
    }
}

/// One published source a number rests on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Source {
    /// Key in the table of sources, such as `woods-2014`.
    pub key: String,
    /// Author, year, title and where in it, as a reader would look it up.
    pub citation: String,
    /// How sure we are.
    pub confidence: Confidence,
}

/// Where an input's value came from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Origin {
    /// The person or a record said so.
    Given,
    /// A default, with where it comes from.
    Default(String),
    /// Worked out in an earlier step or calculation.
    Derived,
}

/// One input of a working.
#[derive(Debug, Clone, PartialEq)]
pub struct WorkingInput {
    /// Name in the trade's words.
    pub name: String,
    /// The value as used.
    pub value: f64,
    /// Its unit's symbol; empty for a plain number.
    pub unit: String,
    /// Where it came from.
    pub origin: Origin,
}

/// One line of arithmetic.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// What is worked out, in words.
    pub what: String,
    /// The equation with the numbers put in.
    pub arithmetic: String,
    /// The result.
    pub value: f64,
    /// Its unit's symbol.
    pub unit: String,
}

/// The shown arithmetic of one number.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Working {
    /// What went in.
    pub inputs: Vec<WorkingInput>,
    /// The equation in letters; one line each where a method has several.
    pub equation: Vec<String>,
    /// The arithmetic, in order.
    pub steps: Vec<Step>,
    /// On whose word.
    pub sources: Vec<Source>,
    /// What to mind before using the number.
    pub cautions: Vec<String>,
}

impl Working {
    /// Starts a working with its equation in letters.
    #[must_use]
    pub fn new(equation: &str) -> Self {
        Self { equation: vec![equation.to_owned()], ..Self::default() }
    }

    /// Adds an input that a person or record gave.
    #[must_use]
    pub fn given(self, name: &str, value: f64, unit: &str) -> Self {
        self.input(name, value, unit, Origin::Given)
    }

    /// Adds an input that is a default, with where the default comes from.
    #[must_use]
    pub fn assumed(self, name: &str, value: f64, unit: &str, why: &str) -> Self {
        self.input(name, value, unit, Origin::Default(why.to_owned()))
    }

    /// Adds an input.
    #[must_use]
    pub fn input(mut self, name: &str, value: f64, unit: &str, origin: Origin) -> Self {
        self.inputs.push(WorkingInput {
            name: name.to_owned(),
            value,
            unit: unit.to_owned(),
            origin,
        });
        self
    }

    /// Adds a line of arithmetic.
    ///
    /// Numbers of the arithmetic with more than nine decimals, such as the 4.8999999999999995 of a
    /// sum, are written with seven significant digits.
    #[must_use]
    pub fn step(mut self, what: &str, arithmetic: String, value: f64, unit: &str) -> Self {
        let arithmetic = without_float_dust(&arithmetic);
        self.steps.push(Step { what: what.to_owned(), arithmetic, value, unit: unit.to_owned() });
        self
    }

    /// Adds a source.
    #[must_use]
    pub fn source(mut self, source: Source) -> Self {
        if !self.sources.contains(&source) {
            self.sources.push(source);
        }
        self
    }

    /// Adds a caution.
    #[must_use]
    pub fn caution(mut self, caution: &str) -> Self {
        if !self.cautions.iter().any(|c| c == caution) {
            self.cautions.push(caution.to_owned());
        }
        self
    }

    /// Appends the lines of a working that this one builds on, without doubling its sources.
    #[must_use]
    pub fn after(mut self, earlier: &Self) -> Self {
        let mut inputs = earlier.inputs.clone();
        inputs.retain(|i| !self.inputs.contains(i));
        inputs.append(&mut self.inputs);
        self.inputs = inputs;
        self.equation.splice(0..0, earlier.equation.iter().cloned());
        self.steps.splice(0..0, earlier.steps.iter().cloned());
        for source in &earlier.sources {
            self = self.source(source.clone());
        }
        for caution in &earlier.cautions {
            self = self.caution(caution);
        }
        self
    }

    /// The weakest word any part of this rests on.
    #[must_use]
    pub fn confidence(&self) -> Confidence {
        self.sources.iter().map(|s| s.confidence).max().unwrap_or(Confidence::Computed)
    }
}

/// A value with its working.
#[derive(Debug, Clone, PartialEq)]
pub struct Worked<T> {
    /// The value.
    pub value: T,
    /// How it came about.
    pub working: Working,
}

impl<T> Worked<T> {
    /// Joins a value and its working.
    pub const fn new(value: T, working: Working) -> Self {
        Self { value, working }
    }

    /// Changes the value and keeps the working.
    pub fn map<U>(self, change: impl FnOnce(T) -> U) -> Worked<U> {
        Worked { value: change(self.value), working: self.working }
    }
}

/// Writes numbers with more than nine decimals with seven significant digits.
fn without_float_dust(text: &str) -> String {
    let mut clean = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(start) = rest.find(|c: char| c.is_ascii_digit()) {
        clean.push_str(&rest[..start]);
        rest = &rest[start..];
        let end = rest.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(rest.len());
        let (number, after) = rest.split_at(end);
        clean.push_str(&cleaned(number));
        rest = after;
    }
    clean.push_str(rest);
    clean
}

fn cleaned(number: &str) -> String {
    let decimals = number.split_once('.').map_or(0, |(_, decimals)| decimals.len());
    let Some(value) = number.parse::<f64>().ok().filter(|_| decimals > 9) else {
        return number.to_owned();
    };
    // Through seven significant digits and back, which drops the trailing zeros.
    let short = format!("{value:.6e}").parse::<f64>().unwrap_or(value);
    short.to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_dust_of_floating_numbers_is_not_shown() {
        for (written, shown) in [
            ("100 x 3.1 / 4.8999999999999995", "100 x 3.1 / 4.9"),
            ("1 - 0.30000000000000004", "1 - 0.3"),
            ("2026-03-01 + 90 days", "2026-03-01 + 90 days"),
            ("0.123456789", "0.123456789"),
            ("17.123456789123 kg", "17.12346 kg"),
        ] {
            assert_eq!(without_float_dust(written), shown, "{written}");
        }
    }
}
