//! The published methods of lime need, and what each of them takes and means.

use swardbook_units::{Confidence, Source};

use super::Buffer;
use crate::{acidity::AcidityScale, source};

/// A published way to work out how much lime an acid soil needs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LimeMethod {
    /// Turf table by acidity, Penn State.
    PennStateTurf,
    /// Sikora buffer table, western Oregon.
    SikoraOregon,
    /// Mehlich buffer acidity and pH, North Carolina.
    MehlichNorthCarolina,
    /// Field equation by acidity, Penn State.
    PennStateField,
    /// Mehlich buffer table, Queensland.
    MehlichQueensland,
    /// The soil's own lime buffer capacity.
    BufferCapacity,
    /// Rise for each tonne by texture, Victoria.
    TextureVictoria,
    /// 1.5 times the exchangeable aluminium.
    Aluminium,
    /// Aluminium down to what the plants stand.
    TolerableAluminium,
    /// As much as the exchangeable acidity itself.
    ExchangeableAcidity,
    /// Shoemaker, `McLean` and Pratt's table.
    Smp,
    /// Adams and Evans' equation.
    AdamsEvans,
    /// Exchange capacity and pH, New South Wales.
    Ecec,
    /// Buffering by organic carbon and clay, Queensland.
    CarbonAndClay,
    /// Mehlich's own equation of 1976.
    Mehlich1976,
}

/// A reading that a method takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LimeReading {
    /// pH in water or in calcium chloride.
    Ph,
    /// pH in one named buffer.
    BufferPh(Buffer),
    /// Acidity by the Mehlich buffer, by mass.
    BufferAcidity,
    /// Aluminium extracted with potassium chloride.
    Aluminium,
    /// Aluminium and hydrogen extracted with potassium chloride.
    ExchangeableAcidity,
    /// Effective exchange capacity.
    Ecec,
    /// Lime buffer capacity.
    LimeBufferCapacity,
    /// Organic carbon.
    OrganicCarbon,
    /// Clay content.
    Clay,
    /// Texture class.
    Texture,
}

impl LimeReading {
    /// Name of the argument.
    #[must_use]
    pub const fn argument(self) -> &'static str {
        match self {
            Self::Ph => "ph",
            Self::BufferPh(_) => "buffer_ph",
            Self::BufferAcidity => "buffer_acidity",
            Self::Aluminium => "aluminium",
            Self::ExchangeableAcidity => "exchangeable_acidity",
            Self::Ecec => "ecec",
            Self::LimeBufferCapacity => "lime_buffer_capacity",
            Self::OrganicCarbon => "organic_carbon",
            Self::Clay => "clay",
            Self::Texture => "texture",
        }
    }

    /// Name in words.
    #[must_use]
    pub fn name(self) -> String {
        match self {
            Self::Ph => "pH of the soil".to_owned(),
            Self::BufferPh(buffer) => format!("pH in the {} buffer", buffer.name()),
            Self::BufferAcidity => "acidity by the Mehlich buffer, meq/100 g".to_owned(),
            Self::Aluminium => "exchangeable aluminium".to_owned(),
            Self::ExchangeableAcidity => "exchangeable acidity (potassium chloride)".to_owned(),
            Self::Ecec => "effective exchange capacity".to_owned(),
            Self::LimeBufferCapacity => "lime buffer capacity".to_owned(),
            Self::OrganicCarbon => "organic carbon".to_owned(),
            Self::Clay => "clay content".to_owned(),
            Self::Texture => "texture".to_owned(),
        }
    }
}

/// The layer of soil that a method's figures are for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LimeBasis {
    /// A depth; the bulk density is not stated, so only the depth is scaled.
    Depth {
        /// Depth of the layer.
        depth_mm: f64,
    },
    /// A mass of soil over area; scaled by mass.
    SoilMass {
        /// Mass of the layer.
        kg_per_m2: f64,
        /// How the source says it.
        words: &'static str,
    },
    /// The source names no layer: the dose is as printed.
    AsPrinted,
    /// Worked out for the layer itself.
    Own,
}

/// Oven-dry soil in 8 inches of an acre, 2.4 million lb, as mass over area in kg/m2.
///
/// # Source `uc-davis-smp`.
const EIGHT_INCHES: f64 = 2_400_000.0 * LB_PER_ACRE;
/// Two million lb to the acre, in kg/m2; follows from 8000 lb for each pH unit of the equation.
const FURROW_SLICE: f64 = 2_000_000.0 * LB_PER_ACRE;
/// Pound and acre, exact (international yard and pound agreement 1959).
const LB_PER_ACRE: f64 = 0.453_592_37 / 4_046.856_422_4;

impl LimeMethod {
    /// Every method, in the order in which one is chosen.
    ///
    /// Confirmed ones come first; among them those calibrated on turf or in the field with a buffer
    /// before general tables, and those that aim at a pH before those that only meet an acidity.
    pub const ALL: [Self; 15] = [
        Self::PennStateTurf,
        Self::SikoraOregon,
        Self::MehlichNorthCarolina,
        Self::PennStateField,
        Self::MehlichQueensland,
        Self::BufferCapacity,
        Self::TextureVictoria,
        Self::TolerableAluminium,
        Self::Aluminium,
        Self::ExchangeableAcidity,
        Self::Smp,
        Self::AdamsEvans,
        Self::Ecec,
        Self::CarbonAndClay,
        Self::Mehlich1976,
    ];

    /// Key, such as `sikora-oregon`.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::PennStateTurf => "penn-state-turf",
            Self::SikoraOregon => "sikora-oregon",
            Self::MehlichNorthCarolina => "mehlich-north-carolina",
            Self::PennStateField => "penn-state-field",
            Self::MehlichQueensland => "mehlich-queensland",
            Self::BufferCapacity => "buffer-capacity",
            Self::TextureVictoria => "texture-victoria",
            Self::Aluminium => "aluminium",
            Self::TolerableAluminium => "tolerable-aluminium",
            Self::ExchangeableAcidity => "exchangeable-acidity",
            Self::Smp => "smp",
            Self::AdamsEvans => "adams-evans",
            Self::Ecec => "ecec",
            Self::CarbonAndClay => "carbon-and-clay",
            Self::Mehlich1976 => "mehlich-1976",
        }
    }

    /// A method by its key.
    #[must_use]
    pub fn from_id(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|method| method.id() == id)
    }

    /// Title in words.
    #[must_use]
    pub const fn title(self) -> &'static str {
        match self {
            Self::PennStateTurf => "Turf table by buffer acidity (Pennsylvania)",
            Self::SikoraOregon => "Sikora buffer table (western Oregon)",
            Self::MehlichNorthCarolina => "Mehlich buffer and pH (North Carolina)",
            Self::PennStateField => "Field equation by buffer acidity (Pennsylvania)",
            Self::MehlichQueensland => "Mehlich buffer table (Queensland)",
            Self::BufferCapacity => "The soil's own lime buffer capacity",
            Self::TextureVictoria => "pH rise for each tonne by texture (Victoria)",
            Self::Aluminium => "One and a half times the exchangeable aluminium",
            Self::TolerableAluminium => "Aluminium down to what the plants stand",
            Self::ExchangeableAcidity => "As much as the exchangeable acidity",
            Self::Smp => "SMP buffer table (Ohio)",
            Self::AdamsEvans => "Adams-Evans buffer and pH (Alabama)",
            Self::Ecec => "Exchange capacity and pH (New South Wales)",
            Self::CarbonAndClay => "Buffering by organic carbon and clay (Queensland)",
            Self::Mehlich1976 => "Mehlich buffer, equation of 1976",
        }
    }

    /// Keys of its publications.
    #[must_use]
    pub const fn source_keys(self) -> &'static [&'static str] {
        match self {
            Self::PennStateTurf => &["penn-state-turf-lime"],
            Self::SikoraOregon => &["moore-2025"],
            Self::MehlichNorthCarolina => &["north-carolina-lime-factors"],
            Self::PennStateField => &["penn-state-agronomy-guide-lime"],
            Self::MehlichQueensland | Self::Aluminium | Self::TolerableAluminium => {
                &["rayment-lyons-2011"]
            }
            Self::BufferCapacity => &["kissel-lime-buffer"],
            Self::TextureVictoria => &["miller-lime"],
            Self::ExchangeableAcidity => &["rayment-lyons-2011", "brady-weil-2008"],
            Self::Smp => &["shoemaker-1961", "uc-davis-smp"],
            Self::AdamsEvans => &["huluka-adams-evans", "adams-evans-1962"],
            Self::Ecec => &["upjohn-2005"],
            Self::CarbonAndClay => &["aitken-1990"],
            Self::Mehlich1976 => &["mehlich-1976"],
        }
    }

    /// Its publications.
    #[must_use]
    pub fn sources(self) -> Vec<Source> {
        self.source_keys().iter().map(|key| source(key)).collect()
    }

    /// The weakest word that its figures rest on.
    #[must_use]
    pub fn confidence(self) -> Confidence {
        self.sources().iter().map(|s| s.confidence).max().unwrap_or(Confidence::FromMemory)
    }

    /// The readings it cannot do without.
    #[must_use]
    pub const fn needs(self) -> &'static [LimeReading] {
        use LimeReading as R;
        match self {
            Self::PennStateTurf | Self::PennStateField => &[R::BufferAcidity],
            Self::SikoraOregon => &[R::BufferPh(Buffer::Sikora)],
            Self::MehlichNorthCarolina => &[R::Ph, R::BufferPh(Buffer::Mehlich)],
            Self::MehlichQueensland | Self::Mehlich1976 => &[R::BufferPh(Buffer::Mehlich)],
            Self::BufferCapacity => &[R::Ph, R::LimeBufferCapacity],
            Self::TextureVictoria => &[R::Ph, R::Texture],
            Self::Aluminium | Self::TolerableAluminium => &[R::Aluminium],
            Self::ExchangeableAcidity => &[R::ExchangeableAcidity],
            Self::Smp => &[R::BufferPh(Buffer::Smp)],
            Self::AdamsEvans => &[R::Ph, R::BufferPh(Buffer::AdamsEvans)],
            Self::Ecec => &[R::Ph, R::Ecec],
            Self::CarbonAndClay => &[R::Ph, R::OrganicCarbon, R::Clay],
        }
    }

    /// The scale its target is on; none where it works on either.
    #[must_use]
    pub const fn scale(self) -> Option<AcidityScale> {
        match self {
            Self::BufferCapacity => None,
            Self::TextureVictoria | Self::Ecec => Some(AcidityScale::CalciumChloride),
            _ => Some(AcidityScale::Water),
        }
    }

    /// Least and greatest target it takes, on its scale; none where it does not aim at a pH.
    #[must_use]
    pub const fn targets(self) -> Option<(f64, f64)> {
        match self {
            Self::PennStateTurf | Self::Smp => Some((6.0, 7.0)),
            Self::SikoraOregon => Some((5.6, 7.2)),
            // The factor has no meaning at and above the buffer's own pH of 6.6.
            Self::MehlichNorthCarolina => Some((4.0, 6.6)),
            Self::PennStateField => Some((6.5, 7.0)),
            Self::MehlichQueensland => Some((5.5, 6.5)),
            Self::BufferCapacity | Self::CarbonAndClay => Some((4.0, 7.0)),
            // "Stop near the target": a straight line, for the pastures it was drawn on.
            Self::TextureVictoria => Some((4.0, 6.0)),
            Self::AdamsEvans => Some((5.0, 6.8)),
            Self::Ecec => Some((4.0, 5.5)),
            Self::Aluminium
            | Self::TolerableAluminium
            | Self::ExchangeableAcidity
            | Self::Mehlich1976 => None,
        }
    }

    /// Whether it works towards a pH; the others only meet an acidity.
    #[must_use]
    pub const fn aims_at_ph(self) -> bool {
        self.targets().is_some()
    }

    /// The layer of soil its figures are for.
    #[must_use]
    pub const fn basis(self) -> LimeBasis {
        match self {
            Self::PennStateTurf | Self::MehlichNorthCarolina => LimeBasis::AsPrinted,
            Self::SikoraOregon => LimeBasis::Depth { depth_mm: 152.4 },
            Self::PennStateField => LimeBasis::Depth { depth_mm: 177.8 },
            Self::MehlichQueensland | Self::TextureVictoria | Self::Ecec => {
                LimeBasis::Depth { depth_mm: 100.0 }
            }
            Self::Aluminium => LimeBasis::SoilMass { kg_per_m2: 100.0, words: "10 cm at 1.0 t/m3" },
            Self::TolerableAluminium => {
                LimeBasis::SoilMass { kg_per_m2: 130.0, words: "10 cm at 1.3 t/m3" }
            }
            Self::Smp => {
                LimeBasis::SoilMass { kg_per_m2: EIGHT_INCHES, words: "8 in, 2.4 million lb/acre" }
            }
            Self::AdamsEvans => LimeBasis::SoilMass {
                kg_per_m2: FURROW_SLICE,
                words: "2 million lb/acre, which the equation implies",
            },
            Self::BufferCapacity
            | Self::ExchangeableAcidity
            | Self::CarbonAndClay
            | Self::Mehlich1976 => LimeBasis::Own,
        }
    }

    /// The unit its publication gives the dose in.
    #[must_use]
    pub const fn unit(self) -> &'static str {
        match self {
            Self::PennStateTurf => "lb/1000 ft2",
            Self::SikoraOregon | Self::MehlichNorthCarolina | Self::Smp => "US ton/acre",
            Self::PennStateField | Self::AdamsEvans => "lb/acre",
            Self::MehlichQueensland
            | Self::BufferCapacity
            | Self::TextureVictoria
            | Self::Ecec
            | Self::CarbonAndClay => "t/ha",
            Self::Aluminium | Self::TolerableAluminium | Self::ExchangeableAcidity => "kg/ha",
            Self::Mehlich1976 => "meq/100 cm3",
        }
    }
}
