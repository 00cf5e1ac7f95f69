//! Rules and numbers that no other test reaches: rare metals in contact, earlier finishes, mild places, masks.

#![allow(clippy::unwrap_used, clippy::panic)]

use crate::common::{bracket, brief, finding, option, ranked};
use overcoat::atmosphere::{Determination, StandardMetal};
use overcoat::catalog::Catalog;
use overcoat::papers::{Units, papers};

const WAX: &str = r#""builds": [{"treatment": "hot_alkaline", "films": ["hard_wax"]}]"#;

/// ISO 9223:2012, table A.1 (from memory): 2% for specimens of steel and copper, 5% for zinc and aluminium; the
/// dose response -33 to +50%, of aluminium -50 to +100%. A description has no number there.
#[test]
fn each_metal_has_its_uncertainty_in_each_way_to_an_atmosphere() {
    use Determination::{Description, DoseResponse, Specimens};
    let percent =
        |way: Determination, metal| way.standard_log_sd(metal).map(|sd| (100.0 * sd.exp_m1()).round());
    for (metal, specimens, dose_response) in [
        (StandardMetal::Steel, 2.0, 50.0),
        (StandardMetal::Copper, 2.0, 50.0),
        (StandardMetal::Zinc, 5.0, 50.0),
        (StandardMetal::Aluminium, 5.0, 100.0),
    ] {
        assert_eq!(percent(Specimens, metal), Some(specimens));
        assert_eq!(percent(DoseResponse, metal), Some(dose_response));
        assert_eq!(percent(Description, metal), None);
        // what is reckoned with is never narrower than what the standard says
        assert!(DoseResponse.log_sd(metal) >= DoseResponse.standard_log_sd(metal).unwrap());
    }
}

/// Anodic indices as in reprints of the couples table of MIL-DTL-14072F (common practice; zinc from memory): plain
/// steel at 0.85 V.
#[test]
fn rare_metals_stand_where_the_anodic_index_puts_them() {
    for (metal, apart, attacked) in [
        ("graphite", "1.00 V", "The part"),
        ("silver", "0.70 V", "The part"),
        ("tin_plate", "0.20 V", "The part"),
        ("galvanized_steel", "0.35 V", "The galvanized steel"),
        ("magnesium", "0.90 V", "The magnesium"),
    ] {
        let duty = format!(
            r#""place": "rural", "required_years": 5, "mating_metals": ["{metal}"], "mating_area_ratio": 0.5"#
        );
        let part = r#""form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5"#;
        let ranking = ranked(&brief(part, &duty, WAX));
        let message = &finding(&ranking.options[0], "couple.difference").unwrap().message;
        assert!(
            message.contains(apart) && message.contains(&format!("{attacked} corrodes where")),
            "{message}"
        );
    }
}

/// Friction classes of VDI 2230 by reprints: D, 0.20 to 0.35, for hot-dip zinc; paint is in no class and taken as C to
/// D, 0.14 to 0.35 (assumption). At one torque the preload grows about as the friction falls.
#[test]
fn an_earlier_finish_has_its_own_friction() {
    let grown = |present: &str| {
        let part = format!(
            r#""form": "socket_cap_screw", "base_metal": "steel_8_8", "thread": "M10", "length_mm": 40,
               "present_finish": "{present}""#
        );
        let ranking = ranked(&brief(&part, r#""place": "rural", "required_years": 5"#, WAX));
        let message = finding(&ranking.options[0], "torque.new_torque").unwrap().message.clone();
        let words = message.split_once("highest preload is ").unwrap().1;
        (words.split(' ').next().unwrap().parse::<f64>().unwrap(), message)
    };
    let (of_phosphate, _) = grown("phosphate");
    let (of_paint, paint) = grown("paint");
    let (of_zinc, zinc) = grown("hot_dip_zinc");
    assert!(paint.contains("0.14 to 0.35") && zinc.contains("0.20 to 0.35"));
    // the greatest preload of before is that of its least friction; phosphate begins at 0.14 as paint does
    assert_eq!(of_paint, of_phosphate);
    assert!((of_zinc / of_phosphate / (0.20 / 0.14) - 1.0).abs() < 0.05, "{of_zinc} {of_phosphate}");
}

/// Where no chloride is known the loss of steel stands in for it: the milder the place, the fewer surfaces stain.
#[test]
fn mild_places_stain_less_of_stainless_steel() {
    let never = |loss: f64| {
        let duty = format!(r#""first_year_steel_loss_um": {loss}, "required_years": 5"#);
        let part = r#""form": "bracket", "base_metal": "stainless_304", "mass_g": 300, "surface_dm2": 2.5"#;
        let wants = r#""builds": [{"treatment": "stainless_alkaline", "films": []}]"#;
        let ranking = ranked(&brief(part, &duty, wants));
        option(&ranking, "stainless_304 / stainless_alkaline / no film").outlook.never_fails
    };
    let (c1, c2, c3) = (never(1.0), never(20.0), never(30.0));
    assert!(c1 > 0.95 && c1 > c2 + 0.1 && c2 > c3, "{c1} {c2} {c3}");
}

#[test]
fn a_nut_of_inches_is_gauged_by_2b_and_a_screw_by_3a() {
    for (form, usual, finished) in [("hexagon_nut", "2B", "2B"), ("socket_cap_screw", "2A", "3A")] {
        let part = format!(
            r#""form": "{form}", "base_metal": "steel_8_8", "thread": "1/2-13 UNC", "length_mm": 40"#
        );
        let asked = brief(&part, r#""place": "rural", "required_years": 5"#, WAX);
        let ranking = ranked(&asked);
        let text =
            papers(&asked, ranking.best().unwrap(), Catalog::built_in(), Units::Inch).unwrap().to_text();
        assert!(flat(&text).contains(&format!("1/2-13 UNC {usual} before finishing")), "{text}");
        assert!(flat(&text).contains(&format!("GO gauge {finished} after")), "{text}");
    }
}

/// The text on one line.
fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn paint_comes_off_without_acid_and_a_filled_thread_is_masked() {
    let powder = r#""builds": [{"treatment": "hot_alkaline", "films": ["polyester_powder"]}]"#;
    let part = r#""base_metal": "steel_4_6", "thread": "M8", "present_finish": "paint""#;
    let ranking = bracket(part, "", powder);
    let part = r#""form": "bracket", "mass_g": 300, "surface_dm2": 2.5, "base_metal": "steel_4_6", "thread": "M8",
                  "present_finish": "paint""#;
    let asked = brief(part, r#""place": "indoor_condensation", "required_years": 5"#, powder);
    let route = papers(&asked, &ranking.options[0], Catalog::built_in(), Units::Metric).unwrap().route;
    let step = |title: &str| route.steps.iter().position(|step| step.title.contains(title)).unwrap();
    let (strip, blacken) = (step("Strip the paint"), step("Black oxide"));
    let (mask, coat) = (step("Mask the threads"), step("Powder coat"));
    assert!(strip < blacken && blacken < mask && mask < coat);
    let text = format!("{:?}", route.steps[strip]);
    assert!(text.contains("without acid") && !text.contains("inhibited acid"), "{text}");
}

/// D(t) = r·t^b reaches 60 µm at (60/30)^(1/b) years; b is 0.523 for plain steel, and for the catalog's weathering
/// steel that and the effects of its elements against the specimen steel of ISO 9224:2012 (from memory).
#[test]
fn weathering_steel_grows_by_its_composition() {
    let effects: [(f64, f64); 6] = [
        (-0.084, 0.10 - 0.05),
        (-0.490, 0.02 - 0.01),
        (-0.163, 0.40 - 0.02),
        (-0.066, 0.30 - 0.02),
        (-0.124, 0.50 - 0.03),
        (-0.069, 0.35 - 0.05),
    ];
    let shift: f64 = effects.iter().map(|(effect, content)| effect * content).sum();
    for (metal, exponent) in [("steel_4_6", 0.523), ("weathering_steel", 0.523 + shift)] {
        let part =
            format!(r#""form": "bracket", "base_metal": "{metal}", "mass_g": 300, "surface_dm2": 2.5"#);
        let duty = r#""first_year_steel_loss_um": 30, "chloride_mg_m2_day": 0, "required_years": 5, "failure": {"loss_um": 60}"#;
        let ranking = ranked(&brief(&part, duty, r#""builds": [{"treatment": "none", "films": []}]"#));
        let years = ranking.options[0].outlook.median_years;
        // away from salt; the bare metal withstands days before it begins
        assert!((years / 2_f64.powf(1.0 / exponent) - 1.0).abs() < 0.03, "{metal}: {years}");
    }
}
