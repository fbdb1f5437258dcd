//! Rows of pixels with each channel by itself, as the loops over them want it.

use crate::pixel::LIGHT_OF_CODE;

/// One row: red, green, blue.
#[derive(Debug, Clone)]
pub(crate) struct Planes<T>(pub(crate) [Vec<T>; 3]);

impl<T: Copy + Default> Planes<T> {
    pub(crate) fn of_width(width: usize) -> Self {
        Self(std::array::from_fn(|_| vec![T::default(); width]))
    }

    pub(crate) fn width(&self) -> usize {
        self.0[0].len()
    }

    /// A range of columns.
    #[inline(always)]
    pub(crate) fn part(&self, from: usize, to: usize) -> [&[T]; 3] {
        let [r, g, b] = &self.0;
        [&r[from..to], &g[from..to], &b[from..to]]
    }
}

impl Planes<u8> {
    /// Takes a row of a frame apart.
    #[inline(always)]
    pub(crate) fn fill(&mut self, row: &[u8]) {
        let [r, g, b] = &mut self.0;
        for (((r, g), b), pixel) in r.iter_mut().zip(g).zip(b).zip(row.chunks_exact(3)) {
            (*r, *g, *b) = (pixel[0], pixel[1], pixel[2]);
        }
    }
}

impl Planes<f32> {
    /// The linear light of codes.
    #[inline(always)]
    pub(crate) fn light_up(&mut self, codes: &Planes<u8>) {
        let table = &*LIGHT_OF_CODE;
        for (light, codes) in self.0.iter_mut().zip(&codes.0) {
            for (light, code) in light.iter_mut().zip(codes) {
                *light = table[usize::from(*code)];
            }
        }
    }

    /// Mean light of blocks of two by two pixels.
    #[inline(always)]
    pub(crate) fn halve(&mut self, upper: &Self, lower: &Self) {
        for ((to, up), low) in self.0.iter_mut().zip(&upper.0).zip(&lower.0) {
            let blocks = up.chunks_exact(2).zip(low.chunks_exact(2));
            for (to, (up, low)) in to.iter_mut().zip(blocks) {
                *to = 0.25 * (up[0] + up[1] + low[0] + low[1]);
            }
        }
    }
}
