//! Papers of every treatment on two parts, one that suits it and a difficult one, kept byte for byte: a change of a text
//! shows. That a paper is kept says that it is what it was, not that each of its lines is right.
//!
//! After a change that is meant: `OVERCOAT_WRITE_GOLDEN=1 cargo test --test it golden_papers`, then read the difference.
//! Numbers of sources and the risks of samples are left out: they are tested by themselves, and every source would
//! renumber the rest.

use std::collections::BTreeSet;
use std::path::PathBuf;

use overcoat::catalog::Catalog;
use overcoat::check::FindingKind::Blocks;

use crate::papers::{asked_for, option, ranking, treated};

/// Name of the file, part, treatment, films.
const GOLDEN: [(&str, &str, &str, &[&str]); 36] = [
    (
        "hot_alkaline",
        r#""form": "hexagon_head_screw", "thread": "M8", "length_mm": 30, "base_metal": "steel_8_8", "lot_pieces": 2000"#,
        "hot_alkaline",
        &["displacing_oil"],
    ),
    (
        "hot_alkaline_hard_rusty_safety",
        r#""form": "socket_cap_screw", "thread": "M10", "length_mm": 50, "base_metal": "steel_12_9", "condition": "rust", "safety_critical": true, "lot_pieces": 500"#,
        "hot_alkaline",
        &["dry_touch_oil"],
    ),
    (
        "hot_alkaline_zinc_stripped",
        r#""form": "hexagon_head_screw", "thread": "M12", "length_mm": 60, "base_metal": "steel_10_9", "present_finish": "zinc_plate", "lot_pieces": 800"#,
        "hot_alkaline",
        &["heavy_oil"],
    ),
    (
        "alkaline_chromate",
        r#""form": "pin", "base_metal": "stainless_430", "mass_g": 40, "surface_dm2": 0.4, "lot_pieces": 1000"#,
        "alkaline_chromate",
        &["displacing_oil"],
    ),
    (
        "alkaline_chromate_hard",
        r#""form": "socket_cap_screw", "thread": "M6", "length_mm": 20, "base_metal": "stainless_410", "hardness_hv": 420, "condition": "light_scale", "lot_pieces": 400"#,
        "alkaline_chromate",
        &["hard_wax"],
    ),
    (
        "fused_salt",
        r#""form": "pin", "base_metal": "stainless_17_4ph", "mass_g": 40, "surface_dm2": 0.4, "tempering_temperature_c": 552, "lot_pieces": 300"#,
        "fused_salt",
        &["displacing_oil"],
    ),
    (
        "fused_salt_scale",
        r#""form": "bracket", "base_metal": "stainless_17_4ph", "mass_g": 200, "surface_dm2": 2, "tempering_temperature_c": 552, "condition": "light_scale", "lot_pieces": 60"#,
        "fused_salt",
        &["soft_wax"],
    ),
    (
        "stainless_alkaline",
        r#""form": "hexagon_head_screw", "thread": "M10", "length_mm": 40, "base_metal": "stainless_316", "property_class": "A4-70", "lot_pieces": 500"#,
        "stainless_alkaline",
        &["soft_wax"],
    ),
    (
        "stainless_alkaline_hard",
        r#""form": "socket_cap_screw", "thread": "M8", "length_mm": 25, "base_metal": "stainless_17_4ph", "tempering_temperature_c": 482, "lot_pieces": 200"#,
        "stainless_alkaline",
        &["displacing_oil"],
    ),
    (
        "room_temperature",
        r#""form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5, "lot_pieces": 300"#,
        "room_temperature",
        &["displacing_oil"],
    ),
    (
        "room_temperature_cast",
        r#""form": "bracket", "base_metal": "malleable_iron", "mass_g": 300, "surface_dm2": 2.5, "traps_liquid": true, "condition": "light_scale", "lot_pieces": 25"#,
        "room_temperature",
        &["acrylic_lacquer"],
    ),
    (
        "zinc_plate_8",
        r#""form": "hexagon_head_screw", "thread": "M8", "length_mm": 30, "base_metal": "steel_8_8", "lot_pieces": 2000"#,
        "zinc_plate_black",
        &[],
    ),
    (
        "zinc_plate_8_hard_safety",
        r#""form": "hexagon_head_screw", "thread": "M8", "length_mm": 30, "base_metal": "steel_10_9", "safety_critical": true, "maker_consent": true, "lot_pieces": 500"#,
        "zinc_plate_black",
        &["dry_touch_oil"],
    ),
    (
        "zinc_plate_5_present_zinc",
        r#""form": "hexagon_head_screw", "thread": "M8", "length_mm": 30, "base_metal": "steel_8_8", "present_finish": "zinc_plate", "lot_pieces": 2000"#,
        "zinc_plate_black_5",
        &["thin_wax"],
    ),
    (
        "zinc_plate_5_inch",
        r#""form": "hexagon_head_screw", "thread": "1/2-13 UNC", "length_mm": 50, "tolerance": "2A", "base_metal": "steel_10_9", "lot_pieces": 2000"#,
        "zinc_plate_black_5",
        &[],
    ),
    (
        "zinc_plate_12",
        r#""form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5, "lot_pieces": 300"#,
        "zinc_plate_black_12",
        &["dry_touch_oil"],
    ),
    (
        "zinc_plate_12_cast",
        r#""form": "bracket", "base_metal": "malleable_iron", "mass_g": 300, "surface_dm2": 2.5, "traps_liquid": true, "lot_pieces": 300"#,
        "zinc_plate_black_12",
        &[],
    ),
    (
        "zinc_nickel",
        r#""form": "hexagon_head_screw", "thread": "M8", "length_mm": 30, "base_metal": "steel_8_8", "lot_pieces": 2000"#,
        "zinc_nickel_black",
        &["thin_wax"],
    ),
    (
        "zinc_nickel_10_9",
        r#""form": "hexagon_head_screw", "thread": "M12", "length_mm": 60, "base_metal": "steel_10_9", "condition": "rust", "lot_pieces": 500"#,
        "zinc_nickel_black",
        &[],
    ),
    (
        "zinc_flake",
        r#""form": "hexagon_head_screw", "thread": "M10", "length_mm": 40, "base_metal": "steel_10_9", "lot_pieces": 2000"#,
        "zinc_flake_black",
        &[],
    ),
    (
        "zinc_flake_hard_rusty",
        r#""form": "socket_cap_screw", "thread": "M8", "length_mm": 30, "base_metal": "steel_12_9", "condition": "rust", "safety_critical": true, "lot_pieces": 300"#,
        "zinc_flake_black",
        &[],
    ),
    (
        "zinc_flake_inch",
        r#""form": "socket_cap_screw", "thread": "3/8-16 UNC", "length_mm": 40, "tolerance": "3A", "base_metal": "steel_12_9", "lot_pieces": 1000"#,
        "zinc_flake_black",
        &[],
    ),
    (
        "zinc_phosphate_light",
        r#""form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5, "lot_pieces": 2000"#,
        "zinc_phosphate_light",
        &["epoxy_electrocoat", "polyester_powder"],
    ),
    (
        "zinc_phosphate_light_hard",
        r#""form": "pin", "base_metal": "steel_12_9", "mass_g": 60, "surface_dm2": 0.5, "condition": "light_scale", "lot_pieces": 200"#,
        "zinc_phosphate_light",
        &["zinc_phosphate_primer", "air_dry_paint"],
    ),
    (
        "zinc_phosphate",
        r#""form": "hexagon_head_screw", "thread": "M8", "length_mm": 30, "base_metal": "steel_8_8", "lot_pieces": 2000"#,
        "zinc_phosphate",
        &["heavy_oil"],
    ),
    (
        "zinc_phosphate_hard_safety",
        r#""form": "socket_cap_screw", "thread": "M10", "length_mm": 50, "base_metal": "steel_12_9", "safety_critical": true, "maker_consent": true, "hydrogen_consent": true, "lot_pieces": 400"#,
        "zinc_phosphate",
        &["displacing_oil"],
    ),
    (
        "manganese_phosphate",
        r#""form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5, "lot_pieces": 300"#,
        "manganese_phosphate",
        &["displacing_oil"],
    ),
    (
        "manganese_phosphate_traps_liquid",
        r#""form": "pin", "base_metal": "steel_10_9", "mass_g": 60, "surface_dm2": 0.5, "traps_liquid": true, "lot_pieces": 300"#,
        "manganese_phosphate",
        &["heavy_oil"],
    ),
    (
        "nitrocarburize",
        r#""form": "pin", "base_metal": "steel_4_6", "mass_g": 60, "surface_dm2": 0.5, "lot_pieces": 300"#,
        "nitrocarburize_oxidize",
        &["dry_touch_oil"],
    ),
    (
        "nitrocarburize_cast",
        r#""form": "bracket", "base_metal": "malleable_iron", "mass_g": 300, "surface_dm2": 2.5, "condition": "heavy_scale", "lot_pieces": 100"#,
        "nitrocarburize_oxidize",
        &["soft_wax"],
    ),
    (
        "anodize",
        r#""form": "bracket", "base_metal": "aluminium", "mass_g": 100, "surface_dm2": 1.5, "lot_pieces": 500"#,
        "black_anodize",
        &[],
    ),
    (
        "anodize_thread_traps_liquid",
        r#""form": "bracket", "thread": "M6", "base_metal": "aluminium", "mass_g": 100, "surface_dm2": 1.5, "traps_liquid": true, "functional_surfaces": ["ground"], "lot_pieces": 500"#,
        "black_anodize",
        &[],
    ),
    (
        "none_powder",
        r#""form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5, "condition": "rust", "lot_pieces": 300"#,
        "none",
        &["polyester_powder"],
    ),
    (
        "none_silicone",
        r#""form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5, "condition": "light_scale", "lot_pieces": 40"#,
        "none",
        &["silicone_heat_paint"],
    ),
    (
        "none_present_zinc",
        r#""form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5, "present_finish": "hot_dip_zinc", "lot_pieces": 300"#,
        "none",
        &["zinc_phosphate_primer", "air_dry_paint"],
    ),
    (
        "none_topcoat_on_present_zinc",
        r#""form": "hexagon_head_screw", "thread": "M24", "length_mm": 100, "tolerance": "6e", "base_metal": "steel_8_8", "present_finish": "zinc_plate", "lot_pieces": 200"#,
        "none",
        &["dip_spin_topcoat"],
    ),
];

/// What is compared: order, route, tests and cautions, without numbers of sources and without the risks of samples.
fn compared(text: &str) -> String {
    let body = text.split("\nSOURCES\n").next().unwrap();
    let (before, risks) = body.split_once("Samples and their risks\n").unwrap();
    let (_, after) = risks.split_once("If the shade is off\n").unwrap();
    let whole = format!("{before}If the shade is off\n{after}");
    let mut out = String::with_capacity(whole.len());
    for (i, part) in whole.split('[').enumerate() {
        match part.split_once(']') {
            Some((number, rest)) if i > 0 && number.chars().all(|c| c.is_ascii_digit()) => {
                out.truncate(out.trim_end_matches(' ').len());
                out.push_str(rest);
            }
            _ if i > 0 => out.extend(["[", part]),
            _ => out.push_str(part),
        }
    }
    let lines: Vec<&str> = out.lines().map(str::trim_end).collect();
    format!("{}\n", lines.join("\n").trim_end())
}

#[test]
fn papers_are_those_that_are_kept() {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/it/golden_papers");
    let write = std::env::var_os("OVERCOAT_WRITE_GOLDEN").is_some();
    let mut differ = Vec::new();
    for (name, part, treatment, films) in GOLDEN {
        let text = compared(&treated(&format!("{{{part}}}"), treatment, films).to_text());
        let path = folder.join(name).with_extension("txt");
        if write {
            std::fs::create_dir_all(&folder).unwrap();
            std::fs::write(&path, &text).unwrap();
        }
        let golden = std::fs::read_to_string(&path).unwrap_or_default();
        if golden != text {
            let line = golden.lines().zip(text.lines()).position(|(was, is)| was != is).unwrap_or(0);
            differ.push(format!(
                "{name}.txt, line {}: {:?} became {:?}",
                line + 1,
                golden.lines().nth(line).unwrap_or_default(),
                text.lines().nth(line).unwrap_or_default()
            ));
        }
    }
    assert!(differ.is_empty(), "read what changed, then write it anew:\n{}", differ.join("\n"));
}

/// A paper that is kept is one that the checks let out.
#[test]
fn every_paper_that_is_kept_may_be_ordered() {
    let mut blocked = Vec::new();
    for (name, part, treatment, films) in GOLDEN {
        let ranking = ranking(&asked_for(&format!("{{{part}}}"), treatment, films));
        let option = option(&ranking, treatment, films);
        let findings = option.findings.iter().filter(|finding| finding.kind == Blocks);
        blocked.extend(findings.map(|finding| format!("{name}: {}", finding.message)));
    }
    assert!(blocked.is_empty(), "{}", blocked.join("\n"));
}

#[test]
fn every_treatment_has_two_papers() {
    for name in Catalog::built_in().content().treatments.keys() {
        let parts: BTreeSet<&str> = GOLDEN
            .iter()
            .filter(|(_, _, treatment, _)| treatment == name)
            .map(|(_, part, ..)| *part)
            .collect();
        assert!(parts.len() >= 2, "{name}");
    }
}
