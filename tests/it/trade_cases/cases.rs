//! The inquiries of the trade cases: each once, with what its answer and the order of its work must be.

use overcoat::check::FindingKind::{self, Blocks, Needs, Notes, Warns};
use overcoat::papers::StepKind::{
    self, Activate, Anodize, Bake, Blacken, Blast, Clean, Coat, Condition, CrackTest, Cure, Derust, Dye,
    Electroclean, Electroplate, FitInsert, MaskThread, Passivate, Phosphate, Pickle, Seal, SoakOut,
    StressRelief, Strip, ZincFlake,
};

/// One inquiry and what a practitioner expects of its answer.
///
/// A build is named by how it begins: `steel_8_8` is every option of that metal, an empty name every option.
pub(super) struct Case {
    pub(super) name: &'static str,
    /// Where the expectations come from; what names no standard is common practice.
    pub(super) ground: &'static str,
    pub(super) remarks: &'static str,
    pub(super) part: &'static str,
    pub(super) duty: &'static str,
    pub(super) wants: &'static str,
    /// Rules that every such build has, and how grave.
    pub(super) rules: &'static [(&'static str, &'static str, FindingKind)],
    /// Rules that none of them has.
    pub(super) absent: &'static [(&'static str, &'static str)],
    pub(super) refused: &'static [&'static str],
    pub(super) usable: &'static [&'static str],
    /// Words that verdict, remarks, findings or remedies have.
    pub(super) says: &'static [&'static str],
    /// Median years to first rust, lowest and highest.
    pub(super) median_years: &'static [(&'static str, f64, f64)],
    pub(super) met: Option<bool>,
    /// Build that is first.
    pub(super) first: &'static str,
    /// Every step of the route that acts on the metal or looks for cracks, in order; none of the same kind twice running.
    pub(super) routes: &'static [(&'static str, &'static [StepKind])],
    /// Where the answer differs from what a practitioner says, and why.
    pub(super) differs: &'static str,
}

const NOTHING_MORE: Case = Case {
    name: "",
    ground: "",
    remarks: "",
    part: "",
    duty: "",
    wants: "",
    rules: &[],
    absent: &[],
    refused: &[],
    usable: &[],
    says: &[],
    median_years: &[],
    met: None,
    first: "",
    routes: &[],
    differs: "",
};

const OUTSIDE: &str = r#""outside_blackening": true"#;

pub(super) const CASES: &[Case] = &[
    Case {
        name: "screws of a roller conveyor",
        ground: "zinc comes off before the black bath and after degreasing; zinc that stays loses its \
                 passivate in seconds of dilute acid; zinc flake goes on blasted metal without acid, is \
                 cured, and takes its topcoat last (ISO 10683:2018, common practice)",
        part: r#""form": "hexagon_head_screw", "thread": "M10", "length_mm": 35,
               "base_metal": "steel_8_8", "tolerance": "6g", "present_finish": "zinc_plate",
               "condition": "clean", "lot_pieces": 1200"#,
        duty: r#""place": "urban", "shelter": "sheltered", "required_years": 4"#,
        wants: OUTSIDE,
        routes: &[
            ("steel_8_8 / hot_alkaline / displacing_oil", &[Clean, Strip, Clean, Blacken, Coat]),
            ("steel_8_8 / zinc_plate_black_5 / no film", &[Clean, Activate, Passivate, Seal]),
            (
                "steel_8_8 / zinc_flake_black / no film",
                &[Clean, Strip, Clean, Blast, ZincFlake, Cure, ZincFlake, Coat, Cure],
            ),
        ],
        ..NOTHING_MORE
    },
    Case {
        name: "insert nuts of a pump base",
        ground: "an insert of polyamide goes in after the bath at 141 °C (common practice); no acid and no \
                 current, so no bake (ISO 4042:2018)",
        part: r#""form": "lock_nut", "thread": "M10", "base_metal": "steel_8_8", "tolerance": "6H",
               "lot_pieces": 800"#,
        duty: r#""place": "indoor_condensation", "required_years": 2"#,
        absent: &[("steel_8_8 / hot_alkaline", "embrittlement.bake")],
        routes: &[("steel_8_8 / hot_alkaline / displacing_oil", &[Clean, Blacken, Coat, FitInsert])],
        ..NOTHING_MORE
    },
    Case {
        name: "screws of a jetty ladder",
        ground: "stainless steel is activated and blackened at once, and never passivated afterwards \
                 (common practice)",
        part: r#""form": "socket_cap_screw", "thread": "M12", "length_mm": 50,
               "base_metal": "stainless_316", "lot_pieces": 300"#,
        duty: r#""place": "coastal", "sea_distance_m": 40, "required_years": 10"#,
        wants: r#""black": false"#,
        absent: &[("stainless_316", "embrittlement.bake")],
        routes: &[("stainless_316 / stainless_alkaline / hard_wax", &[Clean, Activate, Blacken, Coat])],
        ..NOTHING_MORE
    },
    Case {
        name: "screws under a road sweeper",
        ground: "zinc flake goes on blasted metal without acid, is cured, and takes its topcoat last (ISO \
                 10683:2018, common practice); the black bath makes no hydrogen (MIL-DTL-13924D)",
        part: r#""form": "socket_cap_screw", "thread": "M12", "length_mm": 60, "base_metal": "steel_12_9",
               "tolerance": "6e", "condition": "oiled", "lot_pieces": 4000"#,
        duty: r#""place": "road_salt", "required_years": 3"#,
        wants: OUTSIDE,
        first: "steel_12_9 / zinc_flake_black",
        routes: &[
            (
                "steel_12_9 / zinc_flake_black / no film",
                &[Clean, Blast, ZincFlake, Cure, ZincFlake, Coat, Cure],
            ),
            ("steel_12_9 / hot_alkaline / displacing_oil", &[Clean, Blacken, Coat]),
        ],
        ..NOTHING_MORE
    },
    Case {
        name: "damper plate of a kiln",
        ground: "silicone paint for heat goes on near-white metal, and nothing under it (common practice)",
        part: r#""form": "bracket", "base_metal": "steel_4_6", "mass_g": 900, "surface_dm2": 6,
               "lot_pieces": 40"#,
        duty: r#""place": "indoor_condensation", "heat_continuous_c": 480, "heat_peak_c": 545,
               "required_years": 2"#,
        wants: OUTSIDE,
        routes: &[("steel_4_6 / none / silicone_heat_paint", &[Clean, MaskThread, Blast, Coat, Cure])],
        differs: "masks go on before the phosphate and the blast, which grow on or wear what is marked, and \
                 not between pretreatment and coat",
        ..NOTHING_MORE
    },
    Case {
        name: "screws of a press guard",
        ground: "above 390 HV rust is blasted and taken off in alkali; cracks are looked for on bare metal \
                 and before the black",
        part: r#""form": "socket_cap_screw", "thread": "M12", "length_mm": 60, "base_metal": "steel_12_9",
               "condition": "rust", "safety_critical": true, "lot_pieces": 250"#,
        duty: r#""place": "indoor_condensation", "required_years": 3"#,
        wants: r#""other_base_metals": ["stainless_304"]"#,
        absent: &[("steel_12_9 / hot_alkaline", "embrittlement.bake")],
        routes: &[(
            "steel_12_9 / hot_alkaline / displacing_oil",
            &[Clean, Blast, Derust, CrackTest, Blacken, Coat],
        )],
        ..NOTHING_MORE
    },
    Case {
        name: "screws of a sign",
        ground: "ISO 965-1: 24 µm of allowance, a quarter of it for the layer",
        part: r#""form": "hexagon_head_screw", "thread": "M5", "length_mm": 16, "base_metal": "steel_8_8",
               "tolerance": "6g""#,
        duty: r#""place": "urban", "required_years": 3"#,
        wants: r#""builds": [{"treatment": "hot_alkaline", "films": ["air_dry_paint"]},
               {"treatment": "hot_alkaline", "films": ["epoxy_electrocoat"]}]"#,
        rules: &[("steel_8_8 / hot_alkaline", "thread.head_only", Needs)],
        ..NOTHING_MORE
    },
    Case {
        name: "motor cover",
        ground: "desmut, anodize, dye, seal (common practice)",
        part: r#""form": "other", "base_metal": "aluminium", "mass_g": 420, "surface_dm2": 5"#,
        duty: r#""place": "urban", "required_years": 5"#,
        routes: &[("aluminium / black_anodize / no film", &[Clean, Activate, Anodize, Dye, Seal])],
        ..NOTHING_MORE
    },
    Case {
        name: "self-drilling screws of a shed",
        ground: "at 480 HV the passive film is blasted off instead of pickled (common practice)",
        part: r#""form": "hexagon_head_screw", "thread": "M6", "length_mm": 25,
               "base_metal": "stainless_410", "hardness_hv": 480, "tempering_temperature_c": 220,
               "condition": "light_scale""#,
        duty: r#""place": "urban", "required_years": 8"#,
        routes: &[("stainless_410 / stainless_alkaline / hard_wax", &[Clean, Blast, Blacken, Coat])],
        ..NOTHING_MORE
    },
    Case {
        name: "bolts of a gate",
        ground: "zinc that stays is swept and not stripped before a coat (common practice)",
        part: r#""form": "hexagon_head_screw", "thread": "M16", "length_mm": 80,
               "base_metal": "steel_8_8", "present_finish": "hot_dip_zinc""#,
        duty: r#""place": "rural", "required_years": 10"#,
        routes: &[("steel_8_8 / none / dip_spin_topcoat", &[Clean, Blast, Coat, Cure])],
        ..NOTHING_MORE
    },
    Case {
        name: "screws of a facade",
        ground: "zinc flake goes on blasted metal without acid, is cured, and takes its topcoat last (ISO \
                 10683:2018, common practice)",
        part: r#""form": "socket_cap_screw", "thread": "M8", "length_mm": 30, "base_metal": "steel_8_8",
               "tolerance": "6e""#,
        duty: r#""place": "coastal", "mating_metals": ["aluminium"], "mating_area_ratio": 80,
               "required_years": 4"#,
        wants: OUTSIDE,
        routes: &[
            (
                "steel_8_8 / zinc_flake_black / no film",
                &[Clean, Blast, ZincFlake, Cure, ZincFlake, Coat, Cure],
            ),
            ("steel_8_8 / hot_alkaline / hard_wax", &[Clean, Blacken, Coat]),
        ],
        ..NOTHING_MORE
    },
    Case {
        name: "stem bolt of a city bike",
        ground: "cracks are looked for on bare metal before a coat hides them; zinc flake goes on blasted \
                 metal without acid, is cured, and takes its topcoat last (ISO 10683:2018, common practice)",
        part: r#""form": "socket_cap_screw", "thread": "M6", "length_mm": 18, "base_metal": "steel_12_9",
               "safety_critical": true"#,
        duty: r#""place": "urban", "required_years": 3"#,
        wants: r#""other_base_metals": ["stainless_304", "stainless_316"], "outside_blackening": true"#,
        routes: &[(
            "steel_12_9 / zinc_flake_black / no film",
            &[Clean, CrackTest, Blast, ZincFlake, Cure, ZincFlake, Coat, Cure],
        )],
        ..NOTHING_MORE
    },
    Case {
        name: "tongs",
        ground: "stainless steel is activated and blackened at once, and never passivated afterwards \
                 (common practice)",
        remarks: "They touch food and go into the dishwasher.",
        part: r#""form": "bracket", "base_metal": "stainless_304", "mass_g": 90, "surface_dm2": 1.6"#,
        duty: r#""place": "indoor_heated", "handling": "frequent", "required_years": 4"#,
        routes: &[("stainless_304 / stainless_alkaline / hard_wax", &[Clean, Activate, Blacken, Coat])],
        ..NOTHING_MORE
    },
    Case {
        name: "swivel rings",
        ground: "load-rated hardware is finished by its maker only (ASME B30.26 by extracts)",
        remarks: "Load-rated, people under the load.",
        part: r#""form": "other", "thread": "M16", "base_metal": "steel_8_8", "mass_g": 400,
               "surface_dm2": 1.9, "safety_critical": true"#,
        duty: r#""place": "indoor_heated", "required_years": 5"#,
        wants: r#""gloss": "matte""#,
        refused: &[""],
        ..NOTHING_MORE
    },
    Case {
        name: "swivel rings with their maker",
        ground: "cracks are looked for on bare metal before the black; the black bath stands between \
                 cleaning and oil or wax (common practice)",
        remarks: "Load-rated, people under the load.",
        part: r#""form": "other", "thread": "M16", "base_metal": "steel_8_8", "mass_g": 400,
               "surface_dm2": 1.9, "safety_critical": true, "maker_consent": true"#,
        duty: r#""place": "indoor_heated", "required_years": 5"#,
        wants: r#""gloss": "matte""#,
        rules: &[("steel_8_8 / hot_alkaline / hard_wax", "torque.least_preload", Blocks)],
        refused: &["steel_8_8 / hot_alkaline / hard_wax"],
        routes: &[("steel_8_8 / hot_alkaline / displacing_oil", &[Clean, CrackTest, Blacken, Coat])],
        differs: "a practitioner waxes the black; wax, of a friction of 0.04 to 0.16, leaves the thread \
                 under half the preload of usual tables at the least, which a load-rated part does not get \
                 before the window is narrowed",
        ..NOTHING_MORE
    },
    Case {
        name: "bracket welded on site",
        ground: "paint goes on a fine phosphate that is conditioned before its bath, and is cured (common \
                 practice); weld zones are masked (common practice)",
        part: r#""form": "bracket", "base_metal": "steel_5_8", "mass_g": 700, "surface_dm2": 4,
               "functional_surfaces": []"#,
        duty: r#""place": "urban", "welded_after_finishing": true, "required_years": 5"#,
        wants: OUTSIDE,
        routes: &[(
            "steel_5_8 / zinc_phosphate_light / polyester_powder",
            &[Clean, MaskThread, Condition, Phosphate, Coat, Cure],
        )],
        differs: "masks go on before the phosphate and the blast, which grow on or wear what is marked, and \
                 not between pretreatment and coat",
        ..NOTHING_MORE
    },
    Case {
        name: "screws of a console",
        ground: "the black bath stands between cleaning and oil or wax (common practice)",
        part: r#""form": "button_head_screw", "thread": "1/4-20 UNC", "tolerance": "2A", "length_mm": 16,
               "base_metal": "steel_10_9""#,
        duty: r#""place": "indoor_heated", "required_years": 5"#,
        wants: OUTSIDE,
        routes: &[("steel_10_9 / hot_alkaline / displacing_oil", &[Clean, Blacken, Coat])],
        ..NOTHING_MORE
    },
    Case {
        name: "dowels of a fixture",
        ground: "the black bath stands between cleaning and oil or wax (common practice)",
        part: r#""form": "pin", "base_metal": "steel_12_9", "mass_g": 30, "surface_dm2": 0.25,
               "hardness_hv": 690, "tempering_temperature_c": 180"#,
        duty: r#""place": "indoor_condensation", "required_years": 3"#,
        wants: OUTSIDE,
        absent: &[("steel_12_9 / hot_alkaline", "embrittlement.bake")],
        routes: &[("steel_12_9 / hot_alkaline / displacing_oil", &[Clean, Blacken, Coat])],
        ..NOTHING_MORE
    },
    Case {
        name: "die-cast housing",
        ground: "desmut, anodize, dye, seal (common practice)",
        part: r#""form": "other", "base_metal": "aluminium", "mass_g": 350, "surface_dm2": 4,
               "condition": "oiled""#,
        duty: r#""place": "urban", "required_years": 5"#,
        routes: &[("aluminium / black_anodize / no film", &[Clean, Activate, Anodize, Dye, Seal])],
        ..NOTHING_MORE
    },
    Case {
        name: "mounts",
        ground: "the black bath stands between cleaning and oil or wax (common practice)",
        part: r#""form": "bracket", "base_metal": "steel_4_6", "mass_g": 90, "surface_dm2": 0.9,
               "condition": "oiled", "lot_pieces": 200"#,
        duty: r#""place": "indoor_heated", "handling": "none", "required_years": 10"#,
        wants: r#""gloss": "matte", "uniform_shade": true"#,
        routes: &[("steel_4_6 / hot_alkaline / hard_wax", &[Clean, Blacken, Coat])],
        ..NOTHING_MORE
    },
    Case {
        name: "slide of a tool",
        ground: "the black bath stands between cleaning and oil or wax (common practice)",
        remarks: "Carried on the body, sweat, rain.",
        part: r#""form": "other", "base_metal": "steel_10_9", "mass_g": 400, "surface_dm2": 2.5,
               "condition": "oiled""#,
        duty: r#""place": "urban", "handling": "frequent", "required_years": 5"#,
        wants: OUTSIDE,
        absent: &[("steel_10_9 / hot_alkaline", "embrittlement.bake")],
        routes: &[("steel_10_9 / hot_alkaline / displacing_oil", &[Clean, Blacken, Coat])],
        ..NOTHING_MORE
    },
    Case {
        name: "transport",
        ground: "the black bath stands between cleaning and oil or wax (common practice)",
        part: r#""form": "bracket", "base_metal": "steel_5_8", "mass_g": 500, "surface_dm2": 3,
               "condition": "oiled", "lot_pieces": 500"#,
        duty: r#""place": "indoor_condensation", "required_years": 0.1"#,
        absent: &[("steel_5_8", "embrittlement.bake")],
        routes: &[("steel_5_8 / hot_alkaline / displacing_oil", &[Clean, Blacken, Coat])],
        ..NOTHING_MORE
    },
    Case {
        name: "screws of a camera mount",
        ground: "ISO 965-1: M3 in 6g has 20 µm of allowance, so 5 µm of layer; wax is thinner (common \
                 practice)",
        part: r#""form": "countersunk_screw", "thread": "M3", "length_mm": 10, "base_metal": "steel_8_8",
               "tolerance": "6g""#,
        duty: r#""place": "urban", "required_years": 2"#,
        wants: r#""builds": [{"treatment": "hot_alkaline", "films": ["air_dry_paint"]},
               {"treatment": "hot_alkaline", "films": ["hard_wax"]}]"#,
        rules: &[("steel_8_8 / hot_alkaline / air_dry_paint", "thread.head_only", Needs)],
        absent: &[("steel_8_8 / hot_alkaline / hard_wax", "thread.head_only")],
        usable: &["steel_8_8 / hot_alkaline / hard_wax"],
        says: &["5.0 µm"],
        routes: &[("steel_8_8 / hot_alkaline / hard_wax", &[Clean, Blacken, Coat])],
        ..NOTHING_MORE
    },
    Case {
        name: "clamp screws of a propeller shaft",
        ground: "17-4PH aged at 482 °C has 388 HV and more (from memory): no acid, cracks under load in wet \
                 salt; MIL-DTL-13924D gives class 2 to steel tempered below 482 °C and class 3 to the rest",
        part: r#""form": "socket_cap_screw", "thread": "M10", "length_mm": 45,
               "base_metal": "stainless_17_4ph", "condition": "light_scale", "lot_pieces": 250"#,
        duty: r#""place": "coastal", "required_years": 4"#,
        rules: &[
            ("stainless_17_4ph / stainless_alkaline", "substrate.trial", Needs),
            ("stainless_17_4ph / stainless_alkaline", "preparation.rust", Needs),
            ("stainless_17_4ph", "embrittlement.in_service", Warns),
            ("stainless_17_4ph / stainless_alkaline", "embrittlement.no_acid", Warns),
            ("stainless_17_4ph / alkaline_chromate", "substrate.tempering", Blocks),
        ],
        absent: &[
            ("stainless_17_4ph / fused_salt", "heat.bath"),
            ("stainless_17_4ph / stainless_alkaline", "embrittlement.bake"),
        ],
        refused: &["stainless_17_4ph / alkaline_chromate"],
        usable: &["stainless_17_4ph / stainless_alkaline / hard_wax"],
        says: &["H1025"],
        met: Some(false),
        routes: &[("stainless_17_4ph / stainless_alkaline / hard_wax", &[Clean, Blast, Blacken, Coat])],
        differs: "a practitioner names class 2 beside class 4; the age of H900 is the very limit between \
                 classes 2 and 3, so class 2 is refused",
        ..NOTHING_MORE
    },
    Case {
        name: "iron shelf arms of a workshop",
        ground: "cast iron is blackened in a bath of its own after a trial; salts bleed from its pores and \
                 are leached out hot before wax (MIL-DTL-13924D, common practice)",
        part: r#""form": "bracket", "base_metal": "malleable_iron", "mass_g": 650, "surface_dm2": 3,
               "condition": "oiled", "traps_liquid": true"#,
        duty: r#""place": "indoor_condensation", "required_years": 2"#,
        rules: &[
            ("malleable_iron / hot_alkaline", "substrate.trial", Needs),
            ("malleable_iron / hot_alkaline", "preparation.trapped_liquid", Needs),
        ],
        absent: &[
            ("malleable_iron / hot_alkaline", "embrittlement.no_acid"),
            ("malleable_iron / hot_alkaline", "embrittlement.bake"),
        ],
        usable: &["malleable_iron / hot_alkaline / hard_wax"],
        says: &["bleed"],
        median_years: &[("malleable_iron / hot_alkaline / displacing_oil", 0.1, 2.0)],
        routes: &[("malleable_iron / hot_alkaline / hard_wax", &[Clean, Blacken, SoakOut, Coat])],
        ..NOTHING_MORE
    },
    Case {
        name: "waxed screws of a rack",
        ground: "the button head carries 80% (ISO 7380-1, from memory); wax lowers friction, which tightens \
                 further at the same torque (VDI 2230); 39 HRC and more takes no acid",
        part: r#""form": "button_head_screw", "thread": "1/4-20 UNC", "tolerance": "2A", "length_mm": 16,
               "base_metal": "steel_12_9", "condition": "oiled""#,
        duty: r#""place": "indoor_heated", "required_years": 2"#,
        wants: r#""builds": [{"treatment": "hot_alkaline", "films": ["hard_wax"]},
               {"treatment": "hot_alkaline", "films": ["displacing_oil"]}]"#,
        rules: &[
            ("steel_12_9", "strength.head", Notes),
            ("steel_12_9", "embrittlement.no_acid", Warns),
            ("steel_12_9 / hot_alkaline / hard_wax", "torque.new_torque", Needs),
        ],
        absent: &[
            ("steel_12_9", "thread.room"),
            ("steel_12_9", "embrittlement.bake"),
            ("steel_12_9 / hot_alkaline / displacing_oil", "torque.new_torque"),
        ],
        usable: &["steel_12_9"],
        says: &["lbf·in"],
        routes: &[("steel_12_9 / hot_alkaline / hard_wax", &[Clean, Blacken, Coat])],
        ..NOTHING_MORE
    },
    Case {
        name: "carrier of a hedge trimmer",
        ground: "hands and rain take oil off in weeks, and a powder coat over phosphate lasts years (common \
                 practice)",
        part: r#""form": "other", "base_metal": "steel_5_8", "mass_g": 420, "surface_dm2": 2.6,
               "condition": "oiled""#,
        duty: r#""place": "rural", "handling": "frequent", "required_years": 5"#,
        wants: OUTSIDE,
        absent: &[("steel_5_8 / hot_alkaline", "embrittlement.no_acid")],
        usable: &["steel_5_8 / zinc_phosphate_light / polyester_powder"],
        median_years: &[
            ("steel_5_8 / hot_alkaline / displacing_oil", 0.0, 0.25),
            ("steel_5_8 / hot_alkaline / hard_wax", 0.0, 0.25),
            ("steel_5_8 / zinc_phosphate_light / polyester_powder", 5.0, 25.0),
        ],
        met: Some(true),
        routes: &[(
            "steel_5_8 / zinc_phosphate_light / polyester_powder",
            &[Clean, MaskThread, Condition, Phosphate, Coat, Cure],
        )],
        differs: "masks go on before the phosphate and the blast, which grow on or wear what is marked, and \
                 not between pretreatment and coat",
        ..NOTHING_MORE
    },
    Case {
        name: "washers of a display case",
        ground: "flat washers nest and come out uneven (common practice); soft steel is pickled before zinc \
                 and needs no bake (ISO 4042:2018)",
        part: r#""form": "plain_washer", "thread": "M10", "base_metal": "steel_4_6", "condition": "oiled",
               "lot_pieces": 9000"#,
        duty: r#""place": "indoor_heated", "required_years": 4"#,
        wants: r#""uniform_shade": true, "outside_blackening": true"#,
        rules: &[("steel_4_6 / hot_alkaline / displacing_oil", "appearance.shade", Warns)],
        absent: &[("steel_4_6", "embrittlement.bake"), ("steel_4_6", "thread.room")],
        usable: &["steel_4_6 / hot_alkaline / displacing_oil"],
        says: &["limit samples"],
        routes: &[
            ("steel_4_6 / hot_alkaline / displacing_oil", &[Clean, Blacken, Coat]),
            (
                "steel_4_6 / zinc_plate_black_5 / no film",
                &[Clean, Electroclean, Pickle, Electroplate, Activate, Passivate, Seal],
            ),
        ],
        ..NOTHING_MORE
    },
    Case {
        name: "bracket of a lighthouse",
        ground: "no black finish is known for fifty years at the sea: a nobler grade, inspected and renewed \
                 (common practice)",
        part: r#""form": "bracket", "base_metal": "steel_5_8", "mass_g": 800, "surface_dm2": 4.5,
               "condition": "oiled""#,
        duty: r#""place": "coastal", "required_years": 50"#,
        wants: r#""other_base_metals": ["stainless_2205"], "outside_blackening": true"#,
        rules: &[("", "outlook.horizon", Warns)],
        says: &["no probability can be stated", "inspect and renew"],
        median_years: &[("steel_5_8 / hot_alkaline / displacing_oil", 0.0, 0.25)],
        met: Some(false),
        first: "stainless_2205",
        routes: &[("stainless_2205 / stainless_alkaline / hard_wax", &[Clean, Activate, Blacken, Coat])],
        ..NOTHING_MORE
    },
    Case {
        name: "bolts of a hay press",
        ground: "1/2-13 in 2A has 0.0015 in of allowance (ASME B1.1), a quarter of it for the layer: 5 µm \
                 of zinc fit, flake of 8 to 14 µm needs a thread made undersize by agreement (from memory); \
                 33 to 39 HRC plated is baked after plating unless the process is verified (ISO 4042:2018), \
                 and worked after hardening is relieved of stress first (ASTM B849)",
        part: r#""form": "hexagon_head_screw", "thread": "1/2-13 UNC", "tolerance": "2A", "length_mm": 63,
               "base_metal": "steel_10_9", "condition": "oiled""#,
        duty: r#""place": "rural", "required_years": 2"#,
        wants: OUTSIDE,
        rules: &[
            ("steel_10_9 / zinc_plate_black_5", "embrittlement.bake", Needs),
            ("steel_10_9 / zinc_flake_black / no film", "thread.by_agreement", Needs),
        ],
        absent: &[
            ("steel_10_9 / hot_alkaline", "embrittlement.bake"),
            ("steel_10_9 / zinc_plate_black_5 / no film", "thread.room"),
            ("steel_10_9", "embrittlement.electroplate"),
        ],
        usable: &["steel_10_9 / zinc_plate_black_5 / no film", "steel_10_9 / hot_alkaline / displacing_oil"],
        median_years: &[("steel_10_9 / hot_alkaline / displacing_oil", 0.0, 0.5)],
        routes: &[(
            "steel_10_9 / zinc_plate_black_5 / no film",
            &[Clean, StressRelief, Electroclean, Pickle, Electroplate, Bake, Activate, Passivate, Seal],
        )],
        ..NOTHING_MORE
    },
    Case {
        name: "rusty bolts of a crane rail",
        ground: "heavy scale is blasted, which spares 380 HV the acid (common practice); cracks are looked \
                 for on the bare metal; a safety-critical lot is held for consent and accepted on zero \
                 (MIL-STD-1916)",
        part: r#""form": "hexagon_head_screw", "thread": "M20", "length_mm": 80,
               "base_metal": "steel_10_9", "condition": "heavy_scale", "safety_critical": true"#,
        duty: r#""place": "industrial", "required_years": 4"#,
        wants: OUTSIDE,
        rules: &[
            ("steel_10_9 / hot_alkaline", "preparation.rust", Needs),
            ("steel_10_9", "safety.consent", Needs),
            ("steel_10_9", "safety.marking", Needs),
            ("steel_10_9", "safety.cracks", Needs),
            ("steel_10_9", "safety.sampling", Needs),
            ("steel_10_9", "embrittlement.safety", Warns),
            ("steel_10_9 / room_temperature", "embrittlement.bake", Needs),
        ],
        absent: &[("steel_10_9 / hot_alkaline", "embrittlement.bake")],
        usable: &["steel_10_9 / zinc_flake_black / no film"],
        routes: &[
            (
                "steel_10_9 / zinc_flake_black / no film",
                &[Clean, Blast, CrackTest, ZincFlake, Cure, ZincFlake, Coat, Cure],
            ),
            ("steel_10_9 / hot_alkaline / displacing_oil", &[Clean, Blast, CrackTest, Blacken, Coat]),
        ],
        differs: "a practitioner may pickle 10.9 in inhibited acid and bake; heavy scale is blasted here, so \
                 that no acid comes near a safety-critical part",
        ..NOTHING_MORE
    },
    Case {
        name: "screws of a furnace at the quay",
        ground: "12.9 is tempered at 380 °C (ISO 898-1) and softens at 500 °C, under every coat",
        part: r#""form": "socket_cap_screw", "thread": "M8", "length_mm": 35, "base_metal": "steel_12_9",
               "condition": "heavy_scale", "safety_critical": true"#,
        duty: r#""place": "splash", "heat_continuous_c": 500, "required_years": 15"#,
        rules: &[("steel_12_9", "heat.tempering", Blocks)],
        refused: &[""],
        says: &["soften", "heat-resisting grade"],
        met: Some(false),
        ..NOTHING_MORE
    },
    Case {
        name: "insert nuts of a davit",
        ground: "A4 on A4 galls dry (VDI 2230, class E); polyamide goes in after the bath (common practice)",
        part: r#""form": "lock_nut", "thread": "M10", "base_metal": "stainless_316", "tolerance": "6H",
               "condition": "oiled""#,
        duty: r#""place": "coastal", "mating_metals": ["stainless_316"], "required_years": 4"#,
        rules: &[
            ("stainless_316 / stainless_alkaline / no film", "torque.galling", Warns),
            ("stainless_316 / stainless_alkaline", "preparation.polymer_insert", Needs),
            ("stainless_316 / alkaline_chromate", "substrate.hexavalent", Warns),
        ],
        absent: &[
            ("stainless_316", "strength.weaker"),
            ("stainless_316", "couple.difference"),
            ("stainless_316", "embrittlement.no_acid"),
        ],
        usable: &["stainless_316 / stainless_alkaline / hard_wax"],
        routes: &[(
            "stainless_316 / stainless_alkaline / hard_wax",
            &[Clean, Activate, Blacken, Coat, FitInsert],
        )],
        ..NOTHING_MORE
    },
    Case {
        name: "rail foot of stainless steel, open",
        ground: "EN 1993-1-4, annex A: washing by rain counts for stainless steel near the sea, its lack \
                 against it; stainless steel is activated and blackened at once, and never passivated \
                 afterwards (common practice)",
        part: r#""form": "bracket", "base_metal": "stainless_316", "mass_g": 450, "surface_dm2": 2.8,
               "condition": "oiled""#,
        duty: r#""place": "coastal", "sea_distance_m": 120, "shelter": "open", "required_years": 5"#,
        absent: &[("stainless_316", "embrittlement.bake")],
        usable: &["stainless_316 / stainless_alkaline / hard_wax"],
        routes: &[("stainless_316 / stainless_alkaline / hard_wax", &[Clean, Activate, Blacken, Coat])],
        ..NOTHING_MORE
    },
    Case {
        name: "rail foot of stainless steel, sheltered",
        ground: "EN 1993-1-4, annex A: washing by rain counts for stainless steel near the sea, its lack \
                 against it; stainless steel is activated and blackened at once, and never passivated \
                 afterwards (common practice)",
        part: r#""form": "bracket", "base_metal": "stainless_316", "mass_g": 450, "surface_dm2": 2.8,
               "condition": "oiled""#,
        duty: r#""place": "coastal", "sea_distance_m": 120, "shelter": "sheltered", "required_years": 5"#,
        absent: &[("stainless_316", "embrittlement.bake")],
        usable: &["stainless_316 / stainless_alkaline / hard_wax"],
        routes: &[("stainless_316 / stainless_alkaline / hard_wax", &[Clean, Activate, Blacken, Coat])],
        ..NOTHING_MORE
    },
    Case {
        name: "rail foot of carbon steel, open",
        ground: "oil on black steel lasts days to weeks near surf (common practice)",
        part: r#""form": "bracket", "base_metal": "steel_5_8", "mass_g": 450, "surface_dm2": 2.8,
               "condition": "oiled""#,
        duty: r#""place": "coastal", "sea_distance_m": 120, "shelter": "open", "required_years": 5"#,
        absent: &[("steel_5_8", "embrittlement.bake")],
        usable: &["steel_5_8 / hot_alkaline / displacing_oil"],
        median_years: &[("steel_5_8 / hot_alkaline / displacing_oil", 0.0, 0.5)],
        routes: &[("steel_5_8 / hot_alkaline / displacing_oil", &[Clean, Blacken, Coat])],
        ..NOTHING_MORE
    },
    Case {
        name: "rail foot of carbon steel, sheltered",
        ground: "oil on black steel lasts days to weeks near surf (common practice)",
        part: r#""form": "bracket", "base_metal": "steel_5_8", "mass_g": 450, "surface_dm2": 2.8,
               "condition": "oiled""#,
        duty: r#""place": "coastal", "sea_distance_m": 120, "shelter": "sheltered", "required_years": 5"#,
        absent: &[("steel_5_8", "embrittlement.bake")],
        usable: &["steel_5_8 / hot_alkaline / displacing_oil"],
        median_years: &[("steel_5_8 / hot_alkaline / displacing_oil", 0.0, 0.5)],
        routes: &[("steel_5_8 / hot_alkaline / displacing_oil", &[Clean, Blacken, Coat])],
        differs: "a practitioner expects steel to fare worse under the roof; its loss does with salt (1.05 \
                 to 1.2 times, Choshi), but the years are those of oil and coat, which rain and sun no \
                 longer reach",
        ..NOTHING_MORE
    },
    Case {
        name: "feed rack in a barn",
        ground: "oil lasts weeks to months outdoors under a roof (common practice)",
        part: r#""form": "bracket", "base_metal": "steel_4_6", "mass_g": 600, "surface_dm2": 3.4,
               "condition": "oiled""#,
        duty: r#""place": "rural", "shelter": "sheltered", "required_years": 2"#,
        wants: r#""builds": [{"treatment": "hot_alkaline"}]"#,
        absent: &[("steel_4_6", "embrittlement.no_acid")],
        usable: &["steel_4_6"],
        says: &["only the builds that the brief names"],
        median_years: &[("steel_4_6 / hot_alkaline / displacing_oil", 0.05, 1.0)],
        met: Some(false),
        routes: &[("steel_4_6 / hot_alkaline / displacing_oil", &[Clean, Blacken, Coat])],
        ..NOTHING_MORE
    },
    Case {
        name: "levers of a packing table",
        ground: "hands wear oil off in weeks to months, also in a heated hall (common practice); bare steel \
                 is not black",
        part: r#""form": "bracket", "base_metal": "steel_4_6", "mass_g": 350, "surface_dm2": 2.2,
               "condition": "oiled""#,
        duty: r#""place": "indoor_heated", "handling": "frequent", "required_years": 8"#,
        wants: r#""builds": [{"treatment": "hot_alkaline"}, {"treatment": "hot_alkaline", "films": []},
               {"treatment": "none", "films": []}]"#,
        rules: &[
            ("steel_4_6 / hot_alkaline", "outlook.horizon", Warns),
            ("steel_4_6 / none / no film", "appearance.black", Blocks),
        ],
        refused: &["steel_4_6 / none / no film"],
        usable: &["steel_4_6 / hot_alkaline"],
        median_years: &[
            ("steel_4_6 / hot_alkaline / displacing_oil", 0.05, 1.0),
            ("steel_4_6 / hot_alkaline / no film", 0.0, 0.5),
        ],
        met: Some(false),
        routes: &[
            ("steel_4_6 / hot_alkaline / displacing_oil", &[Clean, Blacken, Coat]),
            ("steel_4_6 / hot_alkaline / no film", &[Clean, Blacken]),
        ],
        ..NOTHING_MORE
    },
    Case {
        name: "cleat of a dinghy",
        ground: "316 is blackened by class 4; the hexavalent bath of class 2 is never needed for it \
                 (MIL-DTL-13924D; REACH, Annex XIV, from memory)",
        part: r#""form": "bracket", "base_metal": "stainless_316", "mass_g": 140, "surface_dm2": 1.1,
               "condition": "clean""#,
        duty: r#""place": "coastal", "required_years": 4"#,
        rules: &[
            ("stainless_316 / alkaline_chromate", "substrate.hexavalent", Warns),
            ("stainless_316 / stainless_alkaline", "substrate.darkness", Needs),
        ],
        absent: &[
            ("stainless_316 / stainless_alkaline", "substrate.hexavalent"),
            ("stainless_316", "embrittlement.no_acid"),
        ],
        first: "stainless_316 / stainless_alkaline",
        routes: &[("stainless_316 / stainless_alkaline / hard_wax", &[Clean, Activate, Blacken, Coat])],
        ..NOTHING_MORE
    },
    Case {
        name: "hub screws of a van",
        ground: "12.9 is not electroplated (ISO 4042:2018, fastener makers), zinc flake charges no hydrogen \
                 (ISO 10683:2018), wet service stays a risk; a safety-critical lot is held for consent",
        part: r#""form": "hexagon_head_screw", "thread": "M14", "length_mm": 45,
               "base_metal": "steel_12_9", "condition": "oiled", "safety_critical": true"#,
        duty: r#""place": "road_salt", "required_years": 3"#,
        wants: OUTSIDE,
        rules: &[
            ("steel_12_9 / zinc_plate_black", "embrittlement.electroplate", Blocks),
            ("steel_12_9 / zinc_nickel_black", "embrittlement.electroplate", Blocks),
            ("steel_12_9", "embrittlement.in_service", Warns),
            ("steel_12_9", "safety.consent", Needs),
        ],
        absent: &[("steel_12_9 / zinc_flake_black", "embrittlement.bake")],
        refused: &[
            "steel_12_9 / zinc_plate_black",
            "steel_12_9 / zinc_nickel_black",
            "steel_12_9 / zinc_phosphate",
        ],
        usable: &["steel_12_9 / zinc_flake_black / no film"],
        first: "steel_12_9 / zinc_flake_black",
        routes: &[(
            "steel_12_9 / zinc_flake_black / no film",
            &[Clean, CrackTest, Blast, ZincFlake, Cure, ZincFlake, Coat, Cure],
        )],
        ..NOTHING_MORE
    },
    Case {
        name: "screws of a balcony rail",
        ground: "carbon steel in much aluminum rusts first and stains it, A4 attacks the aluminum where \
                 salt is (MIL-STD-1250A, 5.6); A4-70 is weaker than 8.8 (ISO 3506-1, ISO 898-1) and galls \
                 dry",
        part: r#""form": "socket_cap_screw", "thread": "M6", "length_mm": 30, "base_metal": "steel_8_8",
               "condition": "oiled""#,
        duty: r#""place": "coastal", "mating_metals": ["aluminium"], "mating_area_ratio": 60,
               "required_years": 3"#,
        wants: r#""builds": [{"treatment": "hot_alkaline", "films": ["hard_wax"]},
               {"base_metal": "stainless_316", "treatment": "stainless_alkaline",
               "films": ["hard_wax"]}, {"base_metal": "stainless_316",
               "treatment": "stainless_alkaline", "films": []}]"#,
        rules: &[
            ("steel_8_8", "couple.steel_in_aluminum", Needs),
            ("stainless_316", "couple.difference", Warns),
            ("stainless_316", "strength.weaker", Warns),
            ("stainless_316 / stainless_alkaline / no film", "torque.galling", Warns),
        ],
        absent: &[
            ("steel_8_8", "couple.difference"),
            ("steel_8_8", "strength.weaker"),
            ("stainless_316 / stainless_alkaline / hard_wax", "torque.galling"),
        ],
        usable: &["stainless_316 / stainless_alkaline / hard_wax"],
        median_years: &[("steel_8_8 / hot_alkaline / hard_wax", 0.0, 0.5)],
        first: "stainless_316",
        routes: &[
            ("stainless_316 / stainless_alkaline / hard_wax", &[Clean, Activate, Blacken, Coat]),
            ("steel_8_8 / hot_alkaline / hard_wax", &[Clean, Blacken, Coat]),
        ],
        ..NOTHING_MORE
    },
    Case {
        name: "grips of a drying oven",
        ground: "oil is gone at 260 °C (rated near 80 °C, common practice) and the oxide stands it (482 °C, \
                 MIL-DTL-13924D)",
        part: r#""form": "bracket", "base_metal": "steel_4_6", "mass_g": 260, "surface_dm2": 1.7,
               "condition": "oiled""#,
        duty: r#""place": "indoor_heated", "heat_continuous_c": 260, "required_years": 4"#,
        wants: r#""builds": [{"treatment": "hot_alkaline", "films": ["displacing_oil"]},
               {"treatment": "hot_alkaline", "films": []}]"#,
        rules: &[("steel_4_6 / hot_alkaline / displacing_oil", "heat.layer", Blocks)],
        absent: &[
            ("steel_4_6 / hot_alkaline / no film", "heat.layer"),
            ("steel_4_6", "heat.treatment"),
            ("steel_4_6", "heat.scaling"),
        ],
        refused: &["steel_4_6 / hot_alkaline / displacing_oil"],
        usable: &["steel_4_6 / hot_alkaline / no film"],
        met: Some(false),
        routes: &[("steel_4_6 / hot_alkaline / no film", &[Clean, Blacken])],
        ..NOTHING_MORE
    },
    Case {
        name: "screws of an exhaust clamp",
        ground: "zinc melts at 419 °C; 10.9 is tempered at 425 °C, of older standards at 340 °C (ISO \
                 898-1), and softens at 425 °C under every coat",
        part: r#""form": "hexagon_head_screw", "thread": "M8", "length_mm": 35,
               "base_metal": "steel_10_9", "condition": "clean""#,
        duty: r#""place": "indoor_condensation", "heat_continuous_c": 390, "heat_peak_c": 425,
               "required_years": 3"#,
        wants: OUTSIDE,
        rules: &[
            ("steel_10_9 / zinc_plate_black", "heat.zinc", Blocks),
            ("steel_10_9 / zinc_flake_black", "heat.zinc", Blocks),
            ("steel_10_9", "heat.tempering", Blocks),
        ],
        absent: &[("steel_10_9 / hot_alkaline", "heat.zinc")],
        refused: &[""],
        says: &["soften"],
        met: Some(false),
        ..NOTHING_MORE
    },
    Case {
        name: "mudguard stay of a lorry",
        ground: "oil lasts days to weeks in road salt; the usual answers, flake or paint over fine \
                 phosphate, stand beside the black, and nothing is masked where no surface has to be kept \
                 (common practice)",
        remarks: "Splashed by the wheels all winter.",
        part: r#""form": "bracket", "base_metal": "steel_5_8", "mass_g": 510, "surface_dm2": 2.7,
               "condition": "oiled", "functional_surfaces": []"#,
        duty: r#""place": "road_salt", "required_years": 5"#,
        wants: OUTSIDE,
        absent: &[("steel_5_8", "embrittlement.electroplate")],
        usable: &[
            "steel_5_8 / zinc_flake_black / no film",
            "steel_5_8 / zinc_phosphate_light / epoxy_electrocoat + polyester_powder",
        ],
        median_years: &[
            ("steel_5_8 / hot_alkaline / displacing_oil", 0.0, 0.25),
            ("steel_5_8 / zinc_flake_black / no film", 2.0, 25.0),
            ("steel_5_8 / zinc_phosphate_light / epoxy_electrocoat + polyester_powder", 3.0, 25.0),
        ],
        routes: &[
            (
                "steel_5_8 / zinc_flake_black / no film",
                &[Clean, Blast, ZincFlake, Cure, ZincFlake, Coat, Cure],
            ),
            (
                "steel_5_8 / zinc_phosphate_light / epoxy_electrocoat + polyester_powder",
                &[Clean, Condition, Phosphate, Coat, Cure, Coat, Cure],
            ),
        ],
        ..NOTHING_MORE
    },
];
