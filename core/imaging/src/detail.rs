//! Fine detail along the rows of a photo, by which blur is told.

/// Squared differences of neighbouring blocks of two by two pixels, and of blocks farther apart.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct Detail {
    near: f64,
    far: f64,
}

/// Blocks between the farther pair.
const APART: usize = 8;
/// Sums kept side by side.
const LANES: usize = 8;

impl Detail {
    pub(crate) fn add(&mut self, other: Self) {
        self.near += other.near;
        self.far += other.far;
    }

    /// Looks along ranges of two rows of green codes; `blocks` is room to work in.
    ///
    /// Green carries most of the detail of turf, and of a camera's sensor; blocks, so that the
    /// noise of single pixels does not pass for detail.
    #[inline(always)]
    pub(crate) fn look_along(
        &mut self,
        upper: &[u8],
        lower: &[u8],
        spans: &[(usize, usize)],
        blocks: &mut Vec<f32>,
    ) {
        for (from, to) in spans {
            blocks.clear();
            let pairs = upper[*from..*to].chunks_exact(2).zip(lower[*from..*to].chunks_exact(2));
            blocks.extend(pairs.map(|(up, low)| {
                let sum = [up[0], up[1], low[0], low[1]].map(u16::from).iter().sum::<u16>();
                f32::from(sum)
            }));
            // Pairs are counted by share, for fewer fit that are far apart.
            if blocks.len() > APART {
                let all = blocks.len() as f64;
                self.near += squared(blocks, 1) / (all - 1.0) * all;
                self.far += squared(blocks, APART) / (all - APART as f64) * all;
            }
        }
    }

    /// Near over far: near 1 for the finest detail, 1/64 for a smooth slope.
    ///
    /// A ratio, so that it does not depend on how rich in contrast the turf is.
    pub(crate) fn sharpness(self) -> f64 {
        // A region of one code has no detail to judge by; it counts as blurred.
        if self.far > 0.0 { self.near / self.far } else { 0.0 }
    }
}

/// Sum of squared differences of blocks so far apart.
#[inline(always)]
fn squared(blocks: &[f32], apart: usize) -> f64 {
    let pairs = blocks.len() - apart;
    let (ones, others) = (&blocks[..pairs], &blocks[apart..]);
    let mut sums = [0.0_f32; LANES];
    let (mut left, mut right) = (ones.chunks_exact(LANES), others.chunks_exact(LANES));
    for (a, b) in left.by_ref().zip(right.by_ref()) {
        for ((sum, a), b) in sums.iter_mut().zip(a).zip(b) {
            *sum += (a - b) * (a - b);
        }
    }
    let rest: f32 =
        left.remainder().iter().zip(right.remainder()).map(|(a, b)| (a - b) * (a - b)).sum();
    sums.iter().copied().map(f64::from).sum::<f64>() + f64::from(rest)
}
