//! The words that both people read to each other before two devices trust each other.

/// Words in one check: 32 bits, of which a stranger has one guess.
const WORDS: usize = 4;

/// The words that stand for a number both devices worked out.
pub(crate) fn words(hash: &blake3::Hash) -> [&'static str; WORDS] {
    std::array::from_fn(|place| LIST[usize::from(hash.as_bytes()[place])])
}

/// Plain words that sound and look unlike each other.
const LIST: [&str; 256] = [
    "acorn", "apple", "apron", "arrow", "autumn", "badge", "baker", "bamboo", "banjo", "barley",
    "basin", "basket", "beacon", "beaver", "beetle", "bench", "berry", "birch", "biscuit",
    "blanket", "blossom", "board", "bonnet", "bottle", "branch", "bread", "bridge", "brook",
    "broom", "bucket", "button", "cabin", "cactus", "candle", "canoe", "canvas", "carpet",
    "carrot", "castle", "cedar", "cellar", "chair", "chalk", "cherry", "chimney", "cider",
    "circle", "cliff", "clock", "clover", "cobalt", "coffee", "comet", "copper", "coral", "corner",
    "cotton", "cradle", "crater", "cricket", "crown", "cup", "curtain", "daisy", "dancer",
    "desert", "dinner", "dolphin", "donkey", "door", "dragon", "drum", "duck", "eagle", "earth",
    "easel", "echo", "elbow", "ember", "engine", "falcon", "feather", "fence", "fern", "fiddle",
    "field", "finch", "finger", "fire", "flag", "flint", "flower", "flute", "forest", "fossil",
    "fountain", "fox", "frost", "garden", "gate", "ginger", "glass", "globe", "goose", "grain",
    "granite", "grape", "gravel", "guitar", "hammer", "harbour", "harvest", "hazel", "heron",
    "hill", "honey", "hood", "horse", "ice", "igloo", "ink", "iron", "island", "ivory", "jacket",
    "jar", "jelly", "jewel", "jungle", "kettle", "key", "kitchen", "kite", "kitten", "ladder",
    "lagoon", "lake", "lamp", "lantern", "leaf", "lemon", "lentil", "letter", "lilac", "linen",
    "lion", "lobster", "locket", "lotus", "magnet", "mango", "maple", "marble", "market", "meadow",
    "melon", "mirror", "mitten", "monkey", "moon", "moss", "mountain", "mouse", "mustard",
    "napkin", "needle", "nest", "north", "nutmeg", "oak", "oasis", "ocean", "olive", "onion",
    "orange", "orchard", "otter", "oven", "owl", "oyster", "paddle", "palace", "panda", "paper",
    "parrot", "pasture", "peach", "peanut", "pearl", "pebble", "pencil", "pepper", "piano",
    "pickle", "pigeon", "pillow", "pine", "planet", "plum", "pocket", "poem", "pony", "poppy",
    "potato", "pumpkin", "puzzle", "quail", "quarry", "quilt", "rabbit", "radio", "raft", "rain",
    "raven", "ribbon", "ridge", "river", "robin", "rocket", "rope", "rose", "saddle", "sailor",
    "salmon", "sandal", "saucer", "school", "shadow", "shell", "shovel", "silver", "sister",
    "skate", "slate", "snow", "sofa", "spade", "sparrow", "spider", "spoon", "spruce", "squirrel",
    "stable", "star", "stone", "summer", "sunset", "swan", "table", "tailor", "teapot", "temple",
    "thunder", "tiger", "timber", "tomato",
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_word_stands_for_two_numbers() {
        let mut sorted = LIST.to_vec();
        sorted.sort_unstable();
        sorted.dedup();
        assert_eq!(sorted.len(), 256, "256 words");
    }
}
