//! What an answer owes a reader who decides by it: why the first is first, what it must not meet, one cost for one option,
//! and the way out of a danger by name.

use crate::common::{DEMO_BRIEFS, brief, demo, ranked};
use overcoat::brief::Brief;
use overcoat::catalog::Catalog;
use overcoat::check::FindingKind;
use overcoat::papers::Units;
use overcoat::rank::{RankedOption, Ranking};
use overcoat::report::{PageOptions, TerminalOptions, amount, answer_page, percent, terminal};

/// Plates in the splash of the sea: nothing compared lasts, and the first is not the cheapest of what fails last.
fn quay_plates() -> Brief {
    brief(
        r#""form": "other", "base_metal": "steel_4_6", "mass_g": 900, "surface_dm2": 6, "lot_pieces": 300"#,
        r#""place": "splash", "required_years": 15"#,
        "",
    )
}

fn spring_clips() -> Brief {
    brief(
        r#""form": "other", "hardness_hv": 480, "mass_g": 12, "surface_dm2": 0.3, "lot_pieces": 10000"#,
        r#""place": "coastal", "required_years": 5"#,
        "",
    )
}

fn screws(class: &str, size: &str, place: &str, years: u32) -> Brief {
    brief(
        &format!(r#""form": "hexagon_head_screw", "property_class": "{class}", {size}, "lot_pieces": 4000"#),
        &format!(r#""place": "{place}", "required_years": {years}"#),
        "",
    )
}

fn roadside_screws() -> Brief {
    screws("8.8", r#""thread": "M10", "length_mm": 45"#, "road_salt", 10)
}

fn inch_screws() -> Brief {
    brief(
        r#""form": "socket_cap_screw", "thread": "1/4-20 UNC", "length_mm": 25.4, "base_metal": "Grade 8""#,
        r#""place": "road_salt", "required_years": 3"#,
        "",
    )
}

fn briefs() -> Vec<(String, Brief)> {
    let demos = DEMO_BRIEFS.map(|name| (name.to_owned(), demo(name)));
    let own = [
        ("quay", quay_plates()),
        ("clips", spring_clips()),
        ("roadside", roadside_screws()),
        ("camera", screws("12.9", r#""thread": "M3", "length_mm": 8"#, "indoor_heated", 15)),
        ("inch", inch_screws()),
    ];
    demos.into_iter().chain(own.map(|(name, brief)| (name.to_owned(), brief))).collect()
}

fn screen(ranking: &Ranking) -> String {
    terminal(ranking, Catalog::built_in(), &TerminalOptions::default())
}

fn page(ranking: &Ranking) -> String {
    answer_page(ranking, Catalog::built_in(), &PageOptions::default()).unwrap()
}

fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn ordered(ranking: &Ranking) -> Option<&RankedOption> {
    ranking.options.get(ranking.to_order()?)
}

/// A first place that another option beats by probability, median, cost and dangers is not left unexplained.
#[test]
fn what_costs_less_and_lasts_as_long_is_named_with_what_it_lacks() {
    let mut beaten = 0;
    for (name, brief) in briefs() {
        let ranking = ranked(&brief);
        let Some(best) = ranking.best().filter(|best| best.met || ranking.cheapest_met().is_none()) else {
            continue;
        };
        let beats = |option: &&RankedOption| {
            !option.blocked
                && option.outlook.probability_ok >= best.outlook.probability_ok
                && option.outlook.median_years >= best.outlook.median_years
                && option.cost.per_thousand < 0.98 * best.cost.per_thousand
                && option.dangers() <= best.dangers()
        };
        if ranking.options.iter().any(|option| beats(&option)) {
            beaten += 1;
            let said = ["gives up ", "adds: ", " a little lower"];
            let named = [
                "Lasts as long, costs less: #",
                "Lasts longer, costs less: #",
                "Lowest cost that meets it: #",
            ];
            let told = named.iter().find_map(|label| Some(ranking.verdict.split_once(label)?.1));
            let told = told.unwrap_or_else(|| panic!("{name}: {}", ranking.verdict));
            assert!(said.iter().any(|word| told.contains(word)), "{name}: {told}");
        }
    }
    assert!(beaten >= 1, "one of the briefs has such a first place");
}

/// Where #1 is the best by score and another is to be ordered, the dangers are those of the one to order.
#[test]
fn the_headline_says_whose_dangers_they_are() {
    let ranking = ranked(&screws("12.9", r#""thread": "M3", "length_mm": 8"#, "indoor_heated", 15));
    let number = ranking.to_order().unwrap() + 1;
    assert!(number > 1, "{}", ranking.verdict);
    let said = format!("Resolve the dangers of #{number} before you order.");
    assert!(ranking.verdict.contains(&said), "{}", ranking.verdict);
}

/// A number without a name is a riddle: what a screen names by its number alone stands in its table.
#[test]
fn an_option_named_by_its_number_stands_in_the_table() {
    let mut bare = 0;
    for (name, brief) in briefs() {
        let text = screen(&ranked(&brief));
        let (above, below) = text.split_once("Before you order").unwrap_or((&text, &text));
        for line in above.lines().filter(|line| line.starts_with("  ") && !line.starts_with("   ")) {
            let Some((_, said)) = line.split_once(": #") else { continue };
            let Some((number, _)) =
                said.split_once(':').filter(|(number, _)| number.parse::<usize>().is_ok())
            else {
                continue;
            };
            bare += 1;
            let row = below.lines().any(|line| line.split(' ').next() == Some(number));
            assert!(row, "{name}: #{number}\n{text}");
        }
    }
    assert!(bare >= 1, "{bare}");
}

/// One option has one cost on a page: the controls print what the core wrote.
#[test]
fn the_controls_of_a_page_print_the_costs_of_the_core() {
    for (name, brief) in briefs() {
        let page = page(&ranked(&brief));
        let Some((_, table)) = page.split_once(r#"<script type="application/json" id="table">"#) else {
            continue;
        };
        let table: serde_json::Value =
            serde_json::from_str(table.split_once("</script>").unwrap().0).unwrap();
        let rows = table["fronts"].as_array().unwrap().iter().flat_map(|front| front.as_array().unwrap());
        for row in rows {
            let (cost, written) = (row[2].as_f64().unwrap(), row[3].as_str().unwrap());
            let near = [cost - 0.006, cost, cost + 0.006].map(amount);
            assert!(near.iter().any(|text| text == written), "{name}: {row}");
        }
        assert!(!page.contains("toLocaleString"), "{name}");
    }
}

/// "First only for 15 years" is no praise of what does not last one.
#[test]
fn a_first_place_that_is_unlikely_to_last_is_called_so() {
    let ranking = ranked(&quay_plates());
    assert!(ranking.best().unwrap().outlook.probability_ok < 0.01);
    let page = page(&ranking);
    assert!(page.contains("Required years: #1 is unlikely to last 15 years; the first for "), "{page}");
    assert!(!page.contains("#1 is first only") && !page.contains("#1 stays first"), "{page}");
}

/// At another site the page names what would be ordered there: what reaches the target goes before the best score.
#[test]
fn another_site_has_what_would_be_ordered_there() {
    let catalog = Catalog::built_in();
    let mut other_than_first = 0;
    for brief in [spring_clips(), demo("gate-hinge"), demo("deck-fitting")] {
        let page = page(&ranked(&brief));
        for place in catalog.content().places.keys() {
            if brief.duty.place.as_ref() == Some(place) {
                continue;
            }
            let mut moved = brief.clone();
            moved.duty.place = Some(place.clone());
            let Ok(there) = overcoat::rank::rank(&moved, catalog) else { continue };
            let Some(option) = ordered(&there).filter(|option| option.met) else { continue };
            other_than_first += usize::from(there.to_order() != Some(0));
            let row =
                page.lines().find(|line| line.starts_with(&format!("<tr><td>{} (", place.replace('_', " "))));
            let row = row.unwrap();
            let chance = percent(option.outlook.probability_ok);
            let chance = chance.replace('<', "&lt;").replace('>', "&gt;");
            assert!(row.ends_with(&format!(r#"<td class="number">{chance}</td></tr>"#)), "{place}: {row}");
        }
    }
    assert!(other_than_first >= 1, "somewhere the best score is not what is ordered");
}

/// A mark in a table is explained beneath it, and no option is named by the mark alone.
#[test]
fn what_is_beyond_the_evidence_is_said_in_words() {
    let mut marked = 0;
    for (name, mut brief) in briefs() {
        brief.duty.required_years = 40.0;
        let ranking = ranked(&brief);
        assert!(!ranking.verdict.contains(": n/a"), "{name}: {}", ranking.verdict);
        let text = page(&ranking);
        if text.contains(">n/a<") {
            marked += 1;
            assert!(text.contains("n&#x2f;a: beyond the evidence."), "{name}");
        }
        let text = screen(&ranking);
        assert!(
            !text.contains(" n/a ") || flat(&text).contains("n/a: beyond the evidence"),
            "{name}\n{text}"
        );
    }
    assert!(marked >= 2, "{marked}");
}

/// A lubricated finish is not helped by an order for a lubricated finish: what has no danger is named by its number.
#[test]
fn an_option_without_the_dangers_is_named_where_they_are_told() {
    let ranking = ranked(&roadside_screws());
    let own = ordered(&ranking).unwrap();
    assert!(own.dangers() >= 2 && !own.met, "{}", ranking.verdict);
    let text = flat(&screen(&ranking));
    let (_, told) = text.split_once("Without these dangers: #").unwrap_or_else(|| panic!("{text}"));
    let number: usize = told.split(' ').next().unwrap().parse().unwrap();
    let other = &ranking.options[number - 1];
    assert_eq!(other.dangers(), 0);
    assert!(other.outlook.probability_ok >= own.outlook.probability_ok - 0.05);
}

#[test]
fn a_best_score_with_fewer_dangers_than_the_order_says_so() {
    let ranking = ranked(&screws("12.9", r#""thread": "M3", "length_mm": 8"#, "indoor_heated", 15));
    let (first, own) = (ranking.best().unwrap(), ordered(&ranking).unwrap());
    assert!(!first.met && own.met && own.dangers() > first.dangers(), "{}", ranking.verdict);
    let number = ranking.to_order().unwrap() + 1;
    assert!(ranking.verdict.contains(&format!("dangers of #{number}")), "{}", ranking.verdict);
}

/// Whoever sets the limit must know what the target costs.
#[test]
fn a_limit_that_nothing_meets_says_what_the_target_costs() {
    let of = |limit: f64| {
        let mut brief = demo("gate-hinge");
        brief.wants.cost_limit_per_thousand = Some(limit);
        ranked(&brief)
    };
    let free = ranked(&demo("gate-hinge"));
    let least = free.cheapest_met().unwrap().cost.per_thousand;
    let verdict = of(1.0).verdict;
    let (_, said) =
        verdict.split_once("The lowest cost that reaches 90%: ").unwrap_or_else(|| panic!("{verdict}"));
    assert!(said.split(". ").next().unwrap().ends_with(&amount(least)), "{least}: {said}");
}

/// The worst first, by what it is called: dangers, what is not judged, what must be done, what may matter.
#[test]
fn findings_stand_in_the_order_of_their_labels() {
    const LABELS: [&str; 4] = ["Danger: ", "Not judged: ", "Required: ", "Caution: "];
    for (name, brief) in briefs() {
        let text = screen(&ranked(&brief));
        let place = |line: &str| LABELS.iter().position(|label| line.trim_start().starts_with(label));
        let before = text.lines().skip_while(|line| !line.starts_with("Before you order"));
        let places: Vec<usize> = before.filter_map(place).collect();
        assert!(places.is_sorted(), "{name}\n{text}");
    }
}

#[test]
fn an_inquiry_in_inches_has_its_assumptions_in_inches() {
    let ranking = ranked(&inch_screws());
    let options = TerminalOptions { why: true, assumed: true, ..TerminalOptions::default() };
    let text = terminal(&ranking, Catalog::built_in(), &options);
    let metric = |line: &&str| [" °C", " µm", " mm", " dm²", " N·m"].iter().any(|unit| line.contains(unit));
    let told: Vec<&str> = text.lines().filter(metric).collect();
    assert_eq!(told, [""; 0], "{text}");
}

#[test]
fn what_is_assumed_of_stainless_steel_is_told_where_one_is_compared() {
    for (name, brief) in briefs() {
        let ranking = ranked(&brief);
        let compared = ranking.options.iter().chain(&ranking.references);
        let stainless = compared.into_iter().any(|option| option.build.base_metal.starts_with("stainless"));
        let told = ranking.assumed.iter().any(|line| line.starts_with("stainless steel: "));
        assert!(stainless || !told, "{name}");
    }
}

/// The plater's tank, the oven and the wrench: what the finish does not survive stands in the first lines of the page.
#[test]
fn a_page_says_at_the_top_what_the_option_must_not_meet() {
    let catalog = Catalog::built_in();
    let mut on_screens = 0;
    for (name, brief) in briefs() {
        let ranking = ranked(&brief);
        let Some(option) = ordered(&ranking) else { continue };
        let films =
            option.build.films.iter().map(|film| catalog.film(film).unwrap().continuous_limit_c.value);
        let treatment = catalog.treatment(&option.build.treatment).unwrap();
        let limits = films.chain(treatment.heat_limit_c.as_ref().map(|limit| limit.value));
        let page = page(&ranking);
        let said = page.split_once(" must not meet</dt>\n<dd>").map(|(before, rest)| {
            assert!(!before.contains("<h2"), "{name}");
            rest.split_once("</dd>").unwrap().0
        });
        if let Some(limit_c) = limits.reduce(f64::min) {
            let limit = match name.as_str() {
                "inch" => format!("{:.0} °F", 1.8 * limit_c + 32.0),
                _ => format!("{limit_c:.0} °C"),
            };
            assert!(said.unwrap().contains(&limit), "{name}: {said:?} {limit}");
        }
        // an acid step is named where a finding forbids it
        if option.findings.iter().any(|finding| finding.rule == "embrittlement.no_acid") {
            assert!(said.unwrap().contains("acid at any step"), "{name}: {said:?}");
        }
        on_screens += usize::from(screen(&ranking).contains("\nMust not   "));
    }
    assert!(on_screens >= 3, "{on_screens}");
}

/// "10 years, which?" is asked before anyone reads a table.
#[test]
fn the_controls_stand_above_the_options() {
    for (name, brief) in briefs() {
        let page = page(&ranked(&brief));
        let place = |id: &str| page.find(&format!(r#"id="{id}""#));
        if let (Some(controls), Some(options)) = (place("controls"), place("options")) {
            assert!(controls < options, "{name}");
        }
    }
}

/// A dowel of 600 HV is no dowel in stainless steel, whose hardest usual condition has 320 HV (from memory).
#[test]
fn a_metal_softer_than_the_hardness_stated_is_a_danger() {
    let dowel = brief(
        r#""form": "pin", "hardness_hv": 600, "mass_g": 12, "surface_dm2": 0.1, "functional_surfaces": ["fit"]"#,
        r#""place": "indoor_heated", "required_years": 10"#,
        "",
    );
    let clips = spring_clips();
    for (brief, metal, said) in [
        (&dowel, "stainless_304", "320 HV at most; 600 HV is stated"),
        (&clips, "stainless_316", "320 HV at most; 480 HV is stated"),
        // ISO 898-1: 8.8 has 335 HV at most, and an order of both is one that no mill can fill
        (&clips, "steel_8_8", "480 HV is stated, but property class 8.8 has 335 HV at most"),
    ] {
        let ranking = ranked(brief);
        let mut of_metal =
            ranking.options.iter().filter(|option| option.build.base_metal == metal).peekable();
        assert!(of_metal.peek().is_some(), "{metal}");
        for option in of_metal {
            let told = |finding: &&overcoat::check::Finding| finding.message.contains(said);
            assert!(
                option.findings.iter().any(|finding| told(&finding)) && option.dangers() > 0,
                "{}",
                option.name
            );
        }
    }
}

/// The masked thread of a stud rusts long before its coat: the promise of the coat says so in its first line, whatever else
/// fills the screen.
#[test]
fn the_years_of_a_coat_are_not_promised_for_a_masked_thread() {
    for critical in [false, true] {
        let part = format!(
            r#""form": "other", "base_metal": "steel_8_8", "thread": "M12", "mass_g": 220, "surface_dm2": 1.6,
            "safety_critical": {critical}"#
        );
        let studs = ranked(&brief(&part, r#""place": "road_salt", "required_years": 5"#, ""));
        let masked = |option: &&RankedOption| option.findings.iter().any(|f| f.rule == "thread.masked_years");
        let to_order = studs.options.iter().find(|option| option.met).filter(masked);
        assert!(to_order.is_some(), "{critical}: the coats of this brief are to be masked");
        let screen = screen(&studs).replace('\n', " ");
        assert!(screen.contains("NOT FOR ITS MASKED THREAD."), "{critical}: {screen}");
    }
}

/// Whoever takes another option by its figures is told its dangers beside them.
#[test]
fn an_option_named_beside_the_order_brings_its_dangers() {
    let clips = ranked(&spring_clips());
    let page = answer_page(&clips, Catalog::built_in(), &PageOptions::default()).unwrap();
    let (_, line) = page.split_once("More probability:").unwrap();
    let (line, _) = line.split_once("</li>").unwrap();
    let number: usize = line.split_once('#').unwrap().1.split_once(' ').unwrap().0.parse().unwrap();
    let named = clips.options.get(number - 1).unwrap();
    assert!(
        named.findings.iter().any(|f| f.rule.starts_with("embrittlement.") && f.kind != FindingKind::Notes)
    );
    assert!(line.contains("danger: hydrogen can break it"), "{line}");
    // so does what only waits for a tempering
    let washers = ranked(&brief(
        r#""form": "other", "hardness_hv": 450, "mass_g": 3, "surface_dm2": 0.08, "lot_pieces": 50000"#,
        r#""place": "urban", "required_years": 2"#,
        "",
    ));
    let waits = washers.remarks.iter().find(|remark| remark.contains("tempering_temperature_c")).unwrap();
    assert!(waits.contains("; danger: "), "{waits}");
}

/// A hardness that no part of the class has is left open in the order: no mill can fill it.
#[test]
fn no_order_names_a_class_that_has_not_the_hardness() {
    let clips = spring_clips();
    let ranking = ranked(&clips);
    let to_order = ranking.options.first().unwrap();
    let papers = overcoat::papers::papers(&clips, to_order, Catalog::built_in(), Units::Metric).unwrap();
    let text = papers.to_text().split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(text.contains("Open, base metal and class that have the hardness stated:"), "{text}");
}
