//! How much of a lime is fine enough to work, by published classes of sieve.

use swardbook_units::{Percent, Worked, Working};

use super::QUALITY;
use crate::{AgronomyError, error::within, source};

/// A published set of classes of fineness and how well each works.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum FinenessScheme {
    /// Australian handbook.
    Australia,
    /// Western Australia.
    WesternAustralia,
    /// Mississippi.
    Mississippi,
    /// Cornell, New York.
    Cornell,
}

/// One class of size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SizeClass {
    /// Its sieves, in words.
    pub name: &'static str,
    /// Least opening it does not pass, mm; zero for the finest.
    pub over_mm: f64,
    /// Share of pure carbonate's work that it does.
    pub factor: f64,
}

const fn class(name: &'static str, over_mm: f64, factor: f64) -> SizeClass {
    SizeClass { name, over_mm, factor }
}

impl FinenessScheme {
    /// Every scheme.
    pub const ALL: [Self; 4] =
        [Self::Australia, Self::WesternAustralia, Self::Mississippi, Self::Cornell];

    /// Key, such as `western-australia`.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::Australia => "australia",
            Self::WesternAustralia => "western-australia",
            Self::Mississippi => "mississippi",
            Self::Cornell => "cornell",
        }
    }

    /// A scheme by its key.
    #[must_use]
    pub fn from_id(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|scheme| scheme.id() == id)
    }

    /// Key of its publication.
    #[must_use]
    pub const fn source_key(self) -> &'static str {
        match self {
            Self::Australia => "rayment-lyons-2011",
            Self::WesternAustralia => "dpird-comparing-limes",
            Self::Mississippi => "mississippi-lime-code",
            Self::Cornell => "cornell-lime-course",
        }
    }

    /// Its classes, from the coarsest to the finest.
    ///
    /// # Source That of [`Self::source_key`]; openings of the meshes: 8 is 2.38 mm, 10 is 2.00, 20 is
    /// 0.841, 50 is 0.297, 60 is 0.250, 100 is 0.149. Cornell prints no class over 20 mesh; none of it
    /// is counted.
    #[must_use]
    pub const fn classes(self) -> &'static [SizeClass] {
        const AUSTRALIA: &[SizeClass] = &[
            class("over 8 mesh", 2.38, 0.0),
            class("8 to 20 mesh", 0.841, 0.2),
            class("20 to 60 mesh", 0.250, 0.6),
            class("through 60 mesh", 0.0, 1.0),
        ];
        const WESTERN_AUSTRALIA: &[SizeClass] = &[
            class("over 1 mm", 1.0, 0.2),
            class("0.5 to 1 mm", 0.5, 0.5),
            class("under 0.5 mm", 0.0, 1.0),
        ];
        const MISSISSIPPI: &[SizeClass] = &[
            class("over 10 mesh", 2.0, 0.0),
            class("10 to 50 mesh", 0.297, 0.5),
            class("through 50 mesh", 0.0, 1.0),
        ];
        const CORNELL: &[SizeClass] = &[
            class("over 20 mesh", 0.841, 0.0),
            class("20 to 60 mesh", 0.250, 0.4),
            class("60 to 100 mesh", 0.149, 0.8),
            class("through 100 mesh", 0.0, 1.0),
        ];
        match self {
            Self::Australia => AUSTRALIA,
            Self::WesternAustralia => WESTERN_AUSTRALIA,
            Self::Mississippi => MISSISSIPPI,
            Self::Cornell => CORNELL,
        }
    }
}

/// Part of the carbonate's work that a lime's fineness lets it do.
///
/// # Shape  `shares`: % by mass of each class of the scheme, from the coarsest to the finest.
/// # Errors `Argument` when a share is outside 0 to 100, the count is not the scheme's, or the shares
/// are further than 2 from 100 in sum.
/// # Source That of the scheme.
pub fn fineness_efficiency(
    scheme: FinenessScheme,
    shares: &[Percent],
) -> Result<Worked<Percent>, AgronomyError> {
    let classes = scheme.classes();
    if shares.len() != classes.len() {
        return Err(AgronomyError::Refused {
            operation: QUALITY,
            argument: "shares",
            why: format!(
                "give {} shares, from the coarsest: {}",
                classes.len(),
                classes.iter().map(|c| c.name).collect::<Vec<_>>().join(", ")
            ),
        });
    }
    let mut working = Working::new("efficiency = sum(share x factor)");
    let mut efficiency = 0.0;
    let mut sum = 0.0;
    let mut terms = Vec::new();
    for (class, share) in classes.iter().zip(shares) {
        let share = within(QUALITY, "shares", share.value(), "%", 0.0, 100.0)?;
        working = working.given(class.name, share, "%");
        terms.push(format!("{share} x {}", class.factor));
        efficiency += share * class.factor;
        sum += share;
    }
    within(QUALITY, "shares", sum, "% in sum", 98.0, 102.0)?;
    if (sum - 100.0).abs() > 0.05 {
        working = working
            .caution(&format!("The shares sum to {sum:.1} %, not 100; they are taken as given."));
    }
    // Shares that sum to a little over 100 must not make more than all of it.
    let efficiency = efficiency.min(100.0);
    let working = working
        .step("efficiency", terms.join(" + "), efficiency, "%")
        .source(source(scheme.source_key()));
    Ok(Worked::new(Percent(efficiency), working))
}

/// A size fraction whose own neutralising value was measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SizeFraction {
    /// % of the mass.
    pub share: Percent,
    /// Its neutralising value.
    pub nv: Percent,
    /// Share of the carbonate's work that its size does, from 0 to 1.
    pub factor: f64,
}

/// What a lime is worth when each size fraction's own neutralising value is known.
///
/// # Errors `Missing` without fractions, `Argument` for a share, value or factor that cannot be.
/// # Source `dpird-comparing-limes`: sum of share x NV x factor of the size.
pub fn effective_by_fraction(fractions: &[SizeFraction]) -> Result<Worked<Percent>, AgronomyError> {
    if fractions.is_empty() {
        return Err(AgronomyError::Missing {
            operation: QUALITY,
            argument: "fractions",
            remedy: "give the share and neutralising value of each size",
        });
    }
    let mut effective = 0.0;
    let mut sum = 0.0;
    let mut terms = Vec::new();
    for fraction in fractions {
        let share = within(QUALITY, "fraction", fraction.share.value(), "%", 0.0, 100.0)?;
        let nv = within(QUALITY, "nv", fraction.nv.value(), "%", 0.0, 260.0)?;
        let factor = within(QUALITY, "size_factor", fraction.factor, "", 0.0, 1.0)?;
        effective += share * nv * factor / 100.0;
        sum += share;
        terms.push(format!("{share} x {nv} x {factor} / 100"));
    }
    within(QUALITY, "fraction", sum, "% in sum", 98.0, 102.0)?;
    let working = Working::new("effective value = sum(share x NV x factor of the size)")
        .step("effective value", terms.join(" + "), effective, "%")
        .source(source("dpird-comparing-limes"));
    Ok(Worked::new(Percent(effective), working))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finer_is_never_worth_less() {
        for scheme in FinenessScheme::ALL {
            assert_eq!(FinenessScheme::from_id(scheme.id()), Some(scheme), "key");
            let classes = scheme.classes();
            assert!(classes.is_sorted_by(|a, b| a.factor < b.factor), "{}", scheme.id());
            assert!(classes.is_sorted_by(|a, b| a.over_mm > b.over_mm), "{}", scheme.id());
        }
    }

    #[test]
    fn shares_that_cannot_be_are_refused() {
        let scheme = FinenessScheme::Mississippi;
        let of = |shares: &[f64]| {
            let shares: Vec<Percent> = shares.iter().copied().map(Percent).collect();
            fineness_efficiency(scheme, &shares)
        };
        assert!(of(&[10.0, 40.0, 50.0]).is_ok(), "whole");
        assert_eq!(of(&[10.0, 90.0]).unwrap_err().argument(), "shares", "too few");
        assert_eq!(of(&[10.0, 40.0, 70.0]).unwrap_err().argument(), "shares", "too much");
        assert_eq!(of(&[-1.0, 51.0, 50.0]).unwrap_err().argument(), "shares", "negative");
        assert_eq!(effective_by_fraction(&[]).unwrap_err().argument(), "fractions", "nothing");
    }
}
