//! Blocks of one unknown: squares by the formula, the rest by every change of sign.
//!
//! In: a block or a function of one unknown. Out: all its roots within the range that shows at a
//! fixed grid: steps that grow tenfold by eighths from either end and around zero, and even ones
//! over a closed range. A root that is only touched, not crossed, is found where the function
//! comes within rounding of zero.

use arrayvec::ArrayVec;

use super::{CONSISTENT, HALF_TURN, Root, Roots, Solver, Why};
use crate::formula::order::Block;

/// Steps of the grid for each power of ten.
const PER_DECADE: i32 = 8;
/// Powers of ten that it spans.
const DECADES: i32 = 9;
/// Even steps over a closed range.
const EVEN: i32 = 144;
/// The most points a grid may have.
const GRID: usize = 640;

type Points = ArrayVec<f64, GRID>;

/// Both roots of a polynomial of degree two.
pub(super) fn quadratic(solver: &Solver, block: &Block, slots: &mut [f64]) -> Result<Roots, Why> {
    let (tape, slot) = (&solver.tapes[block.equations[0]], block.unknowns[0]);
    slots[slot] = 0.0;
    let (c, b) = tape.slope(slots, slot);
    let scale = solver.scales[slot];
    slots[slot] = scale;
    let a = (tape.slope(slots, slot).1 - b) / (2.0 * scale);
    if !(a.is_finite() && b.is_finite() && c.is_finite()) {
        return Err(Why::NotFinite);
    }
    let mut roots = Roots::new();
    let mut push = |value: f64| {
        let mut root = Root::new();
        root.push(value);
        roots.push(root);
    };
    // The square term may vanish for some numbers: what is left is linear.
    if a.abs() * scale <= 1e-13 * b.abs() {
        if b == 0.0 {
            return Err(Why::Singular);
        }
        push(-c / b);
        return Ok(roots);
    }
    let size = b * b + (4.0 * a * c).abs();
    let under_root = b * b - 4.0 * a * c;
    if under_root < -1e-12 * size {
        return Err(Why::NoRoot);
    }
    let root = under_root.max(0.0).sqrt();
    let q = -0.5 * (b + if b < 0.0 { -root } else { root });
    push(q / a);
    if q != 0.0 && root > 1e-6 * size.sqrt() {
        push(c / q);
    }
    Ok(roots)
}

/// A value and the size of its terms at some place; nothing where it is not defined. The slots
/// are there to be worked on.
pub(super) type Curve<'a> = dyn FnMut(f64, &mut [f64]) -> Option<(f64, f64)> + 'a;

/// All roots of `f` in the range of `slot`. `f` gives a value and the size of its terms, or
/// nothing where it is not defined.
pub(super) fn scan(
    solver: &Solver,
    slot: usize,
    slots: &mut [f64],
    f: &mut Curve<'_>,
) -> Result<Roots, Why> {
    let points = grid(solver, slot, slots);
    let mut value = |x: f64| match f(x, slots) {
        Some((value, size)) if value.is_finite() => Some(Sample { x, value, size }),
        _ => None,
    };
    let mut roots = Roots::new();
    let mut push = |x: f64| {
        let mut root = Root::new();
        root.push(x);
        // More roots than anyone asks for: the rest adds nothing to "several".
        let _ = roots.try_push(root);
    };
    let mut before: [Option<Sample>; 2] = [None, None];
    let mut any = false;
    for &x in &points {
        let here = value(x);
        any |= here.is_some();
        match (before, here) {
            ([_, Some(left)], Some(right))
                if left.value * right.value < 0.0 || right.value == 0.0 =>
            {
                if let Some(x) = bracketed(left, right, &mut value) {
                    push(x);
                }
            }
            // The edge of where it is defined may lie between two points: go up to it.
            ([_, Some(left)], None) => {
                let edge = edge(left, x, &mut value);
                if edge.value * left.value < 0.0
                    && let Some(x) = bracketed(left, edge, &mut value)
                {
                    push(x);
                }
            }
            ([_, None], Some(right)) if any && x > points[0] => {
                let index = points
                    .iter()
                    .position(|&p| p == x)
                    .unwrap_or(0)
                    .saturating_sub(1);
                let edge = edge(right, points[index], &mut value);
                if edge.value * right.value < 0.0
                    && let Some(x) = bracketed(edge, right, &mut value)
                {
                    push(x);
                }
            }
            _ => {}
        }
        if let ([Some(left), Some(middle)], Some(right)) = (before, here)
            && dips(left, middle, right)
        {
            for x in dip(left, middle, right, &mut value) {
                push(x);
            }
        }
        before = [before[1], here];
    }
    match (roots.is_empty(), any) {
        (false, _) => Ok(roots),
        (true, true) => Err(Why::NoRoot),
        (true, false) => Err(Why::NotFinite),
    }
}

/// A value of the function and the size of its terms.
#[derive(Clone, Copy)]
struct Sample {
    x: f64,
    value: f64,
    size: f64,
}

impl Sample {
    fn share(self) -> f64 {
        self.value.abs() / self.size
    }
}

/// The root between two values of unlike sign; `None` where the function jumps over zero there.
fn bracketed(
    left: Sample,
    right: Sample,
    value: &mut dyn FnMut(f64) -> Option<Sample>,
) -> Option<f64> {
    let (mut left, mut right) = (left, right);
    if right.value == 0.0 {
        return Some(right.x);
    }
    for step in 0..200 {
        // Halving never fails; the secant in between makes smooth ones quick.
        let secant = left.x - left.value * (right.x - left.x) / (right.value - left.value);
        let inside = secant > left.x && secant < right.x;
        let x = if step % 3 == 2 || !inside {
            0.5 * (left.x + right.x)
        } else {
            secant
        };
        if x <= left.x || x >= right.x {
            break;
        }
        let here = value(x)?;
        if here.value == 0.0 {
            return Some(x);
        }
        if here.value * left.value < 0.0 {
            right = here
        } else {
            left = here
        }
        if right.x - left.x <= 1e-15 * (left.x.abs() + right.x.abs()) {
            break;
        }
    }
    let best = if left.share() < right.share() {
        left
    } else {
        right
    };
    (best.share() <= CONSISTENT).then_some(best.x)
}

/// The last defined sample on the way from `from` to the undefined `to`.
fn edge(from: Sample, to: f64, value: &mut dyn FnMut(f64) -> Option<Sample>) -> Sample {
    let (mut last, mut undefined) = (from, to);
    for _ in 0..60 {
        let middle = 0.5 * (last.x + undefined);
        match value(middle) {
            Some(sample) => last = sample,
            None => undefined = middle,
        }
    }
    last
}

fn dips(left: Sample, middle: Sample, right: Sample) -> bool {
    left.value * middle.value > 0.0
        && middle.value * right.value > 0.0
        && middle.value.abs() <= left.value.abs()
        && middle.value.abs() <= right.value.abs()
}

/// Roots where the function comes near zero and turns back: none, one that is touched, or two.
fn dip(
    left: Sample,
    middle: Sample,
    right: Sample,
    value: &mut dyn FnMut(f64) -> Option<Sample>,
) -> ArrayVec<f64, 2> {
    const GOLDEN: f64 = 0.381_966_011_250_105_1;
    let mut roots = ArrayVec::new();
    let (mut low, mut best, mut high) = (left, middle, right);
    for _ in 0..120 {
        let towards_high = high.x - best.x > best.x - low.x;
        let end = if towards_high { high } else { low };
        let x = best.x + GOLDEN * (end.x - best.x);
        let Some(here) = value(x) else { return roots };
        if here.value * middle.value < 0.0 {
            roots.extend(bracketed(low, here, value));
            roots.extend(bracketed(here, high, value));
            return roots;
        }
        if here.value.abs() < best.value.abs() {
            if towards_high {
                low = best
            } else {
                high = best
            }
            best = here;
        } else if towards_high {
            high = here;
        } else {
            low = here;
        }
        if high.x - low.x <= 1e-9 * best.x.abs() {
            break;
        }
    }
    if best.share() <= 1e-12 {
        roots.push(best.x);
    }
    roots
}

/// Where the function is looked at, ascending.
fn grid(solver: &Solver, slot: usize, slots: &[f64]) -> Points {
    let range = &solver.ranges[slot];
    let end = |tape: &Option<crate::formula::tape::Tape>| {
        tape.as_ref()
            .map(|tape| tape.value(slots))
            .filter(|limit| limit.is_finite())
    };
    let half_turn = std::f64::consts::PI;
    let (low, high) = match (end(&range.above), end(&range.below), solver.angles[slot]) {
        (None, None, true) => (Some(-half_turn), Some(HALF_TURN)),
        (Some(low), None, true) if low < half_turn => (Some(low), Some(half_turn)),
        (Some(low), None, true) => (Some(low), Some(low + 2.0 * half_turn)),
        (None, Some(high), true) if high > -half_turn => (Some(-half_turn), Some(high)),
        (None, Some(high), true) => (Some(high - 2.0 * half_turn), Some(high)),
        (low, high, _) => (low, high),
    };
    let mut points = Points::new();
    let mut push = |x: f64| {
        if low.is_none_or(|low| x > low) && high.is_none_or(|high| x < high) {
            let _ = points.try_push(x);
        }
    };
    let span = match (low, high) {
        (Some(low), Some(high)) => high - low,
        _ => solver.scales[slot],
    };
    let decades = if low.is_some() && high.is_some() {
        -DECADES..0
    } else {
        -DECADES..DECADES
    };
    for step in decades.start * PER_DECADE..decades.end * PER_DECADE {
        let size = span * libm::exp10(f64::from(step) / f64::from(PER_DECADE));
        match (low, high) {
            (None, None) => {
                push(size);
                push(-size);
            }
            (Some(low), None) => push(low + size),
            (None, Some(high)) => push(high - size),
            (Some(low), Some(high)) => {
                push(low + size);
                push(high - size);
            }
        }
    }
    if let (Some(low), Some(high)) = (low, high) {
        for step in 1..EVEN {
            push(low + (high - low) * f64::from(step) / f64::from(EVEN));
        }
    }
    if low.is_none() || high.is_none() {
        push(0.0);
    }
    points.sort_unstable_by(f64::total_cmp);
    points
}
