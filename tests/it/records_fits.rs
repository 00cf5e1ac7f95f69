//! Fits of censored records against outside libraries, on published data sets and invented ones.
//!
//! Expected values are independent of this crate. Location, scale, log-likelihood: scipy 1.17.1, `CensoredData` with
//! `lognorm.fit` and `weibull_min.fit` at `floc=0`, optimiser tightened to 1e-13; bounds of the median by the profile
//! (90%): Brent's methods of scipy on scipy's log-densities; standard errors: lifelines 0.30.3 (`LogNormalFitter`,
//! `WeibullFitter`), whose own estimates agree with scipy's to 1e-6.

use crate::common::normal_quantile;
use overcoat::catalog::Catalog;
use overcoat::records::Distribution::{Lognormal, Weibull};
use overcoat::records::{
    Distribution, GoodnessOfFit, LearnedCapacity, LogOptions, Prior, Record, fit, fit_with_prior,
    goodness_of_fit, learn_capacity, lot_effect, probability_plot, profile_bounds, zero_failure_bound,
};

/// Failures, then intact ones as time and count.
fn log(failed: &[f64], intact: &[(f64, f64)]) -> Vec<Record> {
    let mut log: Vec<Record> = failed.iter().map(|t| Record::failed(*t)).collect();
    log.extend(intact.iter().map(|(t, n)| Record::intact(*t).weighing(*n)));
    log
}

/// Lieblein & Zelen, J. Res. Nat. Bur. Stand. 57 (1956) 273-316: 23 ball bearings, million revolutions.
fn ball_bearings() -> Vec<Record> {
    log(
        &[
            17.88, 28.92, 33.0, 41.52, 42.12, 45.6, 48.4, 51.84, 51.96, 54.12, 55.56, 67.8, 68.64, 68.64,
            68.88, 84.12, 93.12, 98.64, 105.12, 105.84, 127.92, 128.04, 173.4,
        ],
        &[],
    )
}

/// O'Connor, Practical Reliability Engineering (1985); Meeker & Escobar (1998), table C.2: 38 shock absorbers, km, 27
/// of them intact.
fn shock_absorbers() -> Vec<Record> {
    let intact = [
        6950.0, 7820.0, 8790.0, 9660.0, 9820.0, 11310.0, 11690.0, 11850.0, 11880.0, 12140.0, 12870.0,
        13330.0, 13470.0, 14040.0, 17540.0, 17890.0, 18450.0, 18960.0, 18980.0, 19410.0, 20100.0, 20150.0,
        20320.0, 23490.0, 27410.0, 27890.0, 28100.0,
    ];
    log(
        &[6700.0, 9120.0, 12200.0, 13150.0, 14300.0, 17520.0, 20100.0, 20900.0, 22700.0, 26510.0, 27490.0],
        &intact.map(|t| (t, 1.0)),
    )
}

/// Nelson, Applied Life Data Analysis (1982): 432 turbine wheels, each inspected once, hundreds of hours; cracked ones
/// are left-censored, the others right-censored.
fn turbine_wheels() -> Vec<Record> {
    [
        (4.0, 0.0, 39.0),
        (10.0, 4.0, 49.0),
        (14.0, 2.0, 31.0),
        (18.0, 7.0, 66.0),
        (22.0, 5.0, 25.0),
        (26.0, 9.0, 30.0),
        (30.0, 9.0, 33.0),
        (34.0, 6.0, 7.0),
        (38.0, 22.0, 12.0),
        (42.0, 21.0, 19.0),
        (46.0, 21.0, 15.0),
    ]
    .into_iter()
    .flat_map(|(t, cracked, sound)| [(Record::between(0.0, t), cracked), (Record::intact(t), sound)])
    .filter(|(_, count)| *count > 0.0)
    .map(|(record, count)| record.weighing(count))
    .collect()
}

/// Nelson (1982): cracks in 167 parts found at eight inspections, months, 73 without.
fn cracked_parts() -> Vec<Record> {
    let inspections = [0.0, 6.12, 19.92, 29.64, 35.4, 39.72, 45.24, 52.32, 63.48];
    let found = [5.0, 16.0, 12.0, 18.0, 18.0, 2.0, 6.0, 17.0];
    let mut log: Vec<Record> = inspections
        .iter()
        .zip(&inspections[1..])
        .zip(found)
        .map(|((from, to), n)| Record::between(*from, *to).weighing(n))
        .collect();
    log.push(Record::intact(63.48).weighing(73.0));
    log
}

/// Crawford (1970), in Schmee & Hahn, Technometrics 21 (1979) 417-432: motorette insulation, hours, at 170 °C.
fn motorettes_170() -> Vec<Record> {
    log(&[1764.0, 2772.0, 3444.0, 3542.0, 3780.0, 4860.0, 5196.0], &[(5448.0, 3.0)])
}

/// The same at 190 °C.
fn motorettes_190() -> Vec<Record> {
    log(&[408.0, 408.0, 1344.0, 1344.0, 1440.0], &[(1680.0, 5.0)])
}

/// The same at 220 °C.
fn motorettes_220() -> Vec<Record> {
    log(&[408.0, 408.0, 504.0, 504.0, 504.0], &[(528.0, 5.0)])
}

/// Nelson & Schmee (1979), in Lawless, Statistical Models and Methods for Lifetime Data: 96 locomotive controls,
/// thousand miles, 59 of them intact at 135.
fn locomotive_controls() -> Vec<Record> {
    log(
        &[
            22.5, 37.5, 46.0, 48.5, 51.5, 53.0, 54.5, 57.5, 66.5, 68.0, 69.5, 76.5, 77.0, 78.5, 80.0, 81.5,
            82.0, 83.0, 84.0, 91.5, 93.5, 102.5, 107.0, 108.5, 112.5, 113.5, 116.0, 117.0, 118.5, 119.0,
            120.0, 122.5, 123.0, 127.5, 131.0, 132.5, 134.0,
        ],
        &[(135.0, 59.0)],
    )
}

/// Nelson (1982): 70 fans of diesel generators, hours, 58 of them intact.
fn diesel_fans() -> Vec<Record> {
    log(
        &[450.0, 1150.0, 1150.0, 1600.0, 2070.0, 2070.0, 2080.0, 3100.0, 3450.0, 4600.0, 6100.0, 8750.0],
        &[
            (460.0, 1.0),
            (1560.0, 1.0),
            (1660.0, 1.0),
            (1850.0, 5.0),
            (2030.0, 3.0),
            (2200.0, 1.0),
            (3000.0, 4.0),
            (3200.0, 1.0),
            (3750.0, 2.0),
            (4150.0, 4.0),
            (4300.0, 4.0),
            (4850.0, 4.0),
            (5000.0, 3.0),
            (6100.0, 3.0),
            (6300.0, 1.0),
            (6450.0, 2.0),
            (6700.0, 1.0),
            (7450.0, 1.0),
            (7800.0, 2.0),
            (8100.0, 2.0),
            (8200.0, 1.0),
            (8500.0, 3.0),
            (8750.0, 2.0),
            (9400.0, 1.0),
            (9900.0, 1.0),
            (10100.0, 3.0),
            (11500.0, 1.0),
        ],
    )
}

/// Nelson, IEEE Trans. Electr. Insul. 7 (1972): breakdown of an insulating fluid at 34 kV, minutes.
fn insulating_fluid_34kv() -> Vec<Record> {
    log(
        &[
            0.19, 0.78, 0.96, 1.31, 2.78, 3.16, 4.15, 4.67, 4.85, 6.5, 7.35, 8.01, 8.27, 12.06, 31.75, 32.52,
            33.91, 36.71, 72.89,
        ],
        &[],
    )
}

/// Freireich et al., Blood 21 (1963) 699-716: remission under 6-mercaptopurine, weeks, 12 of 21 censored.
fn leukemia_6mp() -> Vec<Record> {
    let intact = [6.0, 9.0, 10.0, 11.0, 17.0, 19.0, 20.0, 25.0, 32.0, 32.0, 34.0, 35.0];
    log(&[6.0, 6.0, 6.0, 7.0, 10.0, 13.0, 16.0, 22.0, 23.0], &intact.map(|t| (t, 1.0)))
}

/// Invented: a cabinet opened once a day.
fn invented_daily_inspection() -> Vec<Record> {
    [
        (0.0, 24.0, 1.0),
        (24.0, 48.0, 2.0),
        (48.0, 72.0, 4.0),
        (72.0, 96.0, 5.0),
        (96.0, 120.0, 3.0),
        (120.0, 144.0, 1.0),
        (168.0, 192.0, 1.0),
    ]
    .into_iter()
    .map(|(a, b, n)| Record::between(a, b).weighing(n))
    .chain([144.0, 192.0].map(|t| Record::intact(t).weighing(2.0)))
    .collect()
}

/// Invented: every kind of record, a narrow interval among them.
fn invented_mixed() -> Vec<Record> {
    let mut log = log(&[52.0, 61.0, 88.0, 130.0], &[(96.0, 3.0), (240.0, 2.0)]);
    log.extend(
        [(0.0, 24.0, 2.0), (48.0, 48.2, 1.0), (72.0, 96.0, 3.0), (96.0, 168.0, 2.0)]
            .map(|(a, b, n)| Record::between(a, b).weighing(n)),
    );
    log
}

/// Invented: two failures among seven panels.
fn invented_two_failures() -> Vec<Record> {
    log(&[60.0, 140.0], &[(24.0, 1.0), (72.0, 1.0), (168.0, 3.0)])
}

struct Expected {
    set: fn() -> Vec<Record>,
    distribution: Distribution,
    location: f64,
    scale: f64,
    log_likelihood: f64,
    median_lower: f64,
    median_upper: f64,
    location_se: f64,
    ln_scale_se: f64,
}

#[rustfmt::skip]
const EXPECTED: [Expected; 28] = [
    Expected { set: ball_bearings, distribution: Lognormal, location: 4.150_382_688_33, scale: 0.521_686_511_302, log_likelihood: -113.128_554_33, median_lower: 52.776_381_827_6, median_upper: 76.302_186_911_2, location_se: 0.108_779_157, ln_scale_se: 0.147_441_956 },
    Expected { set: ball_bearings, distribution: Weibull, location: 4.405_188_317_93, scale: 0.475_772_054_107, log_likelihood: -113.691_959_088, median_lower: 55.668_029_083_8, median_upper: 82.550_255_439_4, location_se: 0.105_050_049, ln_scale_se: 0.156_365_983 },
    Expected { set: shock_absorbers, distribution: Lognormal, location: 10.144_770_686_2, scale: 0.530_068_039_331, log_likelihood: -124.608_549_99, median_lower: 20_828.026_835_6, median_upper: 34_582.962_514_9, location_se: 0.144_175_172, ln_scale_se: 0.212_581_795 },
    Expected { set: shock_absorbers, distribution: Weibull, location: 10.229_863_206, scale: 0.316_408_601_361, log_likelihood: -123.995_361_189, median_lower: 21_346.978_007_9, median_upper: 30_479.255_073_5, location_se: 0.109_890_473, ln_scale_se: 0.231_237_222 },
    Expected { set: turbine_wheels, distribution: Lognormal, location: 3.699_907_665_62, scale: 0.719_885_714_739, log_likelihood: -190.731_549_491, median_lower: 36.454_969_988, median_upper: 46.319_434_352_7, location_se: 0.070_833_503, ln_scale_se: 0.123_184_617 },
    Expected { set: turbine_wheels, distribution: Weibull, location: 3.845_396_557_4, scale: 0.459_605_306_921, log_likelihood: -189.287_193_4, median_lower: 36.617_214_015_1, median_upper: 43.595_623_004, location_se: 0.063_936_555, ln_scale_se: 0.124_469_769 },
    Expected { set: cracked_parts, distribution: Lognormal, location: 4.026_853_644_09, scale: 0.998_525_128_139, log_likelihood: -311.914_784_437, median_lower: 48.667_584_243_7, median_upper: 65.638_255_158_1, location_se: 0.089_975_001, ln_scale_se: 0.087_308_346 },
    Expected { set: cracked_parts, distribution: Weibull, location: 4.272_356_917_92, scale: 0.673_234_111_554, log_likelihood: -309.668_408_928, median_lower: 50.075_312_870_2, median_upper: 63.144_387_062, location_se: 0.074_396_135, ln_scale_se: 0.098_656_4 },
    Expected { set: motorettes_170, distribution: Lognormal, location: 8.370_937_271_28, scale: 0.466_844_800_19, log_likelihood: -64.270_226_339_7, median_lower: 3_327.393_508_87, median_upper: 5_962.930_357_1, location_se: 0.157_627_434, ln_scale_se: 0.285_660_89 },
    Expected { set: motorettes_170, distribution: Weibull, location: 8.530_426_644_72, scale: 0.347_455_634_102, log_likelihood: -64.405_663_755_2, median_lower: 3_455.204_440_36, median_upper: 5_763.910_416_91, location_se: 0.131_986_889, ln_scale_se: 0.330_550_854 },
    Expected { set: motorettes_190, distribution: Lognormal, location: 7.455_715_913_78, scale: 0.919_724_497_898, log_likelihood: -43.780_512_219_3, median_lower: 1_021.954_704, median_upper: 4_166.931_404_18, location_se: 0.358_627_429, ln_scale_se: 0.349_774_44 },
    Expected { set: motorettes_190, distribution: Weibull, location: 7.653_054_181_85, scale: 0.592_706_143_824, log_likelihood: -43.785_937_743_5, median_lower: 1_090.983_108_2, median_upper: 3_317.014_667_96, location_se: 0.296_719_464, ln_scale_se: 0.416_720_756 },
    Expected { set: motorettes_220, distribution: Lognormal, location: 6.270_761_018_08, scale: 0.167_651_305_466, log_likelihood: -32.301_539_707_5, median_lower: 480.555_257_577, median_upper: 621.039_257_898, location_se: 0.065_322_449, ln_scale_se: 0.351_534_336 },
    Expected { set: motorettes_220, distribution: Weibull, location: 6.309_180_416_4, scale: 0.111_164_983_323, log_likelihood: -32.403_582_287_6, median_lower: 485.821_464_19, median_upper: 598.317_700_773, location_se: 0.055_582_647, ln_scale_se: 0.414_553_076 },
    Expected { set: locomotive_controls, distribution: Lognormal, location: 5.116_924_705_56, scale: 0.705_494_018_134, log_likelihood: -237.093_545_341, median_lower: 143.101_631_623, median_upper: 203.250_140_767, location_se: 0.104_157_234, ln_scale_se: 0.132_103_985 },
    Expected { set: locomotive_controls, distribution: Weibull, location: 5.211_663_031_77, scale: 0.428_953_828_82, log_likelihood: -237.382_513_436, median_lower: 139.914_482_455, median_upper: 181.747_035_911, location_se: 0.089_901_991, ln_scale_se: 0.154_832_101 },
    Expected { set: diesel_fans, distribution: Lognormal, location: 10.143_239_066_3, scale: 1.679_592_587_86, log_likelihood: -134.549_648_222, median_lower: 13_033.883_345_7, median_upper: 82_793.952_360_8, location_se: 0.521_095_763, ln_scale_se: 0.231_756_84 },
    Expected { set: diesel_fans, distribution: Weibull, location: 10.177_204_241_8, scale: 0.944_781_459_533, log_likelihood: -135.152_719_943, median_lower: 11_274.068_176_7, median_upper: 46_754.924_254_6, location_se: 0.465_889_677, ln_scale_se: 0.253_438_539 },
    Expected { set: insulating_fluid_34kv, distribution: Lognormal, location: 1.786_392_748_07, scale: 1.484_531_598_77, log_likelihood: -68.408_181_059_4, median_lower: 3.338_928_238_72, median_upper: 10.666_794_807_5, location_se: 0.340_574_906, ln_scale_se: 0.162_221_421 },
    Expected { set: insulating_fluid_34kv, distribution: Weibull, location: 2.503_255_419_13, scale: 1.297_317_689_89, log_likelihood: -68.386_026_193_5, median_lower: 3.982_637_212_78, median_upper: 13.110_927_607, location_se: 0.314_760_525, ln_scale_se: 0.176_478_405 },
    Expected { set: leukemia_6mp, distribution: Lognormal, location: 3.203_067_661_46, scale: 0.978_724_795_258, log_likelihood: -40.680_155_869_9, median_lower: 16.366_844_830_6, median_upper: 46.015_371_027_9, location_se: 0.286_132_042, ln_scale_se: 0.256_038_665 },
    Expected { set: leukemia_6mp, distribution: Weibull, location: 3.519_429_240_63, scale: 0.738_697_262_711, log_likelihood: -41.658_678_476_9, median_lower: 17.550_400_557, median_upper: 44.133_373_621, location_se: 0.273_368_92, ln_scale_se: 0.278_397_883 },
    Expected { set: invented_daily_inspection, distribution: Lognormal, location: 4.507_712_274_8, scale: 0.700_937_201_865, log_likelihood: -41.465_249_827_8, median_lower: 69.446_151_059, median_upper: 120.272_733_526, location_se: 0.158_612_925, ln_scale_se: 0.192_938_743 },
    Expected { set: invented_daily_inspection, distribution: Weibull, location: 4.790_674_166_5, scale: 0.593_188_471_666, log_likelihood: -41.917_201_573_6, median_lower: 72.927_595_784_8, median_upper: 124.898_329_202, location_se: 0.144_852_201, ln_scale_se: 0.207_193_071 },
    Expected { set: invented_mixed, distribution: Lognormal, location: 4.569_759_631_81, scale: 0.953_062_893_179, log_likelihood: -48.174_643_908_7, median_lower: 63.710_068_319_3, median_upper: 155.321_799_245, location_se: 0.248_374_285, ln_scale_se: 0.248_305_339 },
    Expected { set: invented_mixed, distribution: Weibull, location: 4.918_685_247_51, scale: 0.785_448_577_451, log_likelihood: -48.099_313_920_5, median_lower: 66.526_472_212_3, median_upper: 154.969_389_387, location_se: 0.227_829_386, ln_scale_se: 0.257_189_958 },
    Expected { set: invented_two_failures, distribution: Lognormal, location: 5.333_355_595_1, scale: 0.780_410_642_777, log_likelihood: -13.362_875_895_3, median_lower: 111.395_270_139, median_upper: 1_437.829_532_78, location_se: 0.501_742_453, ln_scale_se: 0.545_618_423 },
    Expected { set: invented_two_failures, distribution: Weibull, location: 5.469_140_615_61, scale: 0.494_967_649_203, log_likelihood: -13.472_731_090_4, median_lower: 116.864_145_411, median_upper: 962.949_381_806, location_se: 0.449_036_041, ln_scale_se: 0.616_671_448 },];

fn alike(what: &str, ours: f64, theirs: f64, tolerance: f64) {
    assert!((ours / theirs - 1.0).abs() < tolerance, "{what}: {ours} against {theirs}");
}

#[test]
fn estimates_and_likelihood_are_those_of_scipy() {
    for e in &EXPECTED {
        let fitted = fit(&(e.set)(), e.distribution).unwrap();
        alike("location", fitted.location, e.location, 1e-6);
        alike("scale", fitted.scale, e.scale, 1e-6);
        alike("log-likelihood", fitted.log_likelihood, e.log_likelihood, 1e-9);
        // A top no lower than theirs.
        assert!(fitted.log_likelihood > e.log_likelihood - 1e-8);
    }
}

/// lifelines stops up to 1e-6 from the top, which its errors show.
#[test]
fn standard_errors_are_those_of_lifelines() {
    for e in &EXPECTED {
        let fitted = fit(&(e.set)(), e.distribution).unwrap();
        alike("se of location", fitted.covariance[0][0].sqrt(), e.location_se, 2e-6);
        alike("se of ln scale", fitted.covariance[1][1].sqrt(), e.ln_scale_se, 2e-6);
    }
}

#[test]
fn profile_bounds_of_the_median_are_those_of_brent() {
    for e in &EXPECTED {
        let bounds = profile_bounds(&(e.set)(), e.distribution, 0.5, 0.9).unwrap();
        alike("lower", bounds.lower_hours.unwrap(), e.median_lower, 1e-6);
        alike("upper", bounds.upper_hours.unwrap(), e.median_upper, 1e-6);
    }
}

/// scipy 1.17.1 as above: 10% life of the fans.
#[test]
fn profile_bounds_of_a_low_quantile_are_those_of_brent() {
    let log = diesel_fans();
    let bounds = profile_bounds(&log, Weibull, 0.1, 0.9).unwrap();
    alike("b10", fit(&log, Weibull).unwrap().quantile_hours(0.1).unwrap(), 3_137.240_634_8, 1e-6);
    alike("lower", bounds.lower_hours.unwrap(), 1_666.834_362_27, 1e-6);
    alike("upper", bounds.upper_hours.unwrap(), 5_126.108_782_86, 1e-6);
}

/// Printed (from memory): shape and characteristic life of Meeker & Escobar (1998) for the shock absorbers (3.16,
/// 27 719), of Nelson (1982) for the fans (1.058, 26 297), of Lawless for the ball bearings (2.102, 81.88), and his
/// lognormal of the locomotive controls (5.117, 0.705).
#[test]
fn printed_estimates_come_out_to_their_last_digit() {
    for (log, shape, life, digits) in [
        (shock_absorbers(), 3.16, 27_719.0, (0.005, 1.0)),
        (diesel_fans(), 1.058, 26_297.0, (0.0005, 1.0)),
        (ball_bearings(), 2.102, 81.88, (0.0005, 0.01)),
    ] {
        let fitted = fit(&log, Weibull).unwrap();
        assert!((fitted.weibull_shape().unwrap() - shape).abs() <= digits.0);
        assert!((fitted.location.exp() - life).abs() <= digits.1);
    }
    let fitted = fit(&locomotive_controls(), Lognormal).unwrap();
    assert!((fitted.location - 5.117).abs() < 0.0005 && (fitted.scale - 0.705).abs() < 0.0006);
}

/// lifelines 0.30.3, `KaplanMeierFitter`.
#[test]
fn the_plot_steps_with_lifelines() {
    let points = probability_plot(&shock_absorbers(), Weibull).unwrap();
    for (km, surviving) in
        [(6700.0, 0.973_684), (13150.0, 0.870_836), (20100.0, 0.718_440), (27490.0, 0.287_376)]
    {
        let point = points.iter().find(|p| (p.hours - km).abs() < 0.5).unwrap();
        assert!((1.0 - point.after - surviving).abs() < 1e-6);
    }
}

/// statsmodels 0.15.0, `normal_ad` on the logarithms (probability; statistic times the correction for n); scipy 1.17.1
/// for the extreme value distribution, `A²` by its definition at scipy's estimates.
#[test]
fn anderson_darling_is_that_of_statsmodels() {
    let log = ball_bearings();
    let test = |d| goodness_of_fit(&log, &fit(&log, d).unwrap()).unwrap();
    let GoodnessOfFit::AndersonDarling { statistic, probability } = test(Lognormal) else { unreachable!() };
    alike("A²", statistic, 0.192_991_363_94, 1e-6);
    alike("p", probability, 0.894_582_479_66, 1e-6);
    let GoodnessOfFit::AndersonDarling { statistic, .. } = test(Weibull) else { unreachable!() };
    alike("A²", statistic, 0.342_209_674_95, 1e-6);
}

/// scipy 1.17.1: Simpson's rule over `(μ - μ₀)/σ` and `ln σ` on 2501 × 601 points of scipy's log-densities.
#[test]
fn posteriors_of_censored_records_are_those_of_a_plain_grid() {
    let prior = Prior { median_hours: 70.0, log_sd: 0.6, panels: 5.0 };
    let intact = vec![Record::intact(96.0); 6];
    let mixed = log(&[48.0], &[(96.0, 3.0)])
        .into_iter()
        .chain([Record::between(72.0, 96.0), Record::between(0.0, 24.0)])
        .collect();
    for (records, median, median_sd, between, predictive) in [
        (intact, 114.735_465_773, 0.266_075_524_8, 0.675_332_260_5, 0.725_858_007_4),
        (mixed, 75.793_398_748_7, 0.242_117_833_6, 0.752_623_38, 0.790_609_257_2),
    ] {
        let records: Vec<Record> = records;
        let posterior = fit_with_prior(&records, &prior).unwrap();
        alike("median", posterior.median_hours, median, 1e-7);
        alike("median spread", posterior.median_log_sd, median_sd, 1e-7);
        alike("between", posterior.between_panel_log_sd, between, 1e-7);
        alike("predictive", posterior.predictive_log_sd, predictive, 1e-7);
    }
}

fn in_lots(lots: &[(&str, &[Record])]) -> Vec<Record> {
    lots.iter().flat_map(|(lot, records)| records.iter().map(|r| r.clone().in_lot(*lot))).collect()
}

/// statsmodels 0.15.0, `mixedlm("y ~ 1", groups=lot).fit(reml=False)` on the logarithms of an invented log; its
/// optimiser stops at about 1e-6; standard error by generalised least squares at its variances (numpy 2.4.6).
#[test]
fn unbalanced_lots_are_those_of_statsmodels() {
    let f = |hours: &[f64]| -> Vec<Record> { hours.iter().map(|h| Record::failed(*h)).collect() };
    let effect = lot_effect(&in_lots(&[
        ("A", &f(&[44.0, 61.0, 58.0])),
        ("B", &f(&[90.0, 120.0])),
        ("C", &f(&[39.0, 52.0, 47.0, 66.0])),
        ("D", &f(&[75.0, 81.0, 110.0, 96.0, 70.0])),
        ("E", &f(&[58.0])),
        ("F", &f(&[131.0, 102.0])),
    ]))
    .unwrap();
    alike("location", effect.median_hours.ln(), 4.299_106_816_06, 1e-6);
    alike("between", effect.between_lot_log_sd, 0.303_277_000_6, 1e-5);
    alike("within", effect.within_lot_log_sd, 0.194_107_259_3, 1e-5);
    alike("se", effect.median_log_se, 0.134_549_016_479, 1e-5);
    alike("likelihood", effect.log_likelihood, -74.864_242_506_4, 1e-8);
}

/// scipy 1.17.1 and numpy 2.4.6: Gauss-Hermite quadrature of 120 points, Nelder-Mead to 1e-13, invented log; the
/// standard error by second differences of step 1e-3.
#[test]
fn censored_lots_are_those_of_a_plain_quadrature() {
    let (f, b, i) = (Record::failed, Record::between, Record::intact);
    let effect = lot_effect(&in_lots(&[
        ("A", &[f(44.0), f(61.0), b(48.0, 72.0)]),
        ("B", &[f(90.0), i(120.0)]),
        ("C", &[f(39.0), f(52.0), b(24.0, 48.0), f(66.0)]),
        ("D", &[f(75.0), f(81.0), i(120.0), f(96.0), b(72.0, 96.0)]),
        ("E", &[b(0.0, 72.0)]),
        ("F", &[i(120.0), f(102.0)]),
    ]))
    .unwrap();
    alike("location", effect.median_hours.ln(), 4.311_253_509_8, 1e-6);
    alike("between", effect.between_lot_log_sd, 0.357_948_266_7, 1e-6);
    alike("within", effect.within_lot_log_sd, 0.252_999_142_8, 1e-6);
    alike("likelihood", effect.log_likelihood, -53.868_497_205_4, 1e-9);
    alike("se", effect.median_log_se, 0.167_037_308_7, 1e-4);
}

/// scipy 1.17.1, `brentq` on `norm.logsf`.
#[test]
fn a_zero_failure_bound_is_that_of_scipy() {
    let log = [48.0, 72.0, 96.0, 96.0, 120.0].map(Record::intact);
    let bound = zero_failure_bound(&log, Lognormal, 0.5, 0.9).unwrap();
    alike("median", bound.median_at_least_hours, 106.174_995_137, 1e-9);
}

/// Numbers that look random and are the same on every machine (Steele, Lea & Flood 2014, SplitMix64).
struct Sequence(u64);

impl Sequence {
    fn share(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        (((z ^ (z >> 31)) >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
    }
}

/// How often 90% bounds of the median enclose it, with the standard error of that share. Run it with
/// `cargo test --release --test it records_fits -- --ignored --nocapture`.
#[test]
#[ignore = "long: python3 tests/run.py --all"]
fn coverage_of_the_bounds() {
    println!("distribution  panels  ended at  logs  profile        Wald           no estimate");
    for distribution in [Lognormal, Weibull] {
        for (panels, end) in [(5, 1e9), (10, 1e9), (10, 90.0), (20, 90.0), (50, 60.0)] {
            let (scale, median) = (0.5, 80.0_f64);
            let location = median.ln() - scale * distribution.standard_quantile(0.5);
            let mut sequence = Sequence(20);
            let (mut logs, mut profile, mut wald, mut none) = (0.0, 0.0, 0.0, 0);
            for _ in 0..1000 {
                let log: Vec<Record> = (0..panels)
                    .map(|_| {
                        let p = sequence.share();
                        let z =
                            if distribution == Lognormal { normal_quantile(p) } else { (-(-p).ln_1p()).ln() };
                        let hours = (location + scale * z).exp();
                        if hours > end { Record::intact(end) } else { Record::failed(hours) }
                    })
                    .collect();
                let Ok(fitted) = fit(&log, distribution) else {
                    none += 1;
                    continue;
                };
                logs += 1.0;
                let holds = |b: overcoat::records::Bounds| {
                    f64::from(u8::from(
                        b.lower_hours.is_none_or(|low| low <= median)
                            && b.upper_hours.is_none_or(|high| median <= high),
                    ))
                };
                profile += holds(profile_bounds(&log, distribution, 0.5, 0.9).unwrap());
                wald += holds(fitted.wald_bounds(0.5, 0.9).unwrap());
            }
            let share = |hits: f64| {
                let p: f64 = hits / logs;
                format!("{p:.3} ± {:.3}", (p * (1.0 - p) / logs).sqrt())
            };
            let end_words = if end > 1e6 { "failure".to_owned() } else { format!("{end} h") };
            println!(
                "{:12}  {panels:6}  {end_words:8}  {logs:4}  {}  {}  {none}",
                distribution.word(),
                share(profile),
                share(wald)
            );
            let least = if panels < 10 { 0.78 } else { 0.84 };
            assert!(profile / logs > least && profile / logs < 0.95);
        }
    }
}

fn learned_wax(failed: &[f64], intact: (f64, usize)) -> LearnedCapacity {
    let mut log: Vec<Record> = failed.iter().map(|hours| Record::failed(*hours)).collect();
    log.extend(vec![Record::intact(intact.0); intact.1]);
    let options = LogOptions { film: Some("hard_wax"), ..LogOptions::new(Catalog::built_in()) };
    learn_capacity(&log, &options).unwrap()
}

/// A few failures among many survivors stretch the spread, and with it a median that was not watched: the entry gets no
/// more hours than the longest panel had, no more than if none had failed, and says that it is a bound.
#[test]
fn failures_among_survivors_never_lengthen_a_life_nor_pass_the_test() {
    for (failed, intact) in [
        (&[72.0, 90.0][..], (96.0, 58)),
        (&[60.0, 85.0], (100.0, 198)),
        (&[50.0, 60.0, 85.0], (100.0, 197)),
        (&[40.0, 50.0, 55.0, 60.0, 65.0, 70.0, 75.0, 80.0, 85.0, 90.0], (100.0, 190)),
        (&[90.0], (96.0, 21)),
        (&[90.0], (96.0, 3)),
    ] {
        let learned = learned_wax(failed, intact);
        let estimate = learned.estimate().unwrap();
        let none_failed = learned_wax(&[], (intact.0, intact.1 + failed.len())).estimate().unwrap();
        assert!(estimate.median <= intact.0, "{failed:?}: {}", estimate.median);
        assert!(estimate.median <= none_failed.median && estimate.log_sd() < 1.0, "{failed:?}: {estimate:?}");
        if intact.1 > 20 {
            assert!(estimate.fit.contains("lower bound"), "{}", estimate.fit);
            assert!(learned.remarks.iter().any(|said| said.contains("beyond what was watched")));
            assert!(learned.to_string().contains("lower bound: cut to"));
        }
    }
}

/// Where the panels failed, their hours were watched, and nothing is cut.
#[test]
fn hours_that_were_watched_are_all_credited() {
    let log: Vec<Record> = [150.0, 180.0, 200.0, 220.0, 260.0].map(Record::failed).to_vec();
    let options = LogOptions { film: Some("hard_wax"), ..LogOptions::new(Catalog::built_in()) };
    let learned = learn_capacity(&log, &options).unwrap();
    let catalog = Prior::of(&Catalog::built_in().film("hard_wax").unwrap().capacity_h);
    let weighed = fit_with_prior(&log, &catalog).unwrap();
    let estimate = learned.estimate().unwrap();
    assert_eq!(estimate.median, weighed.median_hours);
    assert!((estimate.log_sd() - weighed.predictive_log_sd).abs() < 1e-12);
    assert!(!estimate.fit.contains("bound"));
}

/// A median is a statement on half of the panels: one that stayed in much longer than the others says nothing of it.
#[test]
fn one_long_panel_among_many_short_ones_lengthens_no_life() {
    let short = learned_wax(&[72.0, 90.0], (96.0, 58)).estimate().unwrap();
    let log = |long: usize, hours: f64| {
        let mut log: Vec<Record> = [72.0, 90.0].map(Record::failed).to_vec();
        log.extend(vec![Record::intact(96.0); 58 - long]);
        log.extend(vec![Record::intact(hours); long]);
        log
    };
    let options = LogOptions { film: Some("hard_wax"), ..LogOptions::new(Catalog::built_in()) };
    for long in [1, 5, 20] {
        let learned = learn_capacity(&log(long, 1000.0), &options).unwrap();
        let estimate = learned.estimate().unwrap();
        assert_eq!(estimate.median, short.median, "{long}");
        assert!(estimate.fit.contains("lower bound: cut to 96.0 h"), "{}", estimate.fit);
    }
    // half of them, the two that failed among these, say more
    assert!(
        learn_capacity(&log(28, 1000.0), &options).unwrap().estimate().unwrap().median > 2.0 * short.median
    );
    let none = |long: usize| {
        let mut log = vec![Record::intact(96.0); 60 - long];
        log.extend(vec![Record::intact(1000.0); long]);
        learn_capacity(&log, &options).unwrap().estimate().unwrap().median
    };
    assert_eq!((none(1), none(0)), (96.0, 96.0));
}
