//! Three by three matrices, as much of them as colour needs.

/// Rows of a 3 x 3 matrix.
pub type Matrix = [[f64; 3]; 3];

/// The matrix that changes nothing.
pub const IDENTITY: Matrix = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

/// Matrix times column.
#[must_use]
pub fn times(matrix: &Matrix, column: [f64; 3]) -> [f64; 3] {
    matrix.map(|row| row[0] * column[0] + row[1] * column[1] + row[2] * column[2])
}

/// Matrix times matrix: first `right`, then `left`.
#[must_use]
pub fn product(left: &Matrix, right: &Matrix) -> Matrix {
    std::array::from_fn(|row| {
        std::array::from_fn(|column| (0..3).map(|k| left[row][k] * right[k][column]).sum())
    })
}

/// A matrix with these numbers on its diagonal.
#[must_use]
pub fn diagonal(numbers: [f64; 3]) -> Matrix {
    std::array::from_fn(|row| {
        std::array::from_fn(|column| if row == column { numbers[row] } else { 0.0 })
    })
}

/// The inverse, or `None` where there is none to working precision.
#[must_use]
pub fn inverse(m: &Matrix) -> Option<Matrix> {
    let cofactor = |row: usize, column: usize| {
        let (a, b) = ((row + 1) % 3, (row + 2) % 3);
        let (c, d) = ((column + 1) % 3, (column + 2) % 3);
        m[a][c] * m[b][d] - m[a][d] * m[b][c]
    };
    let determinant: f64 = (0..3).map(|column| m[0][column] * cofactor(0, column)).sum();
    let size = m.iter().flatten().fold(0.0_f64, |most, entry| most.max(entry.abs()));
    if !determinant.is_finite() || determinant.abs() <= 1e-12 * size.powi(3) {
        return None;
    }
    Some(std::array::from_fn(|row| {
        std::array::from_fn(|column| cofactor(column, row) / determinant)
    }))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inverse_times_matrix_is_identity() {
        let m = [[2.0, -1.0, 0.5], [0.3, 4.0, 1.0], [1.0, 0.0, 3.0]];
        let one = product(&inverse(&m).expect("it has one"), &m);
        for row in 0..3 {
            for column in 0..3 {
                assert!((one[row][column] - IDENTITY[row][column]).abs() < 1e-12, "{one:?}");
            }
        }
        assert_eq!(inverse(&[[1.0, 2.0, 3.0], [2.0, 4.0, 6.0], [0.0, 1.0, 1.0]]), None, "singular");
    }
}
