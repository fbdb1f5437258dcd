//! Linear light of the 8-bit codes that photos are made of.

use std::sync::LazyLock;

use crate::srgb::decode;

/// Linear light of each code, in single precision: enough for pixels, whose codes are a 255th apart.
pub(crate) static LIGHT_OF_CODE: LazyLock<[f32; 256]> = LazyLock::new(|| {
    #[expect(clippy::cast_possible_truncation, reason = "single precision is what pixels need")]
    std::array::from_fn(|code| decode(code as f64 / 255.0) as f32)
});
