//! Sums of points: exact, whatever their size.
//!
//! In: decimals. Out: means, standard deviations, correlations; nothing where there are too few, no
//! spread, or numbers beyond what a decimal holds. Deviations are taken from the first value, so that
//! points far from zero lose nothing.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive as _;

/// A decimal as the nearest double.
pub(super) fn f64_of(value: Decimal) -> f64 {
    value.to_f64().unwrap_or(f64::NAN)
}

/// Sums over one quantity.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Moments {
    count: usize,
    origin: Decimal,
    /// Of the deviations from the origin and of their squares; none beyond what a decimal holds.
    sums: Option<(Decimal, Decimal)>,
}

impl Moments {
    /// Of values.
    pub fn of(values: impl IntoIterator<Item = Decimal>) -> Self {
        let mut moments = Self {
            sums: Some((Decimal::ZERO, Decimal::ZERO)),
            ..Self::default()
        };
        for value in values {
            if moments.count == 0 {
                moments.origin = value;
            }
            moments.count += 1;
            moments.sums = moments.sums.and_then(|(sum, squares)| {
                let off = value.checked_sub(moments.origin)?;
                Some((
                    sum.checked_add(off)?,
                    squares.checked_add(off.checked_mul(off)?)?,
                ))
            });
        }
        moments
    }

    /// The mean; none of nothing.
    pub fn mean(&self) -> Option<Decimal> {
        let (sum, _) = self.sums?;
        let off = sum.checked_div(Decimal::from(self.count))?;
        self.origin.checked_add(off)
    }

    /// The sum of squared deviations from the mean, times the count, which is exact.
    fn spread(&self) -> Option<Decimal> {
        let (sum, squares) = self.sums?;
        let all = squares.checked_mul(Decimal::from(self.count))?;
        all.checked_sub(sum.checked_mul(sum)?)
    }

    /// The variance over n − 1; none of fewer than two.
    pub fn variance(&self) -> Option<f64> {
        if self.count < 2 {
            return None;
        }
        let count = self.count as f64;
        Some(f64_of(self.spread()?) / count / (count - 1.0))
    }

    /// The standard deviation over n − 1; none of fewer than two.
    pub fn sd(&self) -> Option<f64> {
        self.variance().map(f64::sqrt)
    }
}

/// Sums over pairs of quantities.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Pairs {
    count: usize,
    origin: (Decimal, Decimal),
    sums: Option<[Decimal; 5]>,
}

impl Pairs {
    /// Of pairs.
    pub(super) fn of(pairs: impl IntoIterator<Item = (Decimal, Decimal)>) -> Self {
        let mut found = Self {
            sums: Some([Decimal::ZERO; 5]),
            ..Self::default()
        };
        for (x, y) in pairs {
            if found.count == 0 {
                found.origin = (x, y);
            }
            found.count += 1;
            let origin = found.origin;
            found.sums = found.sums.and_then(|[sx, sy, sxx, syy, sxy]| {
                let (x, y) = (x.checked_sub(origin.0)?, y.checked_sub(origin.1)?);
                Some([
                    sx.checked_add(x)?,
                    sy.checked_add(y)?,
                    sxx.checked_add(x.checked_mul(x)?)?,
                    syy.checked_add(y.checked_mul(y)?)?,
                    sxy.checked_add(x.checked_mul(y)?)?,
                ])
            });
        }
        found
    }

    /// Pearson's correlation; none where one side has no spread.
    pub(super) fn correlation(&self) -> Option<f64> {
        let [sx, sy, sxx, syy, sxy] = self.sums?;
        let count = Decimal::from(self.count);
        let spread = |both: Decimal, one: Decimal, other: Decimal| {
            both.checked_mul(count)?
                .checked_sub(one.checked_mul(other)?)
        };
        let (x, y) = (spread(sxx, sx, sx)?, spread(syy, sy, sy)?);
        if x.is_zero() || y.is_zero() {
            return None;
        }
        let both = f64_of(spread(sxy, sx, sy)?);
        Some(both / (f64_of(x).sqrt() * f64_of(y).sqrt()))
    }
}

/// Pearson's correlation of physical quantities; none where one side has no spread worth the name.
pub(super) fn correlation_f64(pairs: impl Iterator<Item = (f64, f64)>) -> Option<f64> {
    let pairs: Vec<(f64, f64)> = pairs.collect();
    let count = pairs.len() as f64;
    let mean = |value: fn(&(f64, f64)) -> f64| pairs.iter().map(value).sum::<f64>() / count;
    let (mx, my) = (mean(|pair| pair.0), mean(|pair| pair.1));
    let (mut x, mut y, mut both) = (0.0, 0.0, 0.0);
    for pair in &pairs {
        let (dx, dy) = (pair.0 - mx, pair.1 - my);
        x += dx * dx;
        y += dy * dy;
        both += dx * dy;
    }
    // What rounding leaves of equal numbers is no spread.
    let is_spread = |sum: f64, mean: f64| sum > 1e-24 * mean * mean * count;
    (is_spread(x, mx) && is_spread(y, my)).then(|| both / (x.sqrt() * y.sqrt()))
}
