//! What a material is for, how it comes, and the ground a limit is for.

/// What a material is put on for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum MaterialKind {
    /// Raises the pH.
    Lime,
    /// Brings calcium without moving the pH.
    Calcium,
    /// Lowers the pH.
    Acidifier,
    /// Brings a main nutrient.
    Nutrient,
    /// Brings a trace element.
    Trace,
    /// Organic matter with some nutrients.
    Organic,
}

/// How it comes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Form {
    /// Dust and powder.
    Powder,
    /// Granules or prills.
    Granules,
    /// Crystals that dissolve.
    Crystals,
    /// A liquid.
    Liquid,
    /// Bulky stuff, spread by the barrow.
    Bulky,
}

impl MaterialKind {
    /// Every kind.
    pub const ALL: [Self; 6] =
        [Self::Lime, Self::Calcium, Self::Acidifier, Self::Nutrient, Self::Trace, Self::Organic];

    /// Key.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::Lime => "lime",
            Self::Calcium => "calcium",
            Self::Acidifier => "acidifier",
            Self::Nutrient => "nutrient",
            Self::Trace => "trace",
            Self::Organic => "organic",
        }
    }

    /// A kind by its key.
    #[must_use]
    pub fn from_id(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.id() == id)
    }
}

impl Form {
    /// Every form.
    pub const ALL: [Self; 5] =
        [Self::Powder, Self::Granules, Self::Crystals, Self::Liquid, Self::Bulky];

    /// Key.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::Powder => "powder",
            Self::Granules => "granules",
            Self::Crystals => "crystals",
            Self::Liquid => "liquid",
            Self::Bulky => "bulky",
        }
    }

    /// A form by its key.
    #[must_use]
    pub fn from_id(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|form| form.id() == id)
    }
}

/// Whether it may go on established grass.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum OnGrass {
    /// At its limits.
    Fit,
    /// Only with particular care; never proposed by itself.
    Careful,
    /// Not at all.
    Never,
}

/// The ground that a limit is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LimitGround {
    /// Established grass mown at lawn height.
    Grass,
    /// Greens, tees and other close-mown grass.
    LowMown,
    /// Garden beds and bare ground.
    Garden,
}

impl LimitGround {
    /// Every ground.
    pub const ALL: [Self; 3] = [Self::Grass, Self::LowMown, Self::Garden];

    /// Key.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::Grass => "grass",
            Self::LowMown => "low-mown",
            Self::Garden => "garden",
        }
    }

    /// A ground by its key.
    #[must_use]
    pub fn from_id(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|ground| ground.id() == id)
    }
}
