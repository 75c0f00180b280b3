//! Arithmetic with some 40 digits, and driving-point resistances by it that know nothing of elimination orders.

use num_bigint::BigInt;
use std::ops::{Add, Div, Mul, Sub};

/// A number in steps of 2^-140.
#[derive(Clone, PartialEq, PartialOrd)]
pub struct Exact(BigInt);

const BITS: u32 = 140;

impl Exact {
    /// The double itself, to its last bit.
    pub fn from_f64(value: f64) -> Exact {
        let bits = value.to_bits();
        let exponent = (bits >> 52) as i32;
        let mantissa = BigInt::from(bits & ((1 << 52) - 1) | 1 << 52);
        let shift = exponent - 1075 + BITS as i32;
        assert!(value == 0.0 || (value > 0.0 && shift >= 0), "{value} has no place here");
        Exact(if value == 0.0 { BigInt::ZERO } else { mantissa << shift })
    }

    pub fn zero() -> Exact {
        Exact(BigInt::ZERO)
    }

    pub fn times(&self, other: &Exact) -> Exact {
        Exact((&self.0 * &other.0) >> BITS)
    }

    /// `found / self - 1`.
    pub fn error_of(&self, found: f64) -> f64 {
        let error = (Exact::from_f64(found) - self.clone()) / self.clone();
        // In steps of 2^-100: what is less is nothing.
        let steps: i128 = (error.0 >> (BITS - 100)).try_into().expect("an error below 1");
        steps as f64 / 2f64.powi(100)
    }
}

impl Add for Exact {
    type Output = Exact;
    fn add(self, other: Exact) -> Exact {
        Exact(self.0 + other.0)
    }
}

impl Sub for Exact {
    type Output = Exact;
    fn sub(self, other: Exact) -> Exact {
        Exact(self.0 - other.0)
    }
}

impl Mul for Exact {
    type Output = Exact;
    fn mul(self, other: Exact) -> Exact {
        self.times(&other)
    }
}

impl Div for Exact {
    type Output = Exact;
    fn div(self, other: Exact) -> Exact {
        Exact((self.0 << BITS) / other.0)
    }
}

pub type Block = [[Exact; 4]; 4];

pub fn block(mut entry: impl FnMut(usize, usize) -> Exact) -> Block {
    std::array::from_fn(|i| std::array::from_fn(|j| entry(i, j)))
}

/// The inverse, by Gauss and Jordan in place and without pivoting (for positive definite blocks).
pub fn inverse(of: &Block) -> Block {
    let mut a = of.clone();
    for k in 0..4 {
        let inverse = Exact::from_f64(1.0) / a[k][k].clone();
        a[k][k] = Exact::from_f64(1.0);
        let pivot_row = a[k].each_ref().map(|entry| entry.times(&inverse));
        for (_, row) in a.iter_mut().enumerate().filter(|(i, _)| *i != k) {
            let factor = std::mem::replace(&mut row[k], Exact::zero());
            for (entry, pivot) in row.iter_mut().zip(&pivot_row) {
                entry.0 -= factor.times(pivot).0;
            }
        }
        a[k] = pivot_row;
    }
    a
}
