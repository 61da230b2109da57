//! The little 3 by 3 algebra the generator needs.

use crate::climate::Matrix;

/// `a b`.
pub fn times(a: &Matrix, b: &Matrix) -> Matrix {
    std::array::from_fn(|i| std::array::from_fn(|j| (0..3).map(|k| a[i][k] * b[k][j]).sum()))
}

/// Rows and columns swapped.
pub fn transposed(a: &Matrix) -> Matrix {
    std::array::from_fn(|i| std::array::from_fn(|j| a[j][i]))
}

/// `a + f b`.
pub fn plus(a: &Matrix, f: f64, b: &Matrix) -> Matrix {
    std::array::from_fn(|i| std::array::from_fn(|j| a[i][j] + f * b[i][j]))
}

/// Inverse by cofactors; `None` when there is none worth having.
pub fn inverse(a: &Matrix) -> Option<Matrix> {
    let minor = |i: usize, j: usize| {
        let (r, c) = ([(i + 1) % 3, (i + 2) % 3], [(j + 1) % 3, (j + 2) % 3]);
        a[r[0]][c[0]] * a[r[1]][c[1]] - a[r[0]][c[1]] * a[r[1]][c[0]]
    };
    let det: f64 = (0..3).map(|j| a[0][j] * minor(0, j)).sum();
    (det.abs() > 1e-9).then(|| std::array::from_fn(|i| std::array::from_fn(|j| minor(j, i) / det)))
}

/// Lower triangle `l` with `l l^T = a`; `None` when `a` is not positive definite.
pub fn cholesky(a: &Matrix) -> Option<Matrix> {
    let mut l = [[0.0; 3]; 3];
    for i in 0..3 {
        for j in 0..=i {
            let rest = a[i][j] - (0..j).map(|k| l[i][k] * l[j][k]).sum::<f64>();
            if i == j {
                if rest <= 1e-9 {
                    return None;
                }
                l[i][i] = rest.sqrt();
            } else {
                l[i][j] = rest / l[j][j];
            }
        }
    }
    Some(l)
}

/// The covariance a process `x' = a x + b e` settles to.
pub fn settled(a: &Matrix, b: &Matrix) -> Matrix {
    let shock = times(b, &transposed(b));
    let mut v = shock;
    for _ in 0..500 {
        v = plus(&times(&times(a, &v), &transposed(a)), 1.0, &shock);
    }
    v
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A and B as Richardson and Wright (1984) print them.
    const A: Matrix = [[0.567, 0.086, -0.002], [0.253, 0.504, -0.050], [-0.006, -0.039, 0.244]];
    const B: Matrix = [[0.781, 0.0, 0.0], [0.328, 0.637, 0.0], [0.238, -0.341, 0.873]];

    #[test]
    fn printed_matrices_keep_unit_variance_and_come_back() {
        let v = settled(&A, &B);
        for (i, row) in v.iter().enumerate() {
            assert!((row[i] - 1.0).abs() < 0.02, "{v:?}");
        }
        let m1 = times(&A, &v);
        let a = times(&m1, &inverse(&v).unwrap());
        let b = cholesky(&plus(&v, -1.0, &times(&a, &transposed(&m1)))).unwrap();
        for i in 0..3 {
            for j in 0..3 {
                assert!((a[i][j] - A[i][j]).abs() < 1e-9 && (b[i][j] - B[i][j]).abs() < 1e-9);
            }
        }
    }

    #[test]
    fn misprints_are_caught_by_the_variance() {
        let mut b = B;
        b[0][0] = 0.718;
        b[2][1] = -0.314;
        let v = settled(&A, &b);
        assert!(
            (v[0][0] - 0.85).abs() < 0.01 && (v[1][1] - 0.97).abs() < 0.01 && (v[2][2] - 0.98).abs() < 0.01
        );
        assert!(cholesky(&[[1.0, 2.0, 0.0], [2.0, 1.0, 0.0], [0.0, 0.0, 1.0]]).is_none());
    }
}
