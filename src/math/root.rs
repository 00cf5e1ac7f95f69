//! Where a function changes its sign, and where a state changes.

use crate::Result;
use crate::evidence::Source;

/// Source of the root finder.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const ROOT_FINDER: Source = Source::from_memory(
    "Oliveira, I. F. D.; Takahashi, R. H. C.: An enhancement of the bisection method average performance \
     preserving minmax optimality. ACM Trans. Math. Softw. 47 (2020) 5; constants 0.2 over the width, 2 and 1, \
     which its authors suggest",
);

/// Width below which a place counts as found: a few units in the last place.
pub(crate) fn tolerance(a: f64, b: f64) -> f64 {
    (4.0 * f64::EPSILON * a.abs().max(b.abs())).max(f64::MIN_POSITIVE)
}

/// Narrows `low..high`, at whose ends `f` has values of unlike sign, to the place where the sign changes:
/// interpolation, truncation and projection, which never takes more than one step more than bisection
/// (`ROOT_FINDER`). A function that jumps is bracketed too.
///
/// Gives the last two places, the first with the sign of the lower end.
pub(crate) fn sign_change(
    (mut low, mut f_low): (f64, f64),
    (mut high, mut f_high): (f64, f64),
    mut f: impl FnMut(f64) -> Result<f64>,
) -> Result<(f64, f64)> {
    let width = high - low;
    let reach = tolerance(low, high);
    let rising = f_high > f_low;
    let truncation = 0.2 / width;
    let bisections = (width / (2.0 * reach)).log2().ceil().max(0.0);
    let mut step = 0.0_f64;
    while high - low > 2.0 * reach {
        let middle = f64::midpoint(low, high);
        let radius = (reach * (bisections + 1.0 - step).exp2() - 0.5 * (high - low)).max(0.0);
        let secant = (f_high * low - f_low * high) / (f_high - f_low);
        let secant = if secant.is_finite() { secant } else { middle };
        let towards = (middle - secant).signum();
        let shift = truncation * (high - low) * (high - low);
        let truncated = if shift <= (middle - secant).abs() { secant + towards * shift } else { middle };
        let at = if (truncated - middle).abs() <= radius { truncated } else { middle - towards * radius };
        // rounding must not leave the bracket
        let at = if at > low && at < high { at } else { middle };
        if at <= low || at >= high {
            break;
        }
        let value = f(at)?;
        if value == 0.0 {
            return Ok((at, at));
        }
        if (value > 0.0) == rising {
            (high, f_high) = (at, value);
        } else {
            (low, f_low) = (at, value);
        }
        step += 1.0;
    }
    Ok((low, high))
}

/// Halves `low..high` to the place where `holds`, true at the lower end and false at the upper one, ends: the last
/// place where it holds and the first one where it does not.
pub(crate) fn end_of<T>(
    mut low: (f64, T),
    mut high: (f64, T),
    mut at: impl FnMut(f64) -> Result<T>,
    holds: impl Fn(&T) -> bool,
) -> Result<((f64, T), (f64, T))> {
    let reach = tolerance(low.0, high.0);
    while high.0 - low.0 > reach {
        let middle = f64::midpoint(low.0, high.0);
        if middle <= low.0 || middle >= high.0 {
            break;
        }
        let here = at(middle)?;
        if holds(&here) {
            low = (middle, here);
        } else {
            high = (middle, here);
        }
    }
    Ok((low, high))
}

/// The place in `low..high` where `f` is least, by the golden section; exact where it falls and then rises.
/// Stops early where `f` turns negative.
pub(crate) fn least(low: f64, high: f64, mut f: impl FnMut(f64) -> Result<f64>) -> Result<(f64, f64)> {
    let golden = 0.5 * (5.0_f64.sqrt() - 1.0);
    let (mut low, mut high) = (low, high);
    let mut left = high - golden * (high - low);
    let mut right = low + golden * (high - low);
    let (mut f_left, mut f_right) = (f(left)?, f(right)?);
    // a least value is flat: its place is known to half the figures of a number
    let reach = 1e-9 * (high - low);
    while high - low > reach && f_left >= 0.0 && f_right >= 0.0 {
        if f_left <= f_right {
            (high, right, f_right) = (right, left, f_left);
            left = high - golden * (high - low);
            f_left = f(left)?;
        } else {
            (low, left, f_left) = (left, right, f_right);
            right = low + golden * (high - low);
            f_right = f(right)?;
        }
    }
    Ok(if f_left <= f_right { (left, f_left) } else { (right, f_right) })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Roots known exactly, from a line to a cube whose slope vanishes at its root.
    #[test]
    fn known_roots_are_found_and_need_no_more_than_bisection() {
        let functions: [fn(f64) -> f64; 5] = [
            |x| x - 0.3,
            |x| x * x - 2.0,
            |x| 1.0 - x.exp() / std::f64::consts::E,
            |x| (x - 0.7).powi(3),
            |x| if x < 0.25 { -1.0 } else { 3.0 },
        ];
        let ranges = [(0.0, 1.0), (0.0, 2.0), (-10.0, 10.0), (0.0, 1.0), (0.0, 1.0)];
        let roots = [0.3, std::f64::consts::SQRT_2, 1.0, 0.7, 0.25];
        for (number, ((f, (low, high)), root)) in functions.into_iter().zip(ranges).zip(roots).enumerate() {
            let mut steps = 0;
            let (a, b) = sign_change((low, f(low)), (high, f(high)), |x| {
                steps += 1;
                Ok(f(x))
            })
            .unwrap();
            let reach = 2.0 * tolerance(low, high);
            assert!(a - reach <= root && root <= b + reach, "{number}: {a} {b}");
            let bisections = ((high - low) / reach).log2().ceil();
            assert!(
                f64::from(steps) <= bisections + 2.0,
                "{number}: {steps} steps where bisection takes {bisections}"
            );
        }
    }

    /// Interpolation gains more with every step where a function is smooth: a third of the steps of bisection are
    /// plenty. A line is met at once, up to the truncation, which the first steps keep away from its root.
    #[test]
    fn smooth_functions_take_far_fewer_steps_than_bisection() {
        let functions: [fn(f64) -> f64; 5] =
            [|x| x * x - 2.0, |x| 2.0 - x * x, |x| x.exp() - 3.0, |x| (x / 100.0).ln(), |x| x - 30.0];
        let ranges = [(0.0, 2.0), (1.0, 4.0), (0.0, 3.0), (20.0, 350.0), (0.0, 100.0)];
        for (number, (f, (low, high))) in functions.into_iter().zip(ranges).enumerate() {
            let mut steps = 0;
            let (a, b) = sign_change((low, f(low)), (high, f(high)), |x| {
                steps += 1;
                Ok(f(x))
            })
            .unwrap();
            assert!(b - a <= 2.0 * tolerance(low, high), "{number}: {a} {b}");
            let bisections = ((high - low) / (2.0 * tolerance(low, high))).log2().ceil();
            assert!(f64::from(steps) < bisections / 3.0, "{number}: {steps} of {bisections} steps");
        }
    }

    /// Four units in the last place of the larger end, and never nothing.
    #[test]
    fn a_place_is_known_to_a_few_units_in_the_last_place() {
        assert_eq!(tolerance(-8.0, 1.0), 2.0_f64.powi(-47));
        assert_eq!(tolerance(0.0, 0.0), f64::MIN_POSITIVE);
    }

    #[test]
    fn infinite_values_are_halved() {
        let f = |x: f64| if x < 0.6 { f64::NEG_INFINITY } else { 1.0 };
        let (a, b) = sign_change((0.0, f(0.0)), (1.0, f(1.0)), |x| Ok(f(x))).unwrap();
        assert!(a < 0.6 && 0.6 <= b && b - a < 1e-14);
    }

    #[test]
    fn the_end_of_a_state_is_found() {
        let ((low, _), (high, _)) =
            end_of((0.0, true), (10.0, false), |x| Ok(x * x < 2.0), |holds| *holds).unwrap();
        assert!(low * low < 2.0 && high * high >= 2.0 && high - low < 1e-14);
    }

    #[test]
    fn the_least_value_of_a_parabola_is_found() {
        let (x, value) = least(0.0, 3.0, |x| Ok((x - 1.0).powi(2) + 0.5)).unwrap();
        assert!((x - 1.0).abs() < 1e-7 && (value - 0.5).abs() < 1e-14, "{x} {value}");
    }

    proptest! {
        #[test]
        fn the_sign_change_is_kept(root in 0.0..1.0_f64, power in 0.2..5.0_f64, rising in any::<bool>()) {
            let sign = if rising { 1.0 } else { -1.0 };
            let f = |x: f64| sign * (x - root).signum() * (x - root).abs().powf(power);
            prop_assume!(f(0.0) != 0.0 && f(1.0) != 0.0);
            let (a, b) = sign_change((0.0, f(0.0)), (1.0, f(1.0)), |x| Ok(f(x))).unwrap();
            prop_assert!(a <= root + 1e-14 && root - 1e-14 <= b && b - a < 1e-14);
        }
    }
}
