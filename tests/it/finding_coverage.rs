//! Every rule of the checks, at every gravity it has: one brief that triggers it, and one beside it that does not.
//!
//! The two differ in as little as possible, so that each row of the table says where a rule begins. The rules are
//! read from the source: one without a row fails, and so does a row without a rule.

#![allow(clippy::unwrap_used, clippy::panic)] // test code

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use crate::common::{brief_text, usual_and};
use overcoat::brief::Brief;
use overcoat::catalog::Catalog;
use overcoat::check::FindingKind::{self, Blocks, Needs, Notes, Warns};
use overcoat::rank::{RankedOption, rank};

/// A build as `metal / treatment / film + film`, and what the brief says beyond the usual, as insides of JSON
/// objects.
#[derive(Debug, Clone, Copy)]
struct Question {
    build: &'static str,
    part: &'static str,
    duty: &'static str,
    wants: &'static str,
}

const fn ask(build: &'static str, part: &'static str, duty: &'static str, wants: &'static str) -> Question {
    Question { build, part, duty, wants }
}

const OILED: &str = "steel_4_6 / hot_alkaline / displacing_oil";
const BARE: &str = "steel_4_6 / hot_alkaline / ";
const PAINTED: &str = "steel_4_6 / hot_alkaline / air_dry_paint";
const UNTREATED: &str = "steel_4_6 / none / ";
const COLD: &str = "steel_4_6 / room_temperature / displacing_oil";
const HARD: &str = "steel_12_9 / hot_alkaline / displacing_oil";
const STAINLESS: &str = "stainless_304 / stainless_alkaline / ";
const WAXED: &str = "steel_4_6 / hot_alkaline / hard_wax";
const WELDED: &str = r#""welded_after_finishing": true"#;
const CRITICAL: &str = r#""base_metal": "steel_4_6", "safety_critical": true"#;
const SCREW_12_9: &str = r#""form": "hexagon_head_screw", "thread": "M8", "base_metal": "steel_12_9""#;
const SCREW_12_9_CRITICAL: &str =
    r#""form": "hexagon_head_screw", "thread": "M8", "base_metal": "steel_12_9", "safety_critical": true"#;
const SCREW_8_8_CRITICAL: &str =
    r#""form": "hexagon_head_screw", "thread": "M8", "base_metal": "steel_8_8", "safety_critical": true"#;
const A490: &str = r#""form": "hexagon_head_screw", "thread": "3/4-10 UNC", "property_class": "A490""#;
const SCREW: &str = r#""form": "hexagon_head_screw", "thread": "M8""#;

type Row = (&'static str, FindingKind, Question, Question);

/// Rule, gravity, a question that triggers it, a question that does not.
#[rustfmt::skip]
#[expect(clippy::too_many_lines, reason = "a table")]
fn rows() -> Vec<Row> {
    vec![
        ("appearance.black", Blocks, ask(UNTREATED, "", "", ""), ask(UNTREATED, "", "", r#""black": false"#)),
        ("appearance.gloss", Warns, ask(OILED, "", "", r#""gloss": "matte""#), ask(OILED, "", "", r#""gloss": "gloss""#)),
        ("appearance.shade", Warns, ask(OILED, "", "", r#""uniform_shade": true"#), ask(OILED, "", "", "")),
        ("appearance.shade", Notes, ask(OILED, "", "", ""), ask(PAINTED, "", "", "")),
        ("appearance.chips", Warns, ask("steel_4_6 / none / air_dry_paint", "", "", ""), ask(PAINTED, "", "", "")),
        ("appearance.black_on_black", Notes, ask(PAINTED, "", "", ""), ask("steel_4_6 / none / air_dry_paint", "", "", "")),
        ("appearance.touch_up", Notes, ask(PAINTED, "", r#""handling": "occasional""#, ""), ask(PAINTED, "", "", "")),
        ("appearance.rub_off", Warns, ask(COLD, "", r#""handling": "frequent""#, ""), ask(COLD, "", r#""handling": "occasional""#, "")),
        ("appearance.rub_off", Notes, ask(COLD, "", "", ""), ask(OILED, "", "", "")),
        ("appearance.sunlight", Warns,
            ask("steel_4_6 / hot_alkaline / alkyd_lacquer", "", r#""sunlight": "partial""#, ""),
            ask("steel_4_6 / hot_alkaline / acrylic_lacquer", "", r#""sunlight": "partial""#, "")),

        ("cost.limit", Blocks, ask(OILED, "", "", r#""cost_limit_per_thousand": 1"#), ask(OILED, "", "", r#""cost_limit_per_thousand": 1e9"#)),

        // steel 0.85 V, zinc plate 1.25 V, copper 0.35 V; the limit is 0.25 V indoors
        ("couple.difference", Needs, ask(OILED, "", r#""mating_metals": ["copper"]"#, ""), ask(OILED, "", r#""mating_metals": ["lead"]"#, "")),
        ("couple.difference", Warns,
            ask(OILED, "", r#""mating_metals": ["zinc_plated_steel"], "mating_area_ratio": 10"#, ""),
            ask(OILED, "", r#""mating_metals": ["zinc_plated_steel"], "mating_area_ratio": 9"#, "")),
        // 0.50 V is allowed where the climate is controlled; copper lies 0.50 V from steel
        ("couple.difference", Needs,
            ask(OILED, "", r#""mating_metals": ["copper"]"#, ""),
            ask(OILED, "", r#""place": "indoor_heated", "mating_metals": ["copper"]"#, "")),
        // lead lies 0.15 V from steel, which is the limit outdoors; brass 0.45 V
        ("couple.difference", Needs,
            ask(OILED, "", r#""place": "rural", "mating_metals": ["brass"]"#, ""),
            ask(OILED, "", r#""place": "rural", "mating_metals": ["lead"]"#, "")),
        // tin lies 0.20 V from steel: allowed indoors, not in salt, which begins above 60 mg/(m²·d)
        ("couple.difference", Needs,
            ask(OILED, "", r#""place": null, "first_year_steel_loss_um": 30, "shelter": "indoor", "chloride_mg_m2_day": 61,
                "mating_metals": ["tin_plate"]"#, ""),
            ask(OILED, "", r#""place": null, "first_year_steel_loss_um": 30, "shelter": "indoor", "chloride_mg_m2_day": 60,
                "mating_metals": ["tin_plate"]"#, "")),
        ("couple.steel_in_aluminum", Needs,
            ask(OILED, "", r#""place": "rural", "mating_metals": ["aluminium"]"#, ""),
            ask(OILED, "", r#""mating_metals": ["aluminium"]"#, "")),
        // an aluminum part in salt, the steel large or small
        ("couple.aluminum_on_steel", Warns,
            ask("aluminium / none / ", "", r#""place": "coastal", "mating_metals": ["steel_5_8"]"#, ""),
            ask("aluminium / none / ", "", r#""place": "coastal", "mating_metals": ["steel_5_8"], "mating_area_ratio": 0.5"#, "")),
        ("couple.zinc_on_aluminum", Warns,
            ask("steel_4_6 / zinc_flake_black / ", "", r#""place": "rural", "mating_metals": ["aluminium"]"#, ""),
            ask(OILED, "", r#""place": "rural", "mating_metals": ["aluminium"]"#, "")),
        // brass lies 0.45 V from steel; paint covers the seam
        ("couple.joined", Warns, ask(OILED, r#""joined_metals": ["brass"]"#, "", ""), ask(PAINTED, r#""joined_metals": ["brass"]"#, "", "")),
        ("couple.isolated", Notes, ask(PAINTED, "", r#""mating_metals": ["copper"]"#, ""), ask(OILED, "", r#""mating_metals": ["copper"]"#, "")),
        ("couple.no_barrier", Notes, ask(OILED, "", r#""mating_metals": ["copper"]"#, ""), ask(PAINTED, "", r#""mating_metals": ["copper"]"#, "")),

        // an M8 button head of 12.9 on bare zinc-nickel asks for more than the 30 N·m of its 5 mm key
        ("torque.drive", Warns,
            ask("steel_12_9 / zinc_nickel_black / ", r#""form": "button_head_screw", "thread": "M8", "hydrogen_consent": true"#, "", ""),
            ask("steel_12_9 / hot_alkaline / displacing_oil", r#""form": "button_head_screw", "thread": "M8""#, "", "")),
        // the thread of a part of no form of its own is masked against powder, not against oil
        ("torque.masked", Needs,
            ask("steel_8_8 / none / polyester_powder", r#""form": "other", "thread": "M8", "property_class": "8.8""#, "", ""),
            ask("steel_8_8 / hot_alkaline / displacing_oil", r#""form": "other", "thread": "M8", "property_class": "8.8""#, "", "")),
        // friction of oil is that of the tables, that of bare zinc-nickel is not
        ("torque.asked", Notes,
            ask(OILED, r#""form": "socket_cap_screw""#, "", ""),
            ask(OILED, SCREW, "", "")),
        ("torque.asked", Warns,
            ask("steel_8_8 / zinc_nickel_black / ", r#""form": "socket_cap_screw""#, "", ""),
            ask("steel_8_8 / zinc_nickel_black / ", SCREW, "", "")),
        // on M8 hard wax leaves too little of the lowest preload
        ("torque.asked", Blocks,
            ask("steel_8_8 / hot_alkaline / hard_wax",
                r#""form": "hexagon_head_screw", "base_metal": "steel_8_8", "safety_critical": true"#, "", ""),
            ask("steel_8_8 / hot_alkaline / hard_wax", r#""form": "hexagon_head_screw", "base_metal": "steel_8_8""#, "", "")),
        // ISO 898-1: from -50 °C
        ("heat.cold", Warns,
            ask(OILED, "", r#""heat_continuous_c": -51"#, ""),
            ask(OILED, "", r#""heat_continuous_c": -50"#, "")),

        ("embrittlement.no_acid", Warns, ask(OILED, r#""hardness_hv": 391"#, "", ""), ask(OILED, r#""hardness_hv": 390"#, "", "")),
        // austenitic stainless steel takes up no hydrogen that matters
        ("embrittlement.no_acid", Warns,
            ask(OILED, r#""hardness_hv": 391"#, "", ""),
            ask(STAINLESS, r#""hardness_hv": 391"#, "", "")),
        // ISO 898-1: 12.9 runs to 435 HV
        ("embrittlement.lot", Notes,
            ask("steel_12_9 / hot_alkaline / ", r#""hardness_hv": 389"#, "", ""),
            ask("steel_12_9 / hot_alkaline / ", r#""hardness_hv": 435"#, "", "")),
        ("embrittlement.bake", Needs,
            ask(OILED, r#""hardness_hv": 360, "condition": "rust""#, "", ""),
            ask(OILED, r#""hardness_hv": 359, "condition": "rust""#, "", "")),
        // a set screw is not loaded in tension
        ("embrittlement.bake", Needs,
            ask(OILED, r#""form": "hexagon_head_screw", "hardness_hv": 360, "condition": "rust""#, "", ""),
            ask(OILED, r#""form": "set_screw", "hardness_hv": 360, "condition": "rust""#, "", "")),
        ("embrittlement.electroplate", Blocks,
            ask("steel_12_9 / zinc_plate_black / ", "", "", ""),
            ask("steel_12_9 / zinc_plate_black / ", r#""hydrogen_consent": true"#, "", "")),
        ("embrittlement.electroplate", Warns,
            ask("steel_12_9 / zinc_plate_black / ", r#""hydrogen_consent": true"#, "", ""),
            ask("steel_10_9 / zinc_plate_black / ", r#""hydrogen_consent": true"#, "", "")),
        // a set screw is not loaded in tension and is judged as any screw
        ("embrittlement.electroplate", Blocks,
            ask("steel_12_9 / zinc_plate_black / ", r#""form": "set_screw", "thread": "M8""#, "", ""),
            ask("steel_12_9 / zinc_plate_black / ",
                r#""form": "set_screw", "thread": "M8", "hydrogen_consent": true"#, "", "")),
        ("embrittlement.present_finish", Warns,
            ask(HARD, r#""present_finish": "nickel_plate""#, "", ""),
            ask(HARD, r#""present_finish": "paint""#, "", "")),
        ("embrittlement.electrocoat", Needs,
            ask("steel_12_9 / none / epoxy_electrocoat", "", "", ""),
            ask("steel_10_9 / none / epoxy_electrocoat", "", "", "")),
        ("embrittlement.acid_bath", Blocks,
            ask("steel_12_9 / room_temperature / ", "", "", ""),
            ask("steel_10_9 / room_temperature / ", "", "", "")),
        ("embrittlement.acid_bath", Blocks,
            ask("steel_12_9 / zinc_phosphate / ", r#""base_metal": "steel_12_9", "safety_critical": true"#, "", ""),
            ask("steel_12_9 / zinc_phosphate / ", "", "", "")),
        ("embrittlement.acid_bath", Needs,
            ask("steel_12_9 / zinc_phosphate / ", "", "", ""),
            ask("steel_10_9 / zinc_phosphate / ", "", "", "")),
        ("embrittlement.acid_bath", Warns,
            ask("steel_12_9 / zinc_phosphate / ", r#""hydrogen_consent": true"#, "", ""),
            ask("steel_10_9 / zinc_phosphate / ", r#""hydrogen_consent": true"#, "", "")),
        ("embrittlement.test", Needs,
            ask("steel_12_9 / zinc_phosphate / ", "", "", ""),
            ask("steel_10_9 / zinc_phosphate / ", "", "", "")),
        ("embrittlement.relief", Needs,
            ask("steel_10_9 / zinc_phosphate / ", "", "", ""),
            ask("steel_8_8 / zinc_phosphate / ", "", "", "")),
        ("embrittlement.in_service", Warns, ask(HARD, "", "", ""), ask(HARD, "", r#""place": "indoor_heated""#, "")),
        ("embrittlement.bath", Notes, ask(OILED, r#""hardness_hv": 360"#, "", ""), ask(OILED, r#""hardness_hv": 359"#, "", "")),
        ("embrittlement.safety", Warns,
            ask(HARD, r#""base_metal": "steel_12_9", "safety_critical": true"#, "", ""),
            ask(OILED, CRITICAL, "", "")),

        // oil bears 80 °C for long and 120 °C for minutes
        ("heat.layer", Blocks, ask(OILED, "", r#""heat_continuous_c": 81"#, ""), ask(OILED, "", r#""heat_continuous_c": 80"#, "")),
        // zinc goes on protecting past the limit of its passivate; phosphate does not
        ("heat.treatment", Warns,
            ask("steel_4_6 / zinc_plate_black / ", "", r#""heat_peak_c": 201"#, ""),
            ask("steel_4_6 / zinc_plate_black / ", "", r#""heat_peak_c": 200"#, "")),
        ("heat.treatment", Blocks,
            ask("steel_4_6 / zinc_phosphate / ", "", r#""heat_peak_c": 122"#, ""),
            ask("steel_4_6 / zinc_phosphate / ", "", r#""heat_peak_c": 121"#, "")),
        ("heat.zinc", Warns,
            ask("steel_4_6 / zinc_flake_black / ", "", r#""heat_peak_c": 301"#, ""),
            ask("steel_4_6 / zinc_flake_black / ", "", r#""heat_peak_c": 300"#, "")),
        ("heat.zinc", Blocks,
            ask("steel_4_6 / zinc_flake_black / ", "", r#""heat_peak_c": 419"#, ""),
            ask("steel_4_6 / zinc_flake_black / ", "", r#""heat_peak_c": 418"#, "")),
        // the binder of zinc flake does not
        ("heat.treatment", Blocks,
            ask("steel_4_6 / zinc_flake_black / ", "", r#""heat_peak_c": 301"#, ""),
            ask("steel_4_6 / zinc_plate_black / ", "", r#""heat_peak_c": 300"#, "")),
        // electroplated zinc without its passivate is ordered up to 300 °C
        ("heat.treatment", Blocks,
            ask("steel_4_6 / zinc_plate_black / ", "", r#""heat_peak_c": 301"#, ""),
            ask("steel_4_6 / zinc_plate_black / ", "", r#""heat_peak_c": 300"#, "")),
        // zinc that is there already and stays
        ("heat.zinc", Blocks,
            ask("steel_4_6 / none / ", r#""present_finish": "zinc_plate""#, r#""heat_peak_c": 419"#, ""),
            ask("steel_4_6 / none / ", "", r#""heat_peak_c": 419"#, "")),
        ("heat.passivate", Warns,
            ask("steel_4_6 / none / polyester_powder", r#""present_finish": "zinc_plate""#, "", ""),
            ask("steel_4_6 / none / air_dry_paint", r#""present_finish": "zinc_plate""#, "", "")),
        ("heat.galvanized", Warns,
            ask("steel_4_6 / none / ", r#""present_finish": "hot_dip_zinc""#, r#""heat_continuous_c": 201"#, ""),
            ask("steel_4_6 / none / ", r#""present_finish": "hot_dip_zinc""#, r#""heat_continuous_c": 200"#, "")),
        ("heat.scaling", Notes,
            ask("steel_4_6 / none / ", "", r#""heat_peak_c": 500"#, ""),
            ask("steel_4_6 / none / ", "", r#""heat_peak_c": 437"#, "")),
        ("heat.scaling", Warns,
            ask("steel_4_6 / none / ", "", r#""heat_peak_c": 538"#, ""),
            ask("steel_4_6 / none / ", "", r#""heat_peak_c": 537"#, "")),
        ("heat.polymer_insert", Blocks,
            ask(BARE, r#""form": "lock_nut", "thread": "M8""#, r#""heat_peak_c": 121"#, ""),
            ask(BARE, r#""form": "lock_nut", "thread": "M8", "polymer_insert": false"#, r#""heat_peak_c": 121"#, "")),
        // powder cures at 190 °C
        ("heat.oven", Blocks,
            ask("steel_4_6 / none / polyester_powder", r#""tempering_temperature_c": 180"#, "", ""),
            ask("steel_4_6 / none / polyester_powder", r#""tempering_temperature_c": 215"#, "", "")),
        // the oven stays 25 °C below a tempering that is stated
        ("heat.oven", Blocks,
            ask("steel_4_6 / none / polyester_powder", r#""tempering_temperature_c": 214"#, "", ""),
            ask("steel_4_6 / none / polyester_powder", r#""tempering_temperature_c": 215"#, "", "")),
        ("heat.metal", Warns,
            ask("aluminium / none / ", "", r#""heat_peak_c": 151"#, ""),
            ask("aluminium / none / ", "", r#""heat_peak_c": 150"#, "")),
        ("heat.metal", Blocks,
            ask("aluminium / none / ", "", r#""heat_peak_c": 450"#, ""),
            ask("aluminium / none / ", "", r#""heat_peak_c": 449"#, "")),
        ("heat.metal", Warns,
            ask("stainless_2205 / none / ", "", r#""heat_peak_c": 301"#, ""),
            ask("stainless_304 / none / ", "", r#""heat_peak_c": 301"#, "")),
        // in salt austenitic steel cracks above 60 °C, duplex above 100 °C; salt begins above 60 mg/(m²·d)
        ("heat.chloride_cracking", Warns,
            ask("stainless_304 / none / ", "", r#""place": "coastal", "heat_peak_c": 61"#, ""),
            ask("stainless_304 / none / ", "", r#""place": "coastal", "heat_peak_c": 60"#, "")),
        ("heat.chloride_cracking", Warns,
            ask("stainless_2205 / none / ", "", r#""place": "splash", "heat_continuous_c": 101"#, ""),
            ask("stainless_2205 / none / ", "", r#""place": "splash", "heat_continuous_c": 100"#, "")),
        ("heat.chloride_cracking", Warns,
            ask("stainless_304 / none / ", "", r#""place": "rural", "chloride_mg_m2_day": 61, "heat_peak_c": 90"#, ""),
            ask("stainless_304 / none / ", "", r#""place": "rural", "chloride_mg_m2_day": 60, "heat_peak_c": 90"#, "")),
        ("heat.chloride_cracking", Blocks,
            ask("stainless_316 / none / ", r#""safety_critical": true, "property_class": "A4-70""#,
                r#""place": "road_salt", "heat_peak_c": 90"#, ""),
            ask("stainless_430 / none / ", r#""safety_critical": true, "property_class": "A4-70""#,
                r#""place": "road_salt", "heat_peak_c": 90"#, "")),
        // zinc plate melts at 419 °C
        ("heat.metal", Blocks,
            ask("stainless_304 / none / ", "", r#""heat_peak_c": 419, "mating_metals": ["galvanized_steel"]"#, ""),
            ask("stainless_304 / none / ", "", r#""heat_peak_c": 418, "mating_metals": ["galvanized_steel"]"#, "")),
        ("heat.colour", Blocks,
            ask("aluminium / black_anodize / ", "", r#""heat_peak_c": 200"#, ""),
            ask("aluminium / black_anodize / ", "", r#""heat_peak_c": 199"#, "")),
        ("outlook.dry_in_heat", Notes,
            ask("steel_4_6 / none / ", "", r#""heat_continuous_c": 90"#, ""),
            ask("steel_4_6 / none / ", "", r#""heat_continuous_c": 90, "cold_share": 0.1"#, "")),
        ("welding.cracking", Warns, ask("malleable_iron / none / ", "", WELDED, ""), ask("steel_4_6 / none / ", "", WELDED, "")),
        ("welding.cracking", Blocks,
            ask("zinc_die_casting / none / hard_wax", "", WELDED, ""),
            ask("zinc_die_casting / none / hard_wax", "", "", "")),
        ("welding.anodized", Warns,
            ask("aluminium / black_anodize / ", "", WELDED, ""),
            ask("aluminium / none / hard_wax", "", WELDED, "")),
        ("welding.cold_work", Warns,
            ask("stainless_304 / none / ", SCREW, WELDED, ""),
            ask("stainless_304 / none / ", r#""form": "hexagon_head_screw", "thread": "M8", "property_class": "A2-50""#, WELDED, "")),
        ("welding.cold_work", Blocks,
            ask("steel_5_8 / none / ", r#""form": "hexagon_head_screw", "thread": "M8", "safety_critical": true"#, WELDED, ""),
            ask("steel_4_6 / none / ", r#""form": "hexagon_head_screw", "thread": "M8", "safety_critical": true"#, WELDED, "")),
        // A4 has molybdenum, A2 has none
        ("substrate.grade", Warns,
            ask(STAINLESS, r#""base_metal": null, "property_class": "A4-70""#, "", ""),
            ask(STAINLESS, r#""base_metal": null, "property_class": "A2-70""#, "", "")),
        ("substrate.grade", Blocks,
            ask(STAINLESS, r#""base_metal": null, "property_class": "A4-70", "safety_critical": true"#, "", ""),
            ask(STAINLESS, r#""base_metal": null, "property_class": "A2-70", "safety_critical": true"#, "", "")),
        ("welding.hardened", Warns, ask("steel_8_8 / none / ", "", WELDED, ""), ask("steel_5_8 / none / ", "", WELDED, "")),
        ("welding.hardened", Blocks, ask("steel_12_9 / none / ", "", WELDED, ""), ask("steel_8_8 / none / ", "", WELDED, "")),
        ("embrittlement.joined_metals", Warns,
            ask(OILED, r#""joined_metals": ["steel_12_9"]"#, "", ""),
            ask(OILED, r#""joined_metals": ["steel_8_8"]"#, "", "")),
        // light phosphate is rated for 150 °C, epoxy is stoved at 180 °C
        ("embrittlement.cure", Blocks,
            ask("steel_12_9 / zinc_phosphate_light / stoved_epoxy", "", "", ""),
            ask("steel_10_9 / zinc_phosphate_light / stoved_epoxy", "", "", "")),
        // 10.9 of older editions is tempered from 340 °C
        ("heat.oven", Warns,
            ask("steel_10_9 / zinc_flake_black / ", "", "", ""),
            ask("steel_8_8 / zinc_flake_black / ", "", "", "")),
        // 410 is tempered from 150 °C, by ISO 3506-1 from 275 °C
        ("heat.oven", Blocks,
            ask("stainless_410 / none / polyester_powder", "", "", ""),
            ask("stainless_410 / none / polyester_powder", r#""tempering_temperature_c": 275"#, "", "")),
        // long service keeps the margin of an oven
        ("heat.tempering", Warns,
            ask("stainless_410 / none / ", r#""tempering_temperature_c": 300"#, r#""heat_continuous_c": 276"#, ""),
            ask("stainless_410 / none / ", r#""tempering_temperature_c": 300"#, r#""heat_continuous_c": 275"#, "")),
        ("heat.strength", Warns,
            ask(BARE, "", r#""heat_continuous_c": 301"#, ""),
            ask(BARE, "", r#""heat_continuous_c": 300"#, "")),
        ("heat.tempering", Blocks,
            ask("steel_10_9 / hot_alkaline / ", "", r#""heat_peak_c": 340"#, ""),
            ask("steel_10_9 / hot_alkaline / ", "", r#""heat_peak_c": 339"#, "")),
        ("heat.colour", Warns, ask(BARE, "", r#""heat_peak_c": 482"#, ""), ask(BARE, "", r#""heat_peak_c": 481"#, "")),
        ("heat.colour", Notes, ask(BARE, "", r#""heat_peak_c": 300"#, ""), ask(BARE, "", r#""heat_peak_c": 299"#, "")),
        ("heat.tempering", Blocks,
            ask("steel_8_8 / hot_alkaline / ", "", r#""heat_peak_c": 425"#, ""),
            ask("steel_8_8 / hot_alkaline / ", "", r#""heat_peak_c": 424"#, "")),
        // a piece's own tempering counts whatever its grade; what heat does not harden does not soften
        ("heat.tempering", Blocks,
            ask("stainless_410 / none / ", r#""tempering_temperature_c": 300"#, r#""heat_peak_c": 300"#, ""),
            ask("stainless_410 / none / ", r#""tempering_temperature_c": 300"#, r#""heat_peak_c": 299"#, "")),
        ("heat.tempering", Blocks,
            ask("steel_4_6 / none / ", r#""tempering_temperature_c": 300"#, r#""heat_peak_c": 300"#, ""),
            ask("stainless_304 / none / ", r#""tempering_temperature_c": 300"#, r#""heat_peak_c": 300"#, "")),
        ("heat.property_class", Warns,
            ask("steel_8_8 / hot_alkaline / ", "", r#""heat_continuous_c": 151"#, ""),
            ask("steel_8_8 / hot_alkaline / ", "", r#""heat_continuous_c": 150"#, "")),
        ("heat.property_class", Warns,
            ask("steel_4_6 / none / ", SCREW, r#""heat_continuous_c": 151"#, ""),
            ask("steel_4_6 / none / ", SCREW, r#""heat_continuous_c": 150"#, "")),
        // the range is that of the classes of ISO 898-1, which stainless steel has none of
        ("heat.scaling", Blocks, ask(BARE, "", r#""heat_continuous_c": 538"#, ""), ask(BARE, "", r#""heat_continuous_c": 537"#, "")),
        // nobody has seen oil last longer than 5 years
        ("outlook.horizon", Warns, ask(OILED, "", r#""required_years": 5.1"#, ""), ask(OILED, "", r#""required_years": 5"#, "")),
        ("heat.property_class", Warns,
            ask("steel_8_8 / none / ", "", r#""heat_continuous_c": 151"#, ""),
            ask("stainless_410 / none / ", "", r#""heat_continuous_c": 151"#, "")),
        ("heat.sensitisation", Warns, ask(STAINLESS, "", r#""heat_peak_c": 425"#, ""), ask(STAINLESS, "", r#""heat_peak_c": 424"#, "")),
        // 304 of class 70 is cold worked; 300 °C is where it may soften
        ("heat.cold_work", Warns,
            ask("stainless_304 / none / ", SCREW, r#""heat_peak_c": 301"#, ""),
            ask("stainless_304 / none / ", SCREW, r#""heat_peak_c": 300"#, "")),
        ("heat.cold_work", Notes,
            ask("stainless_304 / none / epoxy_electrocoat", SCREW, "", ""),
            ask("stainless_304 / none / displacing_oil", SCREW, "", "")),
        ("heat.bath", Blocks, ask(OILED, r#""tempering_temperature_c": 146"#, "", ""), ask(OILED, r#""tempering_temperature_c": 147"#, "", "")),
        // the bath runs up to 146.1 °C; only a warmer one softens
        ("heat.bath", Blocks,
            ask(OILED, r#""tempering_temperature_c": 146"#, "", ""),
            ask(OILED, r#""tempering_temperature_c": 146.1"#, "", "")),
        ("welding.films", Warns, ask(OILED, "", WELDED, ""), ask(BARE, "", WELDED, "")),
        ("welding.nitrided", Warns, ask("steel_4_6 / nitrocarburize_oxidize / ", "", WELDED, ""), ask(BARE, "", WELDED, "")),
        ("welding.black", Notes, ask(BARE, "", WELDED, ""), ask(OILED, "", WELDED, "")),
        ("welding.metal_fume", Warns, ask("steel_4_6 / zinc_flake_black / ", "", WELDED, ""), ask(BARE, "", WELDED, "")),
        ("welding.present_finish", Warns,
            ask(BARE, r#""present_finish": "zinc_plate""#, WELDED, ""),
            ask(BARE, r#""present_finish": "black_oxide""#, WELDED, "")),
        ("welding.cadmium", Blocks,
            ask(BARE, r#""present_finish": "cadmium_plate""#, WELDED, ""),
            ask(BARE, r#""present_finish": "cadmium_plate""#, "", "")),

        ("strength.in_words", Warns,
            ask("steel_8_8 / hot_alkaline / ", SCREW, "", "\u{1}class 10.9"),
            ask("steel_10_9 / hot_alkaline / ", SCREW, "", "\u{1}class 10.9")),
        ("strength.in_words", Blocks,
            ask("steel_8_8 / hot_alkaline / ", SCREW_8_8_CRITICAL, "", "\u{1}class 10.9"),
            ask("steel_8_8 / hot_alkaline / ", SCREW_8_8_CRITICAL, "", "\u{1}class 8.8")),
        ("strength.weaker", Warns,
            ask("stainless_304 / stainless_alkaline / ", SCREW_12_9, "", ""),
            ask("stainless_304 / stainless_alkaline / ", r#""form": "hexagon_head_screw", "thread": "M8", "base_metal": "steel_4_6""#, "", "")),
        ("strength.weaker", Blocks,
            ask("stainless_304 / stainless_alkaline / ", SCREW_12_9_CRITICAL, "", ""),
            ask("steel_12_9 / hot_alkaline / displacing_oil", SCREW_12_9_CRITICAL, "", "")),
        // 304 reaches 320 HV, a piece of 12.9 has 385 or more
        ("strength.softer", Warns, ask(STAINLESS, r#""base_metal": "steel_12_9""#, "", ""), ask(STAINLESS, r#""base_metal": "steel_10_9""#, "", "")),
        ("strength.softer", Blocks,
            ask(STAINLESS, r#""base_metal": "steel_12_9", "safety_critical": true"#, "", ""),
            ask(STAINLESS, r#""base_metal": "steel_10_9", "safety_critical": true"#, "", "")),
        ("strength.not_stated", Blocks,
            ask(OILED, r#""safety_critical": true"#, "", ""),
            ask(OILED, r#""safety_critical": true, "property_class": "4.6""#, "", "")),
        ("strength.hardness", Warns, ask(HARD, r#""hardness_hv": 384"#, "", ""), ask(HARD, r#""hardness_hv": 385"#, "", "")),
        // ISO 898-1: 10.9 has 380 HV at most
        ("strength.hardness", Warns,
            ask("steel_10_9 / hot_alkaline / ", r#""form": "hexagon_head_screw", "thread": "M8", "hardness_hv": 420"#, "", ""),
            ask("steel_10_9 / hot_alkaline / ", r#""form": "hexagon_head_screw", "thread": "M8", "hardness_hv": 380"#, "", "")),
        ("strength.head", Notes,
            ask(OILED, r#""form": "button_head_screw", "thread": "M8""#, "", ""),
            ask(OILED, SCREW, "", "")),
        ("strength.class", Notes, ask(OILED, r#""form": "hexagon_nut", "thread": "M8""#, "", ""), ask(OILED, SCREW, "", "")),

        ("safety.structural", Blocks,
            ask("steel_10_9 / zinc_plate_black / ", A490, "", ""),
            ask("steel_10_9 / zinc_flake_black / ", A490, "", "")),
        ("safety.structural", Warns,
            ask("steel_10_9 / zinc_flake_black / ", A490, "", ""),
            ask("steel_10_9 / none / ", A490, "", r#""black": false"#)),
        ("safety.fatigue", Warns,
            ask("aluminium / black_anodize / ", r#""base_metal": "aluminium", "safety_critical": true"#, "", ""),
            ask("aluminium / black_anodize / ", "", "", "")),
        ("safety.not_flagged", Warns,
            ask(OILED, r#""traps_liquid": false"#, "", "\u{1}steering"),
            ask(OILED, r#""traps_liquid": false"#, "", "")),
        ("safety.lifting", Blocks, ask(OILED, "", "", "\u{1}lifting"), ask(OILED, "", "", "\u{1}steering")),
        ("safety.consent", Needs, ask(OILED, CRITICAL, "", ""), ask(OILED, "", "", "")),
        ("safety.consent", Notes,
            ask(OILED, r#""base_metal": "steel_4_6", "safety_critical": true, "maker_consent": true"#, "", ""),
            ask(OILED, CRITICAL, "", "")),
        ("safety.consent", Blocks, ask(OILED, CRITICAL, "", "\u{1}lifting"), ask(OILED, CRITICAL, "", "")),
        ("safety.marking", Needs, ask(OILED, CRITICAL, "", ""), ask(OILED, "", "", "")),
        ("safety.cracks", Needs, ask(OILED, CRITICAL, "", ""), ask(OILED, "", "", "")),
        ("safety.sampling", Needs, ask(OILED, CRITICAL, "", ""), ask(OILED, "", "", "")),
        ("safety.no_release", Notes, ask(OILED, CRITICAL, "", ""), ask(OILED, "", "", "")),
        ("safety.hidden_cracks", Warns, ask(PAINTED, CRITICAL, "", ""), ask(OILED, CRITICAL, "", "")),
        ("safety.heat", Warns,
            ask("steel_4_6 / none / polyester_powder", CRITICAL, "", ""),
            ask(PAINTED, CRITICAL, "", "")),
        // a bath counts above 204 °C: molten salt at 399 °C does, hot caustic at 149 °C does not
        ("safety.heat", Warns,
            ask("stainless_430 / fused_salt / ", CRITICAL, "", ""),
            ask("stainless_430 / alkaline_chromate / ", CRITICAL, "", "")),

        // 10 to 20 µm: M8 in 6e takes 15.75 µm, M20 in 6e takes all of 20
        ("thread.limited", Needs,
            ask("steel_8_8 / hot_alkaline / dip_spin_topcoat", SCREW, "", ""),
            ask("steel_8_8 / hot_alkaline / dip_spin_topcoat", r#""form": "hexagon_head_screw", "thread": "M20""#, "", "")),
        // ASTM F3393 begins at 6 mm
        ("thread.clogged", Needs,
            ask("steel_8_8 / zinc_flake_black / ", r#""form": "hexagon_head_screw", "thread": "M5""#, "", ""),
            ask("steel_8_8 / zinc_flake_black / ", r#""form": "hexagon_head_screw", "thread": "M6""#, "", "")),
        ("preparation.joined_metals", Warns,
            ask("steel_4_6 / zinc_phosphate / displacing_oil", r#""joined_metals": ["brass"]"#, "", ""),
            ask("steel_4_6 / zinc_phosphate / displacing_oil", r#""joined_metals": ["steel_8_8"]"#, "", "")),
        ("preparation.joined_metals", Blocks,
            ask("steel_4_6 / zinc_phosphate / displacing_oil", r#""joined_metals": ["aluminium"]"#, "", ""),
            ask("steel_4_6 / none / displacing_oil", r#""joined_metals": ["aluminium"]"#, "", r#""black": false"#)),
        // plain steel in the process of stainless steel, and beside it without one
        ("preparation.joined_metals", Blocks,
            ask(STAINLESS, r#""joined_metals": ["steel_4_6"]"#, "", ""),
            ask(STAINLESS, r#""joined_metals": ["stainless_316"]"#, "", "")),
        ("preparation.joined_metals", Warns,
            ask("stainless_304 / none / ", r#""joined_metals": ["steel_4_6"]"#, "", r#""black": false"#),
            ask("stainless_304 / none / ", r#""joined_metals": ["stainless_316"]"#, "", r#""black": false"#)),
        ("fit.mask", Needs,
            ask(PAINTED, r#""functional_surfaces": ["port"]"#, "", ""),
            ask(PAINTED, r#""functional_surfaces": []"#, "", "")),
        ("fit.pin", Blocks,
            ask(PAINTED, r#""form": "pin", "functional_surfaces": ["fit"]"#, "", ""),
            ask(PAINTED, r#""form": "pin", "functional_surfaces": ["seat"]"#, "", "")),
        ("fit.years", Warns,
            ask(OILED, r#""form": "pin", "functional_surfaces": ["fit"]"#, "", ""),
            ask(OILED, r#""form": "pin", "functional_surfaces": []"#, "", "")),
        ("fit.asked", Warns, ask(PAINTED, r#""form": "pin""#, "", ""), ask(OILED, r#""form": "pin""#, "", "")),
        ("fit.asked", Notes, ask(PAINTED, "", "", ""), ask(OILED, "", "", "")),
        // the bearing face of a screw is masked with its thread
        ("fit.clamped_face", Warns,
            ask(PAINTED, r#""form": "hexagon_nut", "thread": "M8""#, "", ""),
            ask(PAINTED, SCREW, "", "")),
        ("fit.clamped_face", Notes, ask(PAINTED, "", "", ""), ask(PAINTED, r#""functional_surfaces": []"#, "", "")),

        ("preparation.trapped_liquid", Needs, ask(OILED, r#""traps_liquid": true"#, "", ""), ask(OILED, "", "", "")),
        // water in a hole explodes in molten salt
        ("preparation.trapped_liquid", Blocks,
            ask("stainless_430 / fused_salt / ", r#""traps_liquid": true"#, "", ""),
            ask("stainless_430 / fused_salt / ", "", "", "")),
        // castings have pores
        ("preparation.trapped_liquid", Needs,
            ask("malleable_iron / hot_alkaline / displacing_oil", "", "", ""),
            ask("malleable_iron / none / displacing_oil", "", "", "")),
        ("preparation.strip", Needs, ask(OILED, r#""present_finish": "zinc_plate""#, "", ""), ask(OILED, "", "", "")),
        ("preparation.buy_unplated", Notes, ask(OILED, r#""present_finish": "zinc_plate""#, "", ""), ask(OILED, "", "", "")),
        // zinc plating stays beneath a new passivate, and where nothing is done to it; hot-dip zinc does not
        ("preparation.renew", Needs,
            ask("steel_4_6 / zinc_plate_black_5 / ", r#""present_finish": "zinc_plate""#, "", ""),
            ask("steel_4_6 / zinc_plate_black_5 / ", r#""present_finish": "hot_dip_zinc""#, "", "")),
        ("preparation.zinc_stays", Needs,
            ask("steel_4_6 / none / epoxy_electrocoat", r#""present_finish": "zinc_plate""#, "", ""),
            ask("steel_4_6 / hot_alkaline / epoxy_electrocoat", r#""present_finish": "zinc_plate""#, "", "")),
        ("preparation.zinc_stays", Notes,
            ask("steel_4_6 / none / displacing_oil", r#""present_finish": "zinc_plate""#, "", r#""black": false"#),
            ask(OILED, r#""present_finish": "zinc_plate""#, "", "")),
        // the finish and hardness of the piece at hand are not those of one made anew in another base metal
        ("preparation.strip", Needs,
            ask(STAINLESS, r#""base_metal": "stainless_304", "present_finish": "zinc_plate""#, "", ""),
            ask(STAINLESS, r#""base_metal": "steel_4_6", "present_finish": "zinc_plate""#, "", "")),
        ("embrittlement.bath", Notes,
            ask(OILED, r#""base_metal": "steel_4_6", "hardness_hv": 360"#, "", ""),
            ask(OILED, r#""base_metal": "steel_8_8", "hardness_hv": 360"#, "", "")),
        ("preparation.undersize", Warns,
            ask(OILED, r#""form": "hexagon_head_screw", "thread": "M8", "present_finish": "hot_dip_zinc""#, "", ""),
            ask(OILED, r#""present_finish": "hot_dip_zinc""#, "", "")),
        ("preparation.keep_zinc", Warns,
            ask(OILED, r#""present_finish": "hot_dip_zinc""#, "", ""),
            ask(OILED, r#""present_finish": "zinc_plate""#, "", "")),
        ("preparation.keep_zinc", Notes,
            ask(OILED, r#""present_finish": "zinc_plate""#, "", ""),
            ask(OILED, r#""present_finish": "nickel_plate""#, "", "")),
        ("preparation.rust", Needs, ask(OILED, r#""condition": "light_scale""#, "", ""), ask(OILED, r#""condition": "oiled""#, "", "")),
        ("preparation.polymer_insert", Needs, ask(OILED, r#""polymer_insert": true"#, "", ""), ask(COLD, r#""polymer_insert": true"#, "", "")),
        ("preparation.joined_metals", Blocks, ask(OILED, r#""joined_metals": ["aluminium"]"#, "", ""), ask(OILED, r#""joined_metals": ["steel_8_8"]"#, "", "")),
        ("preparation.joined_metals", Blocks,
            ask(BARE, r#""joined_metals": ["aluminium"]"#, "", ""),
            ask(UNTREATED, r#""joined_metals": ["aluminium"]"#, "", r#""black": false"#)),
        ("preparation.joined_metals", Blocks, ask(OILED, r#""joined_metals": ["brass"]"#, "", ""), ask(OILED, r#""joined_metals": ["steel_8_8"]"#, "", "")),
        ("preparation.joined_metals", Blocks, ask(COLD, r#""joined_metals": ["brass"]"#, "", ""), ask(COLD, r#""joined_metals": ["steel_8_8"]"#, "", "")),

        ("substances.chromate", Notes, ask(OILED, "", "", ""), ask(COLD, "", "", "")),
        ("substances.chromate", Warns,
            ask("stainless_430 / alkaline_chromate / ", "", "", ""),
            ask("stainless_430 / stainless_alkaline / ", "", "", "")),
        ("substances.nitrite", Notes, ask(OILED, "", "", ""), ask(PAINTED, "", "", "")),
        ("substances.solvent", Notes, ask(OILED, "", "", ""), ask("steel_4_6 / hot_alkaline / hard_wax", "", "", "")),

        ("substrate.class", Blocks, ask("stainless_304 / hot_alkaline / ", "", "", ""), ask(STAINLESS, "", "", "")),
        ("substrate.trial", Needs, ask("malleable_iron / hot_alkaline / displacing_oil", "", "", ""), ask(OILED, "", "", "")),
        ("substrate.specification", Blocks,
            ask(COLD, "", "", r#""standard_specification": true"#),
            ask(OILED, "", "", r#""standard_specification": true"#)),
        // its rust protects it up to 3 mg/(m²·d) of chloride
        ("substrate.weathering_salt", Warns,
            ask("weathering_steel / hot_alkaline / ", "", r#""place": null, "first_year_steel_loss_um": 30, "chloride_mg_m2_day": 3.1"#, ""),
            ask("weathering_steel / hot_alkaline / ", "", r#""place": null, "first_year_steel_loss_um": 30, "chloride_mg_m2_day": 3"#, "")),
        ("substrate.film_base", Blocks,
            ask("steel_4_6 / zinc_phosphate / polyester_powder", "", "", ""),
            ask("steel_4_6 / zinc_phosphate / displacing_oil", "", "", "")),
        ("substrate.hexavalent", Warns,
            ask("stainless_304 / alkaline_chromate / ", "", "", ""),
            ask("steel_8_8 / alkaline_chromate / ", "", "", "")),
        ("substrate.passivity", Notes, ask(STAINLESS, "", "", ""), ask("stainless_304 / none / ", "", "", r#""black": false"#)),
        ("substrate.resistance_class", Notes,
            ask("stainless_304 / none / ", "", r#""place": "coastal""#, r#""black": false"#),
            ask("stainless_316 / none / ", "", r#""place": "coastal""#, r#""black": false"#)),
        ("preparation.outgassing", Warns,
            ask("malleable_iron / none / polyester_powder", "", "", ""),
            ask("malleable_iron / none / epoxy_electrocoat", "", "", "")),
        ("preparation.bare_metal", Warns,
            ask("steel_4_6 / none / silicone_heat_paint", r#""present_finish": "zinc_plate""#, "", ""),
            ask("steel_4_6 / none / air_dry_paint", r#""present_finish": "zinc_plate""#, "", "")),
        ("preparation.activation", Warns,
            ask("stainless_410 / stainless_alkaline / ", r#""hardness_hv": 391"#, "", ""),
            ask("stainless_410 / stainless_alkaline / ", r#""hardness_hv": 390"#, "", "")),
        ("substrate.free_machining", Warns, ask("stainless_303 / stainless_alkaline / ", "", "", ""), ask(STAINLESS, "", "", "")),
        ("substrate.darkness", Needs, ask("stainless_316 / stainless_alkaline / ", "", "", ""), ask(STAINLESS, "", "", "")),
        // what is not blackened does not come out dark
        ("substrate.darkness", Needs,
            ask("stainless_316 / stainless_alkaline / ", "", "", ""),
            ask("stainless_316 / none / ", "", "", r#""black": false"#)),
        // class 2 below 482 °C, class 3 from it on; a grade hardened in a way that nobody gave cannot be judged
        ("substrate.tempering", Blocks,
            ask("stainless_410 / alkaline_chromate / ", r#""tempering_temperature_c": 482"#, "", ""),
            ask("stainless_410 / alkaline_chromate / ", r#""tempering_temperature_c": 481"#, "", "")),
        ("substrate.tempering", Blocks,
            ask("stainless_410 / fused_salt / ", r#""tempering_temperature_c": 481"#, "", ""),
            ask("stainless_410 / fused_salt / ", r#""tempering_temperature_c": 482"#, "", "")),
        ("substrate.tempering", Warns,
            ask("stainless_410 / fused_salt / ", r#""tempering_temperature_c": 482"#, "", ""),
            ask("stainless_410 / fused_salt / ", r#""tempering_temperature_c": 483"#, "", "")),

        ("thread.phosphate", Blocks,
            ask("steel_4_6 / zinc_phosphate / displacing_oil",
                r#""form": "hexagon_head_screw", "thread": "1/4-20 UNC", "tolerance": "3A""#, "", ""),
            ask("steel_4_6 / zinc_phosphate / displacing_oil", SCREW, "", "")),
        ("thread.phosphate", Warns,
            ask("steel_4_6 / zinc_phosphate / displacing_oil", SCREW, "", ""),
            ask("steel_4_6 / zinc_phosphate / displacing_oil", "", "", "")),
        ("thread.not_stated", Warns,
            ask(OILED, r#""form": "hexagon_head_screw", "mass_g": 17, "surface_dm2": 0.2"#, "", ""),
            ask(OILED, SCREW, "", "")),
        ("thread.hot_dip", Warns,
            ask(OILED, r#""form": "hexagon_nut", "thread": "M12", "tolerance": "6AZ""#, "", ""),
            ask(OILED, r#""form": "hexagon_nut", "thread": "M12", "tolerance": "6G""#, "", "")),
        ("thread.no_change", Notes, ask(OILED, SCREW, "", ""), ask(OILED, "", "", "")),
        // a washer has no thread
        ("thread.room", Blocks, ask(PAINTED, r#""form": "set_screw", "thread": "M8""#, "", ""),
            ask(PAINTED, r#""form": "plain_washer", "thread": "M8""#, "", "")),
        // lacquer to 15 µm: M8 has room for 7 µm in 6g and 15.75 µm in 6e
        ("thread.tolerance", Needs,
            ask("steel_4_6 / hot_alkaline / acrylic_lacquer", SCREW, "", ""),
            ask("steel_4_6 / hot_alkaline / acrylic_lacquer",
                r#""form": "hexagon_head_screw", "thread": "M8", "tolerance": "6e""#, "", "")),
        // 56 µm of growth: 2A of 1/2-13 allows 38, 6e of M12 allows 69
        ("thread.by_agreement", Needs,
            ask("steel_8_8 / zinc_flake_black / ",
                r#""form": "hexagon_head_screw", "thread": "1/2-13 UNC", "tolerance": "2A""#, "", ""),
            ask("steel_8_8 / zinc_flake_black / ", r#""form": "hexagon_head_screw", "thread": "M12""#, "", "")),
        ("thread.fits", Notes,
            ask("steel_4_6 / hot_alkaline / acrylic_lacquer",
                r#""form": "hexagon_head_screw", "thread": "M8", "tolerance": "6e""#, "", ""),
            ask("steel_4_6 / hot_alkaline / acrylic_lacquer", SCREW, "", "")),
        ("thread.mask", Needs,
            ask(PAINTED, r#""form": "bracket", "thread": "M8""#, "", ""),
            ask(PAINTED, SCREW, "", "")),
        ("thread.masked_years", Warns,
            ask(PAINTED, r#""form": "bracket", "thread": "M8""#, "", ""),
            ask(OILED, r#""form": "bracket", "thread": "M8""#, "", "")),
        ("thread.room", Blocks,
            ask(PAINTED, r#""form": "hexagon_nut", "thread": "M8""#, "", ""),
            ask(PAINTED, r#""form": "bracket", "thread": "M8""#, "", "")),
        // a set screw has no head to be painted alone
        ("thread.head_only", Needs,
            ask(PAINTED, SCREW, "", ""),
            ask(PAINTED, r#""form": "set_screw", "thread": "M8""#, "", "")),

        // usual tables assume 0.08 to 0.16, as of oil; wax begins at 0.04, and no earlier finish is named
        ("torque.new_torque", Needs, ask(WAXED, SCREW, "", ""), ask(OILED, SCREW, "", "")),
        ("torque.nut", Notes, ask(OILED, r#""form": "hexagon_nut", "thread": "M8""#, "", ""), ask(OILED, SCREW, "", "")),
        ("torque.friction", Notes, ask(OILED, SCREW, "", ""), ask(WAXED, SCREW, "", "")),
        ("torque.least_preload", Warns, ask(BARE, SCREW, "", ""), ask(OILED, SCREW, "", "")),
        ("torque.least_preload", Blocks,
            ask(BARE, r#""form": "hexagon_head_screw", "thread": "M8", "base_metal": "steel_4_6", "safety_critical": true"#, "", ""),
            ask(BARE, SCREW, "", "")),
        ("torque.galling", Warns,
            ask(STAINLESS, SCREW, "", ""),
            ask("stainless_304 / stainless_alkaline / hard_wax", SCREW, "", "")),
        ("torque.prevailing", Notes,
            ask(OILED, r#""form": "lock_nut", "thread": "M8""#, "", ""),
            ask(OILED, r#""form": "hexagon_nut", "thread": "M8""#, "", "")),
        ("torque.scatter", Warns, ask(BARE, SCREW, "", ""), ask(OILED, SCREW, "", "")),
    ]
}

/// The option of a question: a bracket of known size in a damp building for a year, unless it says otherwise.
fn answer(question: Question, catalog: &Catalog) -> RankedOption {
    let [metal, treatment, films] = question.build.split(" / ").collect::<Vec<_>>()[..] else {
        panic!("no build: {}", question.build)
    };
    let films: Vec<&str> = films.split(" + ").filter(|film| !film.is_empty()).collect();
    let builds = format!(r#"[{{"base_metal": "{metal}", "treatment": "{treatment}", "films": {films:?}}}]"#);
    // the name of the brief stands behind the wants, where a row has one
    let (wants, name) = question.wants.split_once('\u{1}').unwrap_or((question.wants, "test"));
    let bracket = [("form", "\"bracket\""), ("mass_g", "100"), ("surface_dm2", "1")];
    // no screw or nut has the size of the bracket
    let usual = if question.part.contains("\"thread\"") { &bracket[..1] } else { &bracket };
    let text = brief_text(
        &usual_and(usual, question.part),
        &usual_and(&[("place", "\"indoor_condensation\""), ("required_years", "1")], question.duty),
        &usual_and(&[("builds", &builds)], wants),
    )
    .replace(r#""name": "test""#, &format!(r#""name": "{name}""#));
    rank(&Brief::from_json(&text).unwrap(), catalog).unwrap().options.remove(0)
}

fn has(option: &RankedOption, rule: &str, kind: FindingKind) -> bool {
    option.findings.iter().any(|finding| finding.rule == rule && finding.kind == kind)
}

fn check(row: &Row, catalog: &Catalog) {
    let (rule, kind, with, without) = *row;
    let (with_option, without_option) = (answer(with, catalog), answer(without, catalog));
    assert!(
        has(&with_option, rule, kind),
        "{rule} {kind:?} is not found: {with:?}\n{:#?}",
        with_option.findings
    );
    assert!(!has(&without_option, rule, kind), "{rule} {kind:?} is found: {without:?}");
    let finding = with_option.findings.iter().find(|f| f.rule == rule && f.kind == kind).unwrap();
    assert!(!finding.message.is_empty() && !finding.source.citation.is_empty(), "{rule}");
    // what blocks, blocks; what is needed says what to do
    assert!(kind != Blocks || with_option.blocked && with_option.score.value == 0.0, "{rule}");
    assert!(kind != Needs || finding.step.is_some() && finding.remedy.is_some(), "{rule}");
}

#[test]
fn every_rule_is_triggered_and_not_triggered() {
    for row in rows() {
        check(&row, Catalog::built_in());
    }
}

/// What only a catalog of one's own can bring about.
#[test]
fn rules_of_what_the_built_in_catalog_does_not_hold() {
    let unknown = Catalog::from_json(&crate::common::catalog_text(
        r#""base_metals": {"stainless_410": {"tempering_temperature_c": null}}"#,
    ))
    .unwrap();
    let question = ask("stainless_410 / alkaline_chromate / ", "", "", "");
    assert!(has(&answer(question, &unknown), "substrate.tempering", Needs));
    assert!(!has(&answer(question, Catalog::built_in()), "substrate.tempering", Needs));

    // paint separates metals from 15 µm on
    for (low, separates) in [(15, true), (14, false)] {
        let own = Catalog::from_json(&crate::common::catalog_text(&format!(
            r#""films": {{"epoxy_electrocoat": {{"thickness_um": {{"low": {low}, "high": 30, "source": "thickness_memory"}}}}}}"#
        )))
        .unwrap();
        let question =
            ask("steel_4_6 / hot_alkaline / epoxy_electrocoat", "", r#""mating_metals": ["copper"]"#, "");
        assert_eq!(has(&answer(question, &own), "couple.isolated", Notes), separates, "{low} µm");
    }
    // a clear lacquer yellows that full sun leaves less than 3 years, and friction scatters widely above 0.3
    for (value, yellows) in [(2.99, true), (3.0, false)] {
        let own = Catalog::from_json(&crate::common::catalog_text(&format!(
            r#""films": {{"alkyd_lacquer": {{"ageing": {{"sun_years": {{"value": {value}, "source": "age_alkyd"}}}}}}}}"#
        )))
        .unwrap();
        let question = ask("steel_4_6 / hot_alkaline / alkyd_lacquer", "", r#""sunlight": "partial""#, "");
        assert_eq!(has(&answer(question, &own), "appearance.sunlight", Warns), yellows, "{value}");
    }
    for (high, scatters) in [(0.31, true), (0.30, false)] {
        let own = Catalog::from_json(&crate::common::catalog_text(&format!(
            r#""films": {{"displacing_oil": {{"friction": {{"low": 0.14, "high": {high}, "source": "friction_b"}}}}}}"#
        )))
        .unwrap();
        assert_eq!(
            has(&answer(ask(OILED, SCREW, "", ""), &own), "torque.scatter", Warns),
            scatters,
            "{high}"
        );
    }
}

/// The source files that hold rules.
fn rule_files() -> Vec<PathBuf> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let checks = std::fs::read_dir(root.join("check")).unwrap().map(|entry| entry.unwrap().path());
    checks.chain(["rank/ranking.rs", "rank/judged.rs"].map(|file| root.join(file))).collect()
}

/// The words in quotation marks in the source that look like rules of a family of checks.
fn rules_in_source() -> BTreeSet<String> {
    let families: Vec<String> =
        rule_files().iter().map(|path| path.file_stem().unwrap().to_str().unwrap().to_owned()).collect();
    let mut found = BTreeSet::new();
    for path in rule_files() {
        let text = std::fs::read_to_string(path).unwrap();
        for word in text.split('"') {
            if let Some((family, rule)) = word.split_once('.')
                && (["cost", "outlook"].contains(&family) || families.iter().any(|known| known == family))
                && !rule.is_empty()
                && rule.chars().all(|c| c.is_ascii_lowercase() || c == '_')
            {
                found.insert(word.to_owned());
            }
        }
    }
    found
}

#[test]
fn every_rule_of_the_source_has_a_row() {
    let tabled: BTreeSet<String> = rows().iter().map(|row| row.0.to_owned()).collect();
    assert_eq!(tabled, rules_in_source());
    assert!(tabled.len() > 40);
}

/// Every gravity that the source writes beside a rule has a row.
#[test]
fn every_gravity_of_the_source_has_a_row() {
    let mut tabled: BTreeSet<(String, FindingKind)> =
        rows().iter().map(|row| (row.0.to_owned(), row.1)).collect();
    tabled.insert(("substrate.tempering".to_owned(), Needs)); // by a catalog of one's own
    let kinds = [("Blocks", Blocks), ("Needs", Needs), ("Warns", Warns), ("Notes", Notes)];
    let mut written = BTreeSet::new();
    for path in rule_files() {
        let text = std::fs::read_to_string(path).unwrap();
        for part in text.split("FindingKind::").skip(1) {
            let Some((kind, rest)) = part.split_once(',') else { continue };
            let rule = rest.trim_start().strip_prefix('"').and_then(|quoted| quoted.split('"').next());
            let kind = kinds.iter().find(|(word, _)| *word == kind).map(|(_, kind)| *kind);
            let rule = rule.filter(|rule| rule.contains('.') && !rule.contains(' '));
            written.extend(kind.zip(rule.map(str::to_owned)).map(|(kind, rule)| (rule, kind)));
        }
    }
    assert!(written.len() > 40, "{written:?}");
    assert!(written.is_subset(&tabled), "without a row: {:?}", written.difference(&tabled));
}

/// No gravity of a rule turns up in the demo answers that has no row.
#[test]
fn every_gravity_met_has_a_row() {
    let mut tabled: BTreeSet<(String, FindingKind)> =
        rows().iter().map(|row| (row.0.to_owned(), row.1)).collect();
    tabled.insert(("substrate.tempering".to_owned(), Needs)); // by a catalog of one's own
    let catalog = Catalog::built_in();
    for name in crate::common::DEMO_BRIEFS {
        let mut brief = crate::common::demo(name);
        brief.wants.outside_blackening = Some(true);
        brief.wants.other_base_metals = catalog.content().base_metals.keys().cloned().collect();
        for option in rank(&brief, catalog).unwrap().options {
            for finding in option.findings {
                let met = (finding.rule.to_string(), finding.kind);
                assert!(tabled.contains(&met), "{name}: {met:?} has no row");
            }
        }
    }
}
