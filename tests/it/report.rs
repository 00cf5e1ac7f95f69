//! What a first-time reader finds on the screen and on the page: nothing that can hurt is cut, the worst comes first, and
//! terminal, page and document say the same.

use crate::common::{DEMO_BRIEFS, brief, demo, ranked};
use overcoat::brief::Brief;
use overcoat::catalog::Catalog;
use overcoat::check::{Finding, FindingKind};
use overcoat::rank::{RankedOption, Ranking};
use overcoat::report::{PageOptions, TerminalOptions, answer_page, ranking_fragment, terminal};

/// Screws of class 12.9, 435 HV at most by ISO 898-1, on which someone's safety depends, in a damp building.
fn hard_and_critical() -> Brief {
    brief(
        r#""form": "socket_cap_screw", "thread": "M8", "length_mm": 30, "base_metal": "steel_12_9", "lot_pieces": 5000,
           "safety_critical": true, "functional_surfaces": []"#,
        r#""place": "indoor_condensation", "required_years": 5"#,
        "",
    )
}

fn inch_screw() -> Brief {
    brief(
        r#""form": "socket_cap_screw", "thread": "1/4-20 UNC", "length_mm": 25.4, "base_metal": "Grade 8""#,
        r#""place": "road_salt", "required_years": 3"#,
        "",
    )
}

fn briefs() -> Vec<(String, Brief)> {
    let demos = DEMO_BRIEFS.map(|name| (name.to_owned(), demo(name)));
    let own = [
        ("hard".to_owned(), hard_and_critical()),
        ("inch".to_owned(), inch_screw()),
        (
            "offshore".to_owned(),
            brief(
                r#""form": "hexagon_head_screw", "thread": "M10", "length_mm": 40, "base_metal": "A4-80", "lot_pieces": 800"#,
                r#""place": "offshore", "required_years": 10, "mating_metals": ["aluminum"]"#,
                "",
            ),
        ),
        (
            "nut".to_owned(),
            brief(
                r#""form": "lock_nut", "thread": "M8", "base_metal": "steel_8_8", "lot_pieces": 3000"#,
                r#""place": "road_salt", "required_years": 3"#,
                "",
            ),
        ),
    ];
    demos.into_iter().chain(own).collect()
}

fn at(ranking: &Ranking, columns: usize) -> String {
    let options = TerminalOptions { columns: Some(columns), ..TerminalOptions::default() };
    terminal(ranking, Catalog::built_in(), &options)
}

fn page(ranking: &Ranking) -> String {
    answer_page(ranking, Catalog::built_in(), &PageOptions::default()).unwrap()
}

fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The option that the answer orders: the first, or the lowest-cost one that reaches the target where the first does not.
fn ordered(ranking: &Ranking) -> Option<&RankedOption> {
    let best = ranking.best()?;
    if best.met { Some(best) } else { ranking.cheapest_met().or(Some(best)) }
}

fn grave(option: &RankedOption) -> impl Iterator<Item = &Finding> {
    option.findings.iter().filter(|f| matches!(f.kind, FindingKind::Needs | FindingKind::Warns))
}

#[test]
fn every_requirement_and_caution_is_whole_on_a_screen_of_30_lines() {
    let mut most = 0;
    for (name, brief) in briefs() {
        let ranking = ranked(&brief);
        let text = at(&ranking, 80);
        let said = flat(&text);
        assert!(text.lines().count() <= 30, "{name}\n{text}");
        assert!(text.lines().all(|line| line.chars().count() <= 80), "{name}\n{text}");
        let found: Vec<&Finding> = ordered(&ranking).into_iter().flat_map(grave).collect();
        most = most.max(found.len());
        for finding in found {
            // the harm is what is said before its reasons; the first letter is a capital on the screen
            let message = finding.message.split(['(', ';']).next().unwrap().split(". ").next().unwrap();
            let harm = flat(&message.trim_end_matches('.')[message.char_indices().nth(1).unwrap().0..]);
            let imperative = finding.kind == FindingKind::Needs && finding.remedy.is_some();
            assert!(imperative || said.contains(&harm), "{name}: {harm}\n{text}");
            if let Some(remedy) = &finding.remedy {
                assert!(said.contains(&flat(remedy)), "{name}: {remedy}\n{text}");
            }
        }
    }
    assert!(most >= 8, "one brief has much to say: {most}");
}

/// What else is named brings its dangers, on the screen and in a notebook alike.
#[test]
fn a_notebook_tells_the_dangers_of_what_else_is_named() {
    let ranking = ranked(&demo("boat-cap-screws"));
    let text = at(&ranking, 200);
    let told: Vec<&str> = text.lines().filter_map(|line| line.strip_prefix("      Danger: ")).collect();
    assert!(told.contains(&"the joint can loosen"), "{text}");
    let fragment = ranking_fragment(&ranking, Catalog::built_in(), 6);
    for words in told {
        assert!(fragment.contains(&format!(". Danger: {words}</li>")), "{words}\n{fragment}");
    }
}

/// Hydrogen breaks the screw without warning; a smudged head mark or a wrong sampling plan can wait.
#[test]
fn what_can_break_comes_first_and_the_order_waits_for_it() {
    let ranking = ranked(&hard_and_critical());
    let text = at(&ranking, 80);
    let first = text.lines().skip_while(|line| !line.starts_with("Before you order")).nth(1).unwrap();
    assert!(first.starts_with("  Danger: ") && first.contains("wet service"), "{text}");
    assert!(flat(&text).contains("RESOLVE ITS DANGERS BEFORE YOU ORDER."), "{text}");
    assert!(ranking.verdict.contains("Resolve its dangers before you order."), "{}", ranking.verdict);
    assert!(page(&ranking).contains("<strong>Danger:</strong>"));
    let harmless = ranked(&demo("deck-fitting"));
    assert!(!at(&harmless, 80).contains("Danger"));
    assert!(!harmless.verdict.contains("Resolve"), "{}", harmless.verdict);
}

#[test]
fn how_firm_the_first_place_is_stands_once_in_the_same_words() {
    for (name, brief) in briefs() {
        let ranking = ranked(&brief);
        if ranking.options.iter().filter(|option| !option.blocked).count() < 2 {
            continue;
        }
        let start = if ranking.sharing_first() > 1 { "The scores of #1 " } else { "#1 stays first in " };
        let (_, said) = ranking.verdict.split_once(start).unwrap();
        let said = flat(&format!("{start}{said}"));
        let wide = flat(&at(&ranking, 100));
        assert!(wide.matches(&said).count() <= 1, "{name}");
        assert_eq!(flat(&page(&ranking)).matches(&said).count(), 1, "{name}: {said}");
        assert_eq!(page(&ranking).matches(start).count(), 1, "{name}");
    }
}

#[test]
fn a_wider_terminal_is_used_up_to_100_columns_and_a_narrow_one_is_not_squeezed() {
    let ranking = ranked(&demo("boat-cap-screws"));
    let widest = |columns| at(&ranking, columns).lines().map(|line| line.chars().count()).max().unwrap();
    assert!((81..=100).contains(&widest(100)));
    assert_eq!(at(&ranking, 300), at(&ranking, 100));
    assert_eq!(at(&ranking, 40), at(&ranking, 80));
    assert!(widest(80) <= 80);
}

/// "A4-80" is a steel and 800 MPa; without a word of the strength, 700 MPa would be counted on (ISO 3506-1).
#[test]
fn a_stainless_class_in_place_of_a_metal_keeps_its_strength() {
    let screw = |metal: &str| {
        let part = format!(r#""form": "hexagon_head_screw", "thread": "M10", "base_metal": "{metal}""#);
        ranked(&brief(&part, r#""place": "urban", "required_years": 5"#, ""))
    };
    for word in ["A4-80", "a4-80"] {
        assert_eq!(screw(word).brief.part.property_class.as_deref(), Some("A4-80"), "{word}");
    }
    assert_eq!(screw("A4").brief.part.property_class, None);
    let bracket = brief(
        r#""form": "bracket", "mass_g": 300, "surface_dm2": 2.5, "base_metal": "A4-80""#,
        r#""place": "urban", "required_years": 5"#,
        "",
    );
    assert_eq!(ranked(&bracket).brief.part.property_class, None);
}

/// SAE J429 Grade 8 has 150 ksi = 1034 MPa; the class that it is read as decides everything else.
#[test]
fn a_grade_read_as_a_class_stands_above_the_answer_without_a_field_name() {
    let ranking = ranked(&inch_screw());
    let text = at(&ranking, 80);
    let third = text.lines().nth(2).unwrap();
    assert!(third.contains("Grade 8") && third.contains("property class 10.9"), "{text}");
    assert!(page(&ranking).contains("Grade 8"));
    for (name, brief) in briefs() {
        let ranking = ranked(&brief);
        for line in ranking.assumed.iter().chain(&ranking.remarks) {
            let field = ["part.", "duty.", "wants."].iter().any(|section| line.starts_with(section));
            assert!(!field && !line.contains("[0]"), "{name}: {line}");
        }
    }
}

/// Duplex steel lasts on a boat where no option of the ranking reaches the target: "no option" alone would be untrue.
#[test]
fn what_reaches_the_target_outside_the_ranking_is_said_in_the_verdict() {
    let ranking = ranked(&demo("boat-cap-screws"));
    assert!(!ranking.met && ranking.references.iter().any(|other| other.met));
    let text = flat(&at(&ranking, 80));
    assert!(text.contains("NO OPTION IN THE METALS COMPARED REACHES 90% FOR 5 YEARS"), "{text}");
    assert!(text.contains("Another metal reaches it"), "{text}");
}

/// A full screen, and one that was asked for more, keep what reaches the target where nothing else does.
#[test]
fn what_reaches_the_target_is_named_on_every_screen() {
    let plated = brief(
        r#""form": "button_head_screw", "thread": "M8", "length_mm": 30, "property_class": "8.8",
           "present_finish": "zinc_plate", "lot_pieces": 6000"#,
        r#""place": "urban", "required_years": 8"#,
        "",
    );
    let mut named = 0;
    for (name, brief) in briefs().into_iter().chain([("plated".to_owned(), plated)]) {
        let ranking = ranked(&brief);
        if !ranking.options.iter().any(|option| option.met)
            && ranking.references.iter().any(|other| other.met)
        {
            let why = TerminalOptions { why: true, ..TerminalOptions::default() };
            for text in [at(&ranking, 80), at(&ranking, 100), terminal(&ranking, Catalog::built_in(), &why)] {
                assert!(flat(&text).contains("reaches it: "), "{name}\n{text}");
                named += 1;
            }
        }
    }
    assert!(named >= 6, "{named}");
}

/// What is galvanized or zinc plated is of carbon steel: stainless steel is no answer for the part at hand.
#[test]
fn a_plated_part_without_a_named_metal_is_of_steel() {
    for finish in ["hot_dip_zinc", "zinc_plate", "cadmium_plate", "phosphate"] {
        let part =
            format!(r#""form": "bracket", "mass_g": 400, "surface_dm2": 3, "present_finish": "{finish}""#);
        let ranking = ranked(&brief(&part, r#""place": "rural", "required_years": 20"#, ""));
        assert!(ranking.options.iter().all(|option| option.build.base_metal == "steel_4_6"), "{finish}");
        assert!(ranking.assumed.iter().any(|line| line.contains("is on steel")), "{:?}", ranking.assumed);
    }
}

/// A median of months is no reason to renew a finish within five years.
#[test]
fn a_finish_that_fails_early_is_renewed_by_its_median() {
    let ranking = ranked(&brief(
        r#""form": "hexagon_head_screw", "thread": "M8", "length_mm": 30, "base_metal": "steel_8_8""#,
        r#""place": "offshore", "required_years": 30"#,
        "",
    ));
    let oiled = ranking.options.iter().find(|option| option.trade_default).unwrap();
    let said = oiled.findings.iter().find(|finding| finding.rule == "outlook.horizon").unwrap();
    let remedy = said.remedy.as_deref().unwrap();
    assert!(remedy.contains("within its median life, ") && remedy.contains("days"), "{remedy}");
}

#[test]
fn a_request_for_more_gets_that_and_not_the_whole_answer_again() {
    let ranking = ranked(&demo("boat-cap-screws"));
    let ask = |options: TerminalOptions| terminal(&ranking, Catalog::built_in(), &options);
    let why_not = ask(TerminalOptions { why_not: true, ..TerminalOptions::default() });
    let place = why_not.lines().position(|line| line.starts_with("Ruled out")).unwrap();
    assert!(place < 14, "{why_not}");
    assert!(!why_not.contains("80% range EUR") && !why_not.contains("# prob."), "{why_not}");
    let assumed = ask(TerminalOptions { assumed: true, ..TerminalOptions::default() });
    assert!(assumed.lines().position(|line| line.starts_with("Assumed")).unwrap() < 14, "{assumed}");
    // "what torque?" and "how hot?" are answered in the terminal
    let why = ask(TerminalOptions { why: true, ..TerminalOptions::default() });
    for said in ["Limits of #1", "Heat: ", "Torque: Tighten to ", "N·m"] {
        assert!(why.contains(said), "{said}\n{why}");
    }
}

/// Zinc flake is ordered with its topcoat already.
#[test]
fn a_remedy_that_the_finish_has_is_not_ordered_again() {
    let ranking = ranked(&demo("boat-cap-screws"));
    let of = |treatment: &str| {
        let found = ranking.options.iter().filter(|option| option.build.treatment == treatment);
        found.flat_map(|option| &option.findings).find(|f| f.rule == "couple.zinc_on_aluminum").cloned()
    };
    let remedy = of("zinc_flake_black").unwrap().remedy.clone().unwrap();
    assert!(!remedy.contains("zinc flake") && remedy.contains("Seal the joint"), "{remedy}");
    let plate = of("zinc_plate_black").unwrap().remedy.clone().unwrap();
    assert!(plate.contains("zinc flake with a topcoat"), "{plate}");
}

#[test]
fn an_area_that_was_taken_for_granted_is_told() {
    let assumed = |more: &str| {
        let duty = format!(r#""place": "urban", "required_years": 5, "mating_metals": ["aluminum"]{more}"#);
        let screw = r#""form": "hexagon_head_screw", "thread": "M8", "base_metal": "stainless_316""#;
        ranked(&brief(screw, &duty, "")).assumed
    };
    let told = |lines: &[String]| lines.iter().any(|line| line.starts_with("metal in contact: 10 times"));
    assert!(told(&assumed("")));
    assert!(!told(&assumed(r#", "mating_area_ratio": 3"#)));
}

/// A class that is weaker in yield alone is not called weaker by a tensile strength that is higher.
#[test]
fn only_the_strength_that_is_lower_is_called_weaker() {
    let ranking = ranked(&demo("furnace-bracket"));
    let all = ranking.options.iter().chain(&ranking.references).flat_map(|option| &option.findings);
    let weaker: Vec<&Finding> = all.filter(|f| f.rule == "strength.weaker").collect();
    assert!(!weaker.is_empty());
    for finding in weaker {
        for pair in finding.message.split(" MPa instead of ").collect::<Vec<_>>().windows(2) {
            let has: f64 = pair[0].rsplit(' ').next().unwrap().parse().unwrap();
            let asks: f64 = pair[1].split(' ').next().unwrap().parse().unwrap();
            assert!(has < asks, "{}", finding.message);
        }
    }
}

#[test]
fn a_page_is_short_and_has_no_field_of_the_brief() {
    for (name, brief) in briefs() {
        let page = page(&ranked(&brief));
        let start = page.find("<body>").unwrap();
        let end = page.find("<script").unwrap_or(page.len());
        let mut body = page[start..end].to_owned();
        // what is said of a dot, and the choices of the controls
        for element in ["title", "desc", "select"] {
            while let Some((before, rest)) = body.split_once(&format!("<{element}")) {
                let (_, after) = rest.split_once(&format!("</{element}>")).unwrap();
                body = format!("{before} {after}");
            }
        }
        let mut text = String::new();
        let mut inside = false;
        for letter in body.chars() {
            match letter {
                '<' => {
                    inside = true;
                    text.push(' ');
                }
                '>' => inside = false,
                letter if !inside => text.push(letter),
                _ => {}
            }
        }
        let words = text.split_whitespace().count();
        assert!(words <= 2500, "{name}: {words} words");
        assert!(!text.contains("costs cost"), "{name}");
        for section in ["part.", "duty.", "wants."] {
            let field =
                |word: &&str| word.trim_start_matches(['`', '(']).starts_with(section) && word.contains('_');
            assert_eq!(text.split_whitespace().find(field), None, "{name}");
        }
    }
}

/// Aluminum spoils a coated steel screw; of the stainless ones the best score misses the target, and a cheaper one
/// reaches it.
fn screws_in_aluminum() -> Brief {
    brief(
        r#""form": "button_head_screw", "thread": "M8", "length_mm": 20, "lot_pieces": 20000"#,
        r#""place": "urban", "required_years": 10, "mating_metals": ["aluminum"], "mating_area_ratio": 30"#,
        "",
    )
}

/// Two torques for one screw on one page would be one too many.
#[test]
fn heat_torque_cost_and_limits_are_those_of_the_option_to_order() {
    let ranking = ranked(&screws_in_aluminum());
    let at = ranking.to_order().unwrap();
    let number = at + 1;
    let option = &ranking.options[at];
    assert!(at > 0 && option.met && !ranking.options[0].met, "{}", ranking.verdict);
    assert_eq!(Some(&option.build), ranking.cheapest_met.as_ref());
    let page = page(&ranking);
    for heading in ["Before you order", "Limits of", "Cost of", "Score of"] {
        assert!(page.contains(&format!("{heading} #{number}")), "{heading}");
        assert!(!page.contains(&format!("{heading} #1<")), "{heading}");
    }
    assert!(page.contains(&format!("overcoat papers BRIEF --build {number}<")));
    let torques = |option: &RankedOption| -> Vec<String> {
        let said = option.findings.iter().filter(|finding| finding.rule.starts_with("torque."));
        said.flat_map(|f| [f.message.to_string(), f.remedy.clone().unwrap_or_default().to_string()])
            .filter_map(|text| Some(text.split_once("Tighten to ")?.1.split_once(" N·m")?.0.to_owned()))
            .collect()
    };
    let (own, first) = (torques(option), torques(&ranking.options[0]));
    assert!(!own.is_empty() && !first.is_empty() && own != first, "{own:?} {first:?}");
    for torque in &first {
        assert!(!page.contains(&format!("Tighten to {torque} N·m")), "{torque}");
    }
    // one that reaches the target by itself is ordered
    let deck = ranked(&demo("deck-fitting"));
    assert_eq!((deck.met, deck.to_order()), (true, Some(0)));
}

/// What no rule judges can hurt as much as what one does.
#[test]
fn what_no_rule_judges_stands_before_the_order() {
    let ladder = Brief {
        name: "screws for a pool ladder".to_owned(),
        ..brief(
            r#""form": "hexagon_head_screw", "thread": "M6", "length_mm": 25, "base_metal": "A4""#,
            r#""place": "coastal", "required_years": 2"#,
            "",
        )
    };
    let ranking = ranked(&ladder);
    let text = flat(&at(&ranking, 80));
    let (_, before) = text.split_once("Before you order").unwrap();
    assert!(before.contains("Not judged: Pool atmosphere"), "{text}");
    assert!(before.contains("Have it assessed before you order."), "{text}");
    assert!(page(&ranking).contains("<strong>Not judged:</strong>"));
}

/// "8.5" at the end of a line and "N·m" at the start of the next are read apart.
#[test]
fn a_figure_and_its_unit_stand_on_one_line() {
    let units = ["N·m", "°C", "MPa", "HV", "µm", "kN"];
    for (name, brief) in briefs().into_iter().chain([("aluminum".to_owned(), screws_in_aluminum())]) {
        let ranking = ranked(&brief);
        for text in [
            at(&ranking, 80),
            terminal(
                &ranking,
                Catalog::built_in(),
                &TerminalOptions { why: true, why_not: true, ..TerminalOptions::default() },
            ),
        ] {
            assert!(!text.contains('\u{a0}'), "{name}");
            for lines in text.lines().collect::<Vec<_>>().windows(2) {
                let next = lines[1].trim_start();
                let apart = lines[0].ends_with(|c: char| c.is_ascii_digit())
                    && units.iter().any(|unit| next.starts_with(unit));
                assert!(!apart, "{name}: {lines:?}");
            }
        }
    }
}

/// Zinc flake is what a reader asks after first; a wax over it would be ruled out for reasons of its own.
#[test]
fn why_not_zinc_is_answered_by_the_zinc_and_not_by_its_oil() {
    let hot = brief(
        r#""form": "hexagon_head_screw", "thread": "M10", "length_mm": 40, "base_metal": "steel_8_8""#,
        r#""place": "road_salt", "required_years": 5, "heat_continuous_c": 400"#,
        "",
    );
    let ranking = ranked(&hot);
    let options = TerminalOptions { why: true, ..TerminalOptions::default() };
    let text = terminal(&ranking, Catalog::built_in(), &options);
    let mut lines = text.lines().skip_while(|line| !line.starts_with("  Zinc: Ruled out. "));
    let first = lines.next().unwrap();
    let more = lines.take_while(|line| line.starts_with("    "));
    let zinc = flat(&[first].into_iter().chain(more).collect::<Vec<_>>().join(" "));
    assert!(zinc.contains("zinc flake") && !zinc.contains("oil"), "{zinc}");
}
