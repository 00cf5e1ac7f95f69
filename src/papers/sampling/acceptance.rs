//! What a single sampling plan lets pass.
//!
//! Both probabilities are sums of a distribution over the number of defective parts in the sample. They are
//! summed outwards from its largest term by the ratio of neighbouring terms and divided by the whole: no
//! factorials, no logarithms, nothing that overflows or cancels.

use serde::{Deserialize, Serialize};

use super::Plan;
use crate::error::{Result, invalid, within};
use crate::evidence::Source;

/// Terms below this share of the sum change no digit of it.
const NEGLIGIBLE: f64 = 1e-20;

/// Steps from the first point of an operating characteristic to the last, at most.
const INTERVALS: u32 = 100;

/// An operating characteristic ends where fewer lots than this share are accepted.
const HARDLY_ACCEPTED: f64 = 0.001;

/// The probability at which the consumer's risk is stated.
const CONSUMER_RISK: f64 = 0.10;

/// The counts of defective parts that a sample can hold, and the most likely of them; whole numbers in f64,
/// which holds every u32 exactly.
struct Support {
    lowest: f64,
    highest: f64,
    mode: f64,
}

/// Share of a unimodal distribution at counts up to `accept`; `ratio(d)` is P(d + 1) / P(d).
fn share_up_to(accept: f64, support: &Support, ratio: impl Fn(f64) -> f64) -> f64 {
    if accept >= support.highest {
        return 1.0;
    }
    if accept < support.lowest {
        return 0.0;
    }
    let (mut up_to, mut beyond) = (0.0, 0.0);
    let mut add = |count: f64, term: f64| {
        if count <= accept {
            up_to += term;
        } else {
            beyond += term;
        }
        (up_to, beyond)
    };

    let (mut count, mut term) = (support.mode, 1.0);
    let mut sums = add(count, term);
    while count < support.highest && term > NEGLIGIBLE * (sums.0 + sums.1) {
        term *= ratio(count);
        count += 1.0;
        sums = add(count, term);
    }

    (count, term) = (support.mode, 1.0);
    // Below the mode, terms small against the whole are still all that an unlikely acceptance consists of.
    while count > support.lowest && term > 0.0 && (count > accept || term > NEGLIGIBLE * sums.0) {
        count -= 1.0;
        term /= ratio(count);
        sums = add(count, term);
    }
    sums.0 / (sums.0 + sums.1)
}

/// Rejects counts that do not make a plan; swapped arguments end here.
fn check_counts(sample_size: u32, accept: u32) -> Result<()> {
    if sample_size == 0 {
        return Err(invalid("sample_size", 0, "1 part or more", "Inspect at least one part."));
    }
    if accept >= sample_size {
        return Err(invalid(
            "accept",
            accept,
            &format!("less than the sample size, {sample_size}"),
            "A plan must be able to reject a lot: lower the acceptance number or use a larger sample.",
        ));
    }
    Ok(())
}

/// Probability that a lot from a running process is accepted (type B operating characteristic).
///
/// P = Σ C(n, d) · p^d · (1 - p)^(n - d), d = 0..Ac, with n the sample size, Ac the acceptance number and p
/// the fraction defective of the process, 0 to 1. Within about 1e-12 of the exact sum, relatively, for samples
/// up to a million parts.
///
/// Source: binomial distribution; the standard uses it for its own curves (ISO 2859-1:1999, clause 12, from
/// memory).
///
/// # Errors
/// A sample of no parts, an acceptance number not below the sample size, a fraction outside 0 to 1 or not a
/// number.
///
/// ```
/// use overcoat::papers::sampling::acceptance_probability_binomial;
/// let accepted = acceptance_probability_binomial(13, 0, 0.01)?;
/// assert!((accepted - 0.99_f64.powi(13)).abs() < 1e-15);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn acceptance_probability_binomial(
    sample_size: u32,
    accept: u32,
    fraction_defective: f64,
) -> Result<f64> {
    check_counts(sample_size, accept)?;
    let p = within(
        "fraction_defective",
        fraction_defective,
        0.0,
        1.0,
        "",
        "Enter the share of defective parts, not a percentage.",
    )?;
    if p == 0.0 || p == 1.0 {
        return Ok(1.0 - p);
    }
    let n = f64::from(sample_size);
    let odds = p / (1.0 - p);
    let support = Support { lowest: 0.0, highest: n, mode: ((n + 1.0) * p).floor().min(n) };
    Ok(share_up_to(f64::from(accept), &support, |d| (n - d) / (d + 1.0) * odds))
}

/// Probability that one particular lot is accepted (type A operating characteristic).
///
/// P = Σ C(D, d) · C(N - D, n - d) / C(N, n), d = 0..Ac, with N the lot size, D the defective parts in it, n
/// the sample size, drawn without replacement, and Ac the acceptance number. Within about 1e-12 of the exact
/// sum, relatively, for samples up to a million parts.
///
/// Source: hypergeometric distribution.
///
/// # Errors
/// A sample of no parts or larger than the lot, an acceptance number not below the sample size, more
/// defective parts than parts.
///
/// ```
/// use overcoat::papers::sampling::acceptance_probability_hypergeometric;
/// // One bad part among ten, three drawn: it stays out of the sample seven times in ten.
/// let accepted = acceptance_probability_hypergeometric(10, 1, 3, 0)?;
/// assert!((accepted - 0.7).abs() < 1e-15);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn acceptance_probability_hypergeometric(
    lot_size: u32,
    defective: u32,
    sample_size: u32,
    accept: u32,
) -> Result<f64> {
    check_counts(sample_size, accept)?;
    let in_lot = format!("up to the lot size, {lot_size}");
    if sample_size > lot_size {
        return Err(invalid("sample_size", sample_size, &in_lot, "Inspect no more parts than the lot has."));
    }
    if defective > lot_size {
        return Err(invalid("defective", defective, &in_lot, "Count no more defective parts than parts."));
    }
    let [all, bad, n] = [lot_size, defective, sample_size].map(f64::from);
    let (lowest, highest) = ((n - (all - bad)).max(0.0), n.min(bad));
    let mode = ((n + 1.0) * (bad + 1.0) / (all + 2.0)).floor().clamp(lowest, highest);
    let good_left = all - bad - n;
    Ok(share_up_to(f64::from(accept), &Support { lowest, highest, mode }, |d| {
        (bad - d) * (n - d) / ((d + 1.0) * (good_left + d + 1.0))
    }))
}

/// The fraction defective of a process whose lots a plan accepts with a given probability, 0 to 1 exclusive;
/// by bisection of [`acceptance_probability_binomial`], to the last digits.
///
/// With a probability of 0.10 it is the consumer's risk point, with 0.95 the quality that a supplier must
/// keep to have 19 of 20 lots accepted.
///
/// # Errors
/// As for [`acceptance_probability_binomial`]; a probability of 0 or 1, outside them, or not a number.
///
/// ```
/// use overcoat::papers::sampling::fraction_defective_accepted_with;
/// let fraction = fraction_defective_accepted_with(20, 0, 0.10)?;
/// assert!((fraction - (1.0 - 0.1_f64.powf(1.0 / 20.0))).abs() < 1e-14);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn fraction_defective_accepted_with(sample_size: u32, accept: u32, probability: f64) -> Result<f64> {
    if !(probability > 0.0 && probability < 1.0) {
        return Err(invalid(
            "probability",
            probability,
            "between 0 and 1, both excluded",
            "Enter a probability, such as 0.10 for the consumer's risk.",
        ));
    }
    let (mut low, mut high) = (0.0, 1.0);
    // 200 halvings reach neighbouring floating-point numbers for every fraction above 1e-44.
    for _ in 0..200 {
        let middle = f64::midpoint(low, high);
        if acceptance_probability_binomial(sample_size, accept, middle)? > probability {
            low = middle;
        } else {
            high = middle;
        }
    }
    Ok(high)
}

/// One point of an operating characteristic.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct OperatingPoint {
    /// Defective parts in the lot.
    pub defective: u32,
    /// Their share of the lot, 0 to 1.
    pub fraction_defective: f64,
    /// Probability that this lot is accepted: hypergeometric, drawn without replacement (type A).
    pub lot_acceptance_probability: f64,
    /// Probability that a lot from a process with this fraction is accepted: binomial (type B).
    pub process_acceptance_probability: f64,
}

/// The operating characteristic of a plan for a lot of `lot_size` parts: at most 101 points, from a lot
/// without defective parts to one that is accepted less than once in a thousand times, in equal steps of
/// whole defective parts (the last step may be shorter).
///
/// Source: [`acceptance_probability_hypergeometric`] and [`acceptance_probability_binomial`], exact.
///
/// # Errors
/// A plan with a sample larger than the lot, with no sample, or one that cannot reject.
///
/// ```
/// use overcoat::papers::sampling::{InspectionLevel, operating_characteristic, plan};
/// let plan = plan(1000, InspectionLevel::II, 1.0)?;
/// let points = operating_characteristic(&plan, 1000)?;
/// assert_eq!(points[0].lot_acceptance_probability, 1.0);
/// assert!(points.windows(2).all(|w| w[1].lot_acceptance_probability <= w[0].lot_acceptance_probability));
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn operating_characteristic(plan: &Plan, lot_size: u32) -> Result<Vec<OperatingPoint>> {
    let accepted =
        |defective| acceptance_probability_hypergeometric(lot_size, defective, plan.sample_size, plan.accept);
    let point = |defective| -> Result<OperatingPoint> {
        let fraction_defective = f64::from(defective) / f64::from(lot_size);
        Ok(OperatingPoint {
            defective,
            fraction_defective,
            lot_acceptance_probability: accepted(defective)?,
            process_acceptance_probability: acceptance_probability_binomial(
                plan.sample_size,
                plan.accept,
                fraction_defective,
            )?,
        })
    };

    accepted(0)?; // Refuses a plan that does not fit the lot before anything is divided by its size.

    // A lot of nothing but defective parts is never accepted, one without any always: the end is between.
    let (mut passes, mut end) = (0, lot_size);
    while end - passes > 1 {
        let middle = passes.midpoint(end);
        if accepted(middle)? < HARDLY_ACCEPTED {
            end = middle;
        } else {
            passes = middle;
        }
    }
    let step = end.div_ceil(INTERVALS);
    (0..end.div_ceil(step)).map(|i| point(i * step)).chain([point(end)]).collect()
}

/// What a plan risks for either side, for lots from a running process.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Risks {
    /// Probability that a lot exactly at the AQL is rejected; absent where the plan has no AQL.
    pub producer_risk: Option<f64>,
    /// Fraction defective, 0 to 1, of lots that are still accepted in 10% of cases.
    pub consumer_fraction_defective: f64,
    /// Where the numbers come from.
    pub source: Source,
}

/// Producer's risk at the AQL and consumer's risk point of a plan:
/// 1 - P(AQL / 100), and the p at which P(p) = 0.10, with P from [`acceptance_probability_binomial`].
///
/// # Errors
/// A plan with no sample, one that cannot reject, or an AQL outside 0 to 100%.
///
/// ```
/// use overcoat::papers::sampling::{InspectionLevel, plan, risks};
/// let risks = risks(&plan(1000, InspectionLevel::II, 1.0)?)?;
/// // One lot in twenty at the AQL is refused; one in ten with 6.5% of bad parts is accepted.
/// assert!((risks.producer_risk.unwrap() - 0.0466).abs() < 1e-4);
/// assert!((risks.consumer_fraction_defective - 0.0652).abs() < 1e-4);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn risks(plan: &Plan) -> Result<Risks> {
    let refused_at = |aql_pct| {
        let aql_pct = within("aql_pct", aql_pct, 0.0, 100.0, "%", "Enter the AQL in per cent.")?;
        acceptance_probability_binomial(plan.sample_size, plan.accept, aql_pct / 100.0).map(|p| 1.0 - p)
    };
    Ok(Risks {
        producer_risk: plan.aql_pct.map(refused_at).transpose()?,
        consumer_fraction_defective: fraction_defective_accepted_with(
            plan.sample_size,
            plan.accept,
            CONSUMER_RISK,
        )?,
        source: Source::derived("binomial distribution with the plan's sample size and acceptance number"),
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::papers::sampling::{InspectionLevel, plan, zero_acceptance_plan};

    /// Independent: exact sums in 60 digits (mpmath), which scipy 1.17.1 `binom.cdf` confirms to 1e-13.
    #[test]
    fn binomial_against_exact_sums() {
        for (n, ac, p, expected) in [
            (13, 0, 0.01, 0.877_521_022_998_968),
            (80, 2, 0.01, 0.953_446_814_264_068_5),
            (80, 2, 0.0652, 0.099_764_641_192_979_5),
            (125, 7, 0.025, 0.986_383_620_379_873_6),
            (200, 21, 0.065, 0.988_680_091_988_875_4),
            (500, 21, 0.08, 0.000_489_476_855_183_843_2),
            (2000, 21, 0.0065, 0.986_202_097_433_819_4),
            (2000, 21, 0.05, 1.808_660_137_391_403_8e-22),
            (1250, 14, 0.25, 3.519_214_234_503_034e-131),
            (5000, 2500, 0.5, 0.505_641_613_747_74),
            (100_000, 1000, 0.0105, 0.061_444_261_865_017_08),
        ] {
            let found = acceptance_probability_binomial(n, ac, p).unwrap();
            assert!((found / expected - 1.0_f64).abs() < 1e-12, "{n} {ac} {p}: {found} {expected}");
        }
    }

    /// Independent: exact fractions; scipy 1.17.1 `hypergeom.cdf` confirms them to 1e-12, save the smallest,
    /// where it is off by 2e-11 itself.
    #[test]
    fn hypergeometric_against_exact_fractions() {
        for (lot_size, defective, n, ac, expected) in [
            (100, 3, 13, 0, 0.655_504_019_789_734),
            (1000, 10, 80, 2, 0.960_751_681_552_385_8),
            (1000, 65, 80, 2, 0.091_576_864_190_056_83),
            (1000, 100, 80, 5, 0.165_815_353_822_658_13),
            (200, 150, 100, 70, 0.070_603_373_152_586_27),
            (3200, 80, 125, 7, 0.988_169_222_776_934_6),
            (150_000, 975, 500, 7, 0.982_279_468_567_175_3),
            (600_000, 60_000, 1250, 21, 1.110_781_034_095_713_4e-32),
            (50, 30, 40, 25, 0.860_111_897_067_133_3),
        ] {
            let found = acceptance_probability_hypergeometric(lot_size, defective, n, ac).unwrap();
            assert!((found / expected - 1.0_f64).abs() < 1e-12, "{lot_size} {n} {ac}: {found} {expected}");
        }
    }

    #[test]
    fn certain_cases_are_exact() {
        assert_eq!(acceptance_probability_binomial(80, 2, 0.0).unwrap(), 1.0);
        assert_eq!(acceptance_probability_binomial(80, 2, 1.0).unwrap(), 0.0);
        assert_eq!(acceptance_probability_hypergeometric(100, 2, 80, 2).unwrap(), 1.0);
        assert_eq!(acceptance_probability_hypergeometric(100, 100, 80, 2).unwrap(), 0.0);
        // All parts inspected: the lot itself is known.
        assert_eq!(acceptance_probability_hypergeometric(50, 3, 50, 3).unwrap(), 1.0);
        assert_eq!(acceptance_probability_hypergeometric(50, 4, 50, 3).unwrap(), 0.0);
    }

    /// Independent: with Ac = 0 the consumer's risk point is 1 - 0.1^(1/n).
    #[test]
    fn the_consumer_point_of_zero_acceptance_plans_is_closed_form() {
        for sample_size in [1, 2, 5, 13, 20, 125, 2000] {
            let closed = -f64::exp_m1(0.1_f64.ln() / f64::from(sample_size));
            let found = fraction_defective_accepted_with(sample_size, 0, 0.10).unwrap();
            assert!((found / closed - 1.0).abs() < 1e-12, "{sample_size}: {found} {closed}");
        }
    }

    #[test]
    fn an_operating_characteristic_falls_from_one_to_next_to_nothing() {
        for (lot_size, aql_pct) in [(2, 6.5), (100, 1.0), (1000, 4.0), (600_000, 0.65)] {
            let p = plan(lot_size, InspectionLevel::II, aql_pct).unwrap();
            let points = operating_characteristic(&p, lot_size).unwrap();
            assert!(points.len() >= 2 && points.len() <= 101, "{}", points.len());
            assert_eq!(points[0].lot_acceptance_probability, 1.0);
            assert!(points.last().unwrap().lot_acceptance_probability < HARDLY_ACCEPTED);
            assert!(points.is_sorted_by(|a, b| a.defective < b.defective
                && a.lot_acceptance_probability >= b.lot_acceptance_probability
                && a.process_acceptance_probability >= b.process_acceptance_probability));
        }
        let p = zero_acceptance_plan(100, 8).unwrap();
        assert_eq!(operating_characteristic(&p, 7).unwrap_err().field(), "sample_size");
        assert_eq!(operating_characteristic(&p, 0).unwrap_err().field(), "sample_size");
    }

    #[test]
    fn a_plan_without_aql_has_no_producer_risk() {
        assert_eq!(risks(&zero_acceptance_plan(100, 8).unwrap()).unwrap().producer_risk, None);
    }

    #[test]
    fn errors_name_the_field() {
        for p in [f64::NAN, -0.1, 1.1, f64::INFINITY] {
            assert_eq!(acceptance_probability_binomial(5, 0, p).unwrap_err().field(), "fraction_defective");
            assert_eq!(fraction_defective_accepted_with(5, 0, p).unwrap_err().field(), "probability");
        }
        assert_eq!(acceptance_probability_binomial(0, 0, 0.1).unwrap_err().field(), "sample_size");
        assert_eq!(acceptance_probability_binomial(2, 80, 0.1).unwrap_err().field(), "accept");
        let lot = acceptance_probability_hypergeometric;
        assert_eq!(lot(10, 11, 2, 0).unwrap_err().field(), "defective");
        assert_eq!(lot(10, 1, 11, 0).unwrap_err().field(), "sample_size");
        let mut p = plan(100, InspectionLevel::II, 1.0).unwrap();
        p.aql_pct = Some(f64::NAN);
        assert_eq!(risks(&p).unwrap_err().field(), "aql_pct");
    }

    /// Sums of some thousand rounded terms may differ in their last digits.
    const ROUNDING: f64 = 1e-12;

    proptest! {
        #[test]
        fn acceptance_falls_with_the_fraction_defective(
            (n, ac) in (1_u32..2000).prop_flat_map(|n| (Just(n), 0..n)), a in 0.0..=1.0, b in 0.0..=1.0,
        ) {
            let (better, worse) = if a < b { (a, b) } else { (b, a) };
            let at = |p| acceptance_probability_binomial(n, ac, p).unwrap();
            prop_assert!(at(worse) <= at(better) + ROUNDING);
            prop_assert!((0.0..=1.0).contains(&at(a)));
        }

        #[test]
        fn acceptance_falls_with_the_defective_parts_of_a_lot(
            (lot, n, ac, d) in (1_u32..3000)
                .prop_flat_map(|lot| (Just(lot), 1..=lot, 0..lot))
                .prop_flat_map(|(lot, n, d)| (Just(lot), Just(n), 0..n, Just(d))),
        ) {
            let at = |d| acceptance_probability_hypergeometric(lot, d, n, ac).unwrap();
            prop_assert!(at(d + 1) <= at(d) + ROUNDING);
            prop_assert!((0.0..=1.0).contains(&at(d)));
        }

        #[test]
        fn the_fraction_found_is_accepted_with_the_probability_asked_for(
            (n, ac) in (1_u32..500).prop_flat_map(|n| (Just(n), 0..n)), probability in 0.001..0.999,
        ) {
            let p = fraction_defective_accepted_with(n, ac, probability).unwrap();
            let back = acceptance_probability_binomial(n, ac, p).unwrap();
            prop_assert!((back - probability).abs() < 1e-10, "{back} {probability}");
        }
    }
}
