//! Soil texture by feel, and the three broad groups that published tables use.

/// Texture class, from the lightest to the heaviest.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Texture {
    /// Sand.
    Sand,
    /// Loamy sand.
    LoamySand,
    /// Sandy loam.
    SandyLoam,
    /// Loam.
    Loam,
    /// Silt loam.
    SiltLoam,
    /// Sandy clay loam.
    SandyClayLoam,
    /// Clay loam.
    ClayLoam,
    /// Light clay.
    LightClay,
    /// Medium clay.
    MediumClay,
    /// Heavy clay.
    HeavyClay,
}

/// The three groups of published tables.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum TextureGroup {
    /// Sand and loamy sand.
    Sand,
    /// The loams.
    Loam,
    /// The clays.
    Clay,
}

impl Texture {
    /// Every class, from the lightest to the heaviest.
    pub const ALL: [Self; 10] = [
        Self::Sand,
        Self::LoamySand,
        Self::SandyLoam,
        Self::Loam,
        Self::SiltLoam,
        Self::SandyClayLoam,
        Self::ClayLoam,
        Self::LightClay,
        Self::MediumClay,
        Self::HeavyClay,
    ];

    /// Key, such as `sandy-loam`.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::Sand => "sand",
            Self::LoamySand => "loamy-sand",
            Self::SandyLoam => "sandy-loam",
            Self::Loam => "loam",
            Self::SiltLoam => "silt-loam",
            Self::SandyClayLoam => "sandy-clay-loam",
            Self::ClayLoam => "clay-loam",
            Self::LightClay => "light-clay",
            Self::MediumClay => "medium-clay",
            Self::HeavyClay => "heavy-clay",
        }
    }

    /// A class by its key.
    #[must_use]
    pub fn from_id(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|texture| texture.id() == id)
    }

    /// Name in words.
    #[must_use]
    pub fn name(self) -> String {
        self.id().replace('-', " ")
    }

    /// The broad group the class falls in.
    ///
    /// # Source `common-practice`: the tables name only the three groups.
    #[must_use]
    pub const fn group(self) -> TextureGroup {
        match self {
            Self::Sand | Self::LoamySand => TextureGroup::Sand,
            Self::SandyLoam
            | Self::Loam
            | Self::SiltLoam
            | Self::SandyClayLoam
            | Self::ClayLoam => TextureGroup::Loam,
            Self::LightClay | Self::MediumClay | Self::HeavyClay => TextureGroup::Clay,
        }
    }
}

impl TextureGroup {
    /// Key and name.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::Sand => "sand",
            Self::Loam => "loam",
            Self::Clay => "clay",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_are_unique_and_read_back() {
        for texture in Texture::ALL {
            assert_eq!(Texture::from_id(texture.id()), Some(texture), "{}", texture.name());
        }
        assert_eq!(Texture::from_id("mud"), None, "not a class");
    }
}
