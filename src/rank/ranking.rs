//! The answer to a brief.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, PoisonError};

use serde::{Deserialize, Serialize};

use crate::Result;
use crate::atmosphere::{Category, Determination};
use crate::brief::{AMBIENT_C, Brief, COLD_SHARE, Criterion, Exposure, Units};
use crate::catalog::{Catalog, Override, ResolvedBuild};
use crate::check::{
    Case, Finding, FindingKind, Inquiry, PartThread, blocking_rules, counted, dangers, finding, findings,
    first_base_metal, is_head_only, not_judged, serving_tempering_c, spares_zinc, taken_for_granted,
    usual_base_metal, waits_for_tempering,
};
use crate::evidence::{Firmness, Source};
use crate::fastener::Thread;
use crate::finish::{Build, DEFAULT_FILM};
use crate::life::{
    ATMOSPHERE, Life, Lives, Outlook, Site, SiteInputs, UNLIKELY, VarianceShare, outlook_of, site_of,
};
use crate::metal::Family;
use crate::rank::candidates::reference_builds;
use crate::rank::judged::COST_LIMIT;
use crate::rank::order::{Burden, Standing, order};
use crate::rank::points::worst_first;
use crate::rank::score::{CostScale, Fixed, ScoreScale, USUAL_TARGET, fixed_desirabilities, score};
use crate::rank::sources::sources_of;
use crate::rank::stability::{Contestant, first_place_holds};
use crate::rank::verdict;
use crate::rank::words::{BuildWords, amount, factor_words, percent_in_words};
use crate::rank::{Cost, CostLines, Lot, Score, candidates, check_limit, pareto, purchase};

/// The schema of a ranking written by this version.
pub const RANKING_SCHEMA: &str = "overcoat.ranking.v1";

/// Longest ranking that is read back, bytes: some ten thousand builds.
const MOST_BYTES: usize = 512 << 20;

/// Said with every answer.
pub const CAUTIONS: [&str; 5] = [
    "Salt-spray hours are not service life: the years are computed from them and have wide spreads.",
    "Hot caustic and acid baths burn and can erupt: only trained people run them, under local rules.",
    "Acid on hard steel can cause delayed brittle fracture; have hard and safety-critical joints checked by a \
     qualified person.",
    "Torque and preload of a changed finish must be confirmed on the real joint.",
    "Local codes and your agreement with the supplier override this answer.",
];

/// The builds of a brief, best first; blocked ones at the end.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct Ranking {
    /// Always `overcoat.ranking.v1`.
    pub schema: String,
    /// Version of overcoat that made it.
    pub version: String,
    /// The inquiry.
    pub brief: Brief,
    /// The answer in one or two sentences.
    pub verdict: String,
    /// Whether the best build meets the brief.
    pub met: bool,
    /// The atmosphere of the site.
    pub atmosphere: AtmosphereSummary,
    /// What was assumed, one line each.
    pub assumed: Vec<String>,
    /// What was found odd about the brief, one line each.
    pub remarks: Vec<String>,
    /// The builds.
    pub options: Vec<RankedOption>,
    /// Where no build meets the brief: higher stainless grades, and finishes outside blackening where the brief leaves
    /// them out, by the same outlook and checks. They are outside the scope of the ranking.
    pub references: Vec<RankedOption>,
    /// The cheapest open build that reaches the probability asked for; none where no build does.
    pub cheapest_met: Option<Build>,
    /// Share of moved weights and spreads at which #1 stays first; none without an open build, or where several
    /// share the first rank.
    pub stability: Option<f64>,
    /// The least supported numbers behind the best build, and what share of its uncertainty they carry.
    pub weakest_link: Option<String>,
    /// Name of the catalog.
    pub catalog: String,
    /// Values that user catalogs replaced and that this brief may rest on.
    pub overrides: Vec<Override>,
    /// Usual warnings.
    pub cautions: Vec<String>,
    /// Every source that the answer is based on.
    pub sources: Vec<Source>,
}

/// The atmosphere of a site, in the words of a ranking.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct AtmosphereSummary {
    /// First-year loss of plain steel, µm.
    pub first_year_steel_loss_um: f64,
    /// Standard deviation of its natural logarithm.
    pub log_sd: f64,
    /// What the outlook multiplies the loss by: loss at measured sites of such a temperature over the computed one.
    pub measured_over_computed: f64,
    /// How it was found.
    pub determination: Determination,
    /// Corrosivity category for steel, classified by thickness.
    pub category: Category,
    /// Annual mean chloride deposition, where known.
    pub chloride_mg_m2_day: Option<f64>,
    /// Whether an input lay outside the validity of the dose-response function.
    pub extrapolated: bool,
}

/// One build of a ranking.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
#[expect(clippy::struct_excessive_bools, reason = "independent facts, as a reader asks for them")]
#[non_exhaustive]
pub struct RankedOption {
    /// The build by catalog names.
    pub build: Build,
    /// The build in the words of an order.
    pub name: String,
    /// Whether a finding blocks it.
    pub blocked: bool,
    /// Whether it meets the probability asked for.
    pub met: bool,
    /// Whether the required years are beyond what anyone has observed of such a finish, so that its probability is no
    /// statement.
    #[serde(default)]
    pub beyond_evidence: bool,
    /// Whether it is what is delivered on the first base metal when nothing is specified.
    pub trade_default: bool,
    /// Whether its treatment belongs to another family than blackening, for example black zinc.
    #[serde(default)]
    pub outside_blackening: bool,
    /// Whether no other open build is both cheaper and likelier.
    pub on_pareto_front: bool,
    /// Place in the ranking from 1, the same for scores that tie; none of a blocked build or a reference.
    pub rank: Option<u32>,
    /// Score; 0 for a blocked build.
    pub score: Score,
    /// Findings, gravest first.
    pub findings: Vec<Finding>,
    /// Time to failure.
    pub outlook: Arc<Outlook>,
    /// Cost.
    pub cost: Cost,
}

impl RankedOption {
    /// What the order looks at.
    pub(crate) fn standing(&self, catalog: &Catalog) -> Result<Standing> {
        let treatment = catalog.treatment(&self.build.treatment)?;
        Ok(Standing {
            blocked: self.blocked,
            score: self.score.value,
            burden: Burden::of(treatment, &self.findings),
            probability_ok: self.outlook.probability_ok,
            cost: self.cost.per_thousand,
        })
    }

    /// What settles ties of its score, the lowest first, as the column `burden` of tables has it: 100 for each finding that
    /// warns or needs a step, 1 more for each step, 100,000 more for each danger, 1,000,000
    /// for a bath of hexavalent chromium.
    ///
    /// # Errors
    /// A catalog other than that of the ranking.
    pub fn burden(&self, catalog: &Catalog) -> Result<f32> {
        Ok(self.standing(catalog)?.burden.in_column())
    }

    /// How many of its findings, more than notes, say that the part can break, its joint open or a welder be harmed, as the column `dangers` of
    /// tables has it.
    pub fn dangers(&self) -> usize {
        dangers(&self.findings)
    }

    /// Whether its coats are on the head and shank of a screw alone; its years are those of the thread.
    pub(crate) fn is_head_only(&self) -> bool {
        self.findings.iter().any(|finding| finding.rule == "thread.head_only")
    }

    /// The rules that block it, joined by commas; none of an open one.
    pub fn blocked_by(&self) -> Option<String> {
        let rules = blocking_rules(&self.findings);
        (!rules.is_empty()).then(|| rules.join(", "))
    }

    /// What a reader should see first, in the words of the answer: what rules the option out, else its worst danger,
    /// requirement or caution with what to do about it, else the criterion that holds the score back most.
    pub fn first_reason(&self) -> String {
        let points = worst_first(self);
        let blocks = points.iter().find(|point| point.kind == FindingKind::Blocks.word());
        if let Some(point) = blocks.or(points.first()) {
            return format!("{}: {}", point.label, point.short());
        }
        match self.score.shares.iter().max_by(|a, b| a.share.total_cmp(&b.share)) {
            Some(share) if share.share > 0.0 => {
                let criterion = verdict::criterion_in_words(share.criterion);
                format!("Weakest: {criterion} ({:.2} of 1)", share.desirability)
            }
            _ => "Every criterion is met in full.".to_owned(),
        }
    }
}

impl Ranking {
    /// The best open build; none where all are blocked.
    pub fn best(&self) -> Option<&RankedOption> {
        self.options.first().filter(|option| !option.blocked)
    }

    /// The probability asked for, or the usual one where the brief says none.
    pub fn target_probability(&self) -> f64 {
        self.brief.wants.target_probability.unwrap_or(USUAL_TARGET)
    }

    /// The cheapest open option that reaches the probability asked for.
    pub fn cheapest_met(&self) -> Option<&RankedOption> {
        let build = self.cheapest_met.as_ref()?;
        self.options.iter().find(|option| option.build == *build)
    }

    /// The option to order, by its place from 0: the best where it reaches the target or none does, else the cheapest
    /// that reaches it. None where all are blocked.
    pub fn to_order(&self) -> Option<usize> {
        self.best()?;
        let cheapest = |option: &RankedOption| Some(&option.build) == self.cheapest_met.as_ref();
        let instead = self.options.iter().position(cheapest).filter(|_| !self.met);
        Some(instead.unwrap_or(0))
    }

    /// How many options share the first rank.
    pub fn sharing_first(&self) -> usize {
        self.options.iter().filter(|option| option.rank == Some(1)).count()
    }

    /// Cost per thousand at which the best option would have no better score than `other`, all else unchanged; none
    /// where no cost does that.
    ///
    /// # Errors
    /// A catalog other than that of the ranking.
    pub fn cost_to_tie(&self, other: &RankedOption, catalog: &Catalog) -> Result<Option<f64>> {
        let Some(best) = self.best() else { return Ok(None) };
        let lot = Lot::of(&self.brief.part, &mut Vec::new())?;
        let scale = CostScale::of(&self.brief, reference_cost(&self.brief, &lot, catalog)?);
        let share = best.score.shares.iter().find(|share| share.criterion == Criterion::Cost);
        let Some(share) = share.filter(|share| share.weight > 0.0 && other.score.value > 0.0) else {
            return Ok(None);
        };
        // the score is a weighted geometric mean, so the cost alone must lower it by this ratio
        let ratio = (other.score.value / best.score.value).powf(1.0 / share.weight);
        Ok(scale.cost_at(share.desirability * ratio))
    }

    /// The ranking as JSON, schema [`RANKING_SCHEMA`].
    pub fn to_json(&self) -> String {
        serde_json::to_string(self).unwrap_or_default()
    }

    /// Reads a ranking that [`Ranking::to_json`] wrote.
    ///
    /// # Errors
    /// A malformed document, or one of more than 512 MiB.
    pub fn from_json(text: &str) -> Result<Self> {
        let document = crate::catalog::strict_json::parse_up_to(MOST_BYTES, "ranking", text)?;
        if document.is_object() {
            crate::catalog::check_schema("ranking", document.get("schema"), RANKING_SCHEMA)?;
        }
        crate::catalog::strict_json::typed("ranking", document)
    }
}

/// Ranks the builds of a brief.
///
/// # Errors
/// An unknown name in the brief, a physically impossible input, films in an impossible order. Nothing is
/// dropped: a build that cannot be used stays at the end, with its reason.
pub fn rank(brief: &Brief, catalog: &Catalog) -> Result<Ranking> {
    let given = brief;
    let checked = brief.checked_in(catalog)?;
    let brief = checked.as_ref();
    let mut exposure = Exposure::of(brief, catalog)?;
    exposure.remarks.extend(given.inch_grades_read(catalog));
    let (builds, mut assumed) = candidates(brief, catalog)?;
    assumed.extend(given.words_read(catalog));
    assumed.extend(exposure.assumed.iter().cloned());
    let lot = Lot::of(&brief.part, &mut assumed)?;
    let question = Question::new(brief, &exposure, lot, catalog)?;
    if brief.wants.target_probability.is_none() {
        assumed
            .push(format!("target: {:.0}% probability of lasting the required years", USUAL_TARGET * 100.0));
    }
    if brief.wants.black.is_none() {
        assumed.push("color: black".to_owned());
    }
    if brief.part.condition.is_none() {
        assumed.push("parts arrive oily, free of rust and scale".to_owned());
    }
    if brief.wants.weights.is_none() {
        assumed.push("criterion weights: those built in".to_owned());
    }

    assumed.extend(taken_for_granted(&question.inquiry, &builds));
    if brief.wants.builds.is_none() {
        assumed.push(scope(brief));
    }

    let usual = trade_default(brief, catalog)?;
    let mut options = Vec::with_capacity(builds.len());
    for build in builds {
        let trade_default = build == usual;
        let option = question.option(build)?;
        options.push(RankedOption { trade_default, ..option });
    }
    let mut references = Vec::new();
    if !options.iter().any(|option| option.met) && brief.wants.builds.is_none() {
        let builds: Vec<Build> = options.iter().map(|option| option.build.clone()).collect();
        for build in reference_builds(brief, &builds, catalog) {
            references.push(question.option(build)?);
        }
        references = sorted(references, catalog)?;
        for reference in &mut references {
            reference.rank = None;
        }
    }
    let mut options = sorted(options, catalog)?;
    let stainless = |option: &RankedOption| {
        catalog.base_metal(&option.build.base_metal).is_ok_and(|metal| metal.family.is_stainless())
    };
    if !options.iter().chain(&references).any(stainless) {
        assumed.retain(|line| !line.starts_with(OF_STAINLESS));
    }
    mark_front(&mut options);
    let head_alone = question.where_the_head_counts(&options)?;
    let mut ranking = explain(brief, &exposure, catalog, options, references, assumed, question.scale.target);
    ranking.remarks.extend(head_alone);
    Ok(ranking)
}

/// Begins what is assumed of stainless steel alone.
const OF_STAINLESS: &str = "stainless steel: ";

/// What is compared besides black oxide, and what no catalog entry describes.
fn scope(brief: &Brief) -> String {
    let outside = if brief.wants.looks_outside_blackening() {
        "black zinc, zinc-nickel, zinc flake, phosphate, nitrocarburizing and anodizing are compared where they are rated for the \
         metal, marked as outside blackening"
    } else {
        "other black finishes than black oxide are left out, as the brief says"
    };
    format!(
        "scope: {outside}; black chromium, black nickel, vapor-deposited (PVD, DLC), enamel, galvanizing under paint and \
         colored stainless are not in the catalog"
    )
}

/// What is delivered on the brief's first base metal when nothing is specified; buying it is the yardstick of
/// the cost criterion. It does not look at the builds compared, so that none of them can move the score of
/// another.
fn trade_default(brief: &Brief, catalog: &Catalog) -> Result<Build> {
    let metal = first_base_metal(&brief.part, catalog).unwrap_or_else(|| usual_base_metal(&brief.part));
    let stainless = catalog.base_metal(metal)?.family.is_stainless();
    Ok(Build::new(metal, default_treatment(stainless), [DEFAULT_FILM]))
}

/// What the usual default costs to buy: the yardstick of the cost criterion.
pub(crate) fn reference_cost(brief: &Brief, lot: &Lot, catalog: &Catalog) -> Result<f64> {
    let usual = trade_default(brief, catalog)?;
    Ok(purchase(lot, &catalog.resolve(&usual)?, &[], catalog, &CostLines::default()).per_thousand)
}

/// The treatment that is delivered when nothing is specified.
pub(crate) fn default_treatment(stainless: bool) -> &'static str {
    if stainless { "stainless_alkaline" } else { "hot_alkaline" }
}

/// A brief in one exposure, with what all of its builds share.
#[derive(Debug)]
pub(crate) struct Question<'a> {
    inquiry: Inquiry<'a>,
    pub(crate) exposure: &'a Exposure,
    /// What of the place counts, and the points of the curves there.
    inputs: SiteInputs,
    site: Site,
    lot: Lot,
    scale: ScoreScale,
    lines: CostLines,
    lives: Lives<'a>,
    /// Lives met so far with their outlooks, by their digest.
    outlooks: Mutex<HashMap<u64, Vec<Known>>>,
}

/// A life with its outlook.
type Known = (Life, Arc<Outlook>);

impl<'a> Question<'a> {
    pub(crate) fn new(
        brief: &'a Brief,
        exposure: &'a Exposure,
        lot: Lot,
        catalog: &'a Catalog,
    ) -> Result<Self> {
        let scale = ScoreScale::of(brief, reference_cost(brief, &lot, catalog)?, &catalog.content().prices);
        let inputs = site_of(exposure);
        let inquiry = Inquiry::of(brief, catalog)?;
        Ok(Self {
            inquiry,
            exposure,
            inputs,
            site: Site::of(&inputs),
            lot,
            scale,
            lines: CostLines::default(),
            lives: Lives::new(exposure, &brief.part, catalog),
            outlooks: Mutex::default(),
        })
    }

    /// The brief.
    pub(crate) fn brief(&self) -> &'a Brief {
        self.inquiry.brief()
    }

    /// What a ranking says of one build.
    pub(crate) fn option(&self, build: Build) -> Result<RankedOption> {
        self.option_lasting(build, |resolved| self.outlook(resolved))
    }

    /// As [`option`](Self::option), of a build whose life was changed.
    pub(crate) fn option_with(&self, build: Build, change: impl FnOnce(&mut Life)) -> Result<RankedOption> {
        self.option_lasting(build, |resolved| {
            let mut life = self.lives.of(&self.counted(resolved)?)?;
            change(&mut life);
            Ok(Arc::new(self.outlook_of(&life)))
        })
    }

    fn counted<'b>(&self, build: &ResolvedBuild<'b>) -> Result<ResolvedBuild<'b>>
    where
        'a: 'b,
    {
        counted(&self.brief().part, self.inquiry.thread_or_usual(), build, self.inquiry.catalog())
    }

    fn outlook_of(&self, life: &Life) -> Outlook {
        outlook_of(life, &self.inputs, &self.site, self.exposure.required_years)
    }

    /// The outlook of a build, worked out once for builds whose lives are the same.
    fn outlook(&self, build: &ResolvedBuild) -> Result<Arc<Outlook>> {
        let life = self.lives.of(&self.counted(build)?)?;
        let mut known = self.outlooks.lock().unwrap_or_else(PoisonError::into_inner);
        let alike = known.entry(life.digest()).or_default();
        if let Some((_, outlook)) = alike.iter().find(|(known, _)| *known == life) {
            return Ok(Arc::clone(outlook));
        }
        let outlook = Arc::new(self.outlook_of(&life));
        alike.push((life, Arc::clone(&outlook)));
        Ok(outlook)
    }

    /// Where no option reaches the target: the cheapest whose head alone does, coated without its thread, which counts in a
    /// joint that seals the thread.
    fn where_the_head_counts(&self, options: &[RankedOption]) -> Result<Option<String>> {
        let catalog = self.inquiry.catalog();
        let head_only = |option: &&RankedOption| option.is_head_only() && !option.blocked;
        if options.iter().any(|option| option.met) || !options.iter().any(|option| head_only(&option)) {
            return Ok(None);
        }
        let mut best: Option<(&RankedOption, Outlook)> = None;
        for option in options.iter().filter(head_only) {
            let head = self.outlook_of(&self.lives.of(&catalog.resolve(&option.build)?)?);
            let reaches = self.scale.meets(false, &head.found(), self.exposure.required_years);
            let price = |option: &RankedOption| option.cost.purchase_per_thousand;
            if reaches && best.as_ref().is_none_or(|(known, _)| price(option) < price(known)) {
                best = Some((option, head));
            }
        }
        Ok(best.map(|(option, head)| {
            let build = BuildWords::of(&option.build, catalog).in_units(Units::of(self.brief())).line();
            format!(
                "thread sealed in the joint: there the coated head counts alone, and {build}{} reaches the target ({}, median {}); \
                 elsewhere its thread fails after {} (median)",
                verdict::HEAD_ONLY,
                percent_in_words(head.probability_ok),
                head.in_words(head.median_years),
                option.outlook.in_words(option.outlook.median_years)
            )
        }))
    }

    fn option_lasting(
        &self,
        build: Build,
        outlook: impl FnOnce(&ResolvedBuild) -> Result<Arc<Outlook>>,
    ) -> Result<RankedOption> {
        let Self { inquiry, exposure, lot, scale, lines, .. } = self;
        let catalog = inquiry.catalog();
        let resolved = catalog.resolve(&build)?;
        let outlook = outlook(&resolved)?;
        let ResolvedBuild { metal, treatment, films } = &resolved;
        let case = Case { inquiry, exposure, build: &build, metal, treatment, films };
        let mut findings = findings(&case)?;
        let bought = purchase(lot, &resolved, &findings, catalog, lines);
        check_limit(inquiry.brief(), &bought, catalog)?;
        let fixed_desirabilities = fixed_desirabilities(&case)?;
        let mut blocked = findings.iter().any(|finding| finding.kind == FindingKind::Blocks);
        let fixed = Fixed::new(fixed_desirabilities, scale, bought.per_thousand, blocked);
        let found = outlook.found();
        let scored = scale.scored_one(&fixed, &found, exposure.required_years);
        let cost = bought.replaced(scored.replacements, scored.cost, catalog);
        let of_checks = findings.len();
        if let Some(limit) = case.brief().wants.cost_limit_per_thousand
            && scored.beyond_limit
        {
            blocked = true;
            let message = format!(
                "The cost is {} over the required years; the limit is {}.",
                cost.in_words(),
                amount(limit)
            );
            let source = catalog.source(&catalog.content().prices.blank_per_kg.source);
            findings.push(
                finding(FindingKind::Blocks, COST_LIMIT, message, source)
                    .remedy("Raise the limit, or require fewer years."),
            );
        }
        if found.is_beyond_evidence(exposure.required_years) {
            let message = format!(
                "{} years are required, and the longest life observed of such a finish is {:.0} years{}",
                exposure.required_years,
                outlook.horizon_years,
                if found.probability_ok < UNLIKELY { "" } else { ": no probability can be stated" }
            );
            // what fails long before is renewed by its own median
            let within = if found.median_years < outlook.horizon_years {
                format!("its median life, {}", outlook.in_words(found.median_years))
            } else {
                "that time".to_owned()
            };
            findings.push(
                finding(FindingKind::Warns, BEYOND_EVIDENCE, message, outlook.horizon_source.clone())
                    .remedy(format!("Plan to inspect and renew the finish within {within}.")),
            );
        }
        if exposure.heat_continuous_c > AMBIENT_C && self.brief().duty.cold_share.is_none() {
            let message = format!(
                "The years give no credit for dryness at {} °C: for how much of the year the part is cold is not given",
                (10.0 * exposure.heat_continuous_c).round() / 10.0
            );
            findings.push(
                finding(FindingKind::Notes, "outlook.dry_in_heat", message, COLD_SHARE)
                    .remedy("Enter `duty.cold_share`, the share of the year in which the part is cold."),
            );
        }
        if findings.len() > of_checks {
            inquiry.share(&mut findings);
            findings.sort_by_key(|finding| finding.kind);
        }
        if matches!(inquiry.thread().map(PartThread::thread), Some(Thread::Inch(_))) {
            inquiry.use_customary_units(&mut findings);
        }
        let score = score(&scored, fixed_desirabilities, outlook.confidence, scale);
        let mut name = [metal.name.as_str(), ", ", treatment.name.as_str(), ", "].concat();
        match films.as_slice() {
            [] => name.push_str("no film"),
            [(_, innermost), above @ ..] => {
                name.push_str(&innermost.name);
                for (_, film) in above {
                    name.push_str(" + ");
                    name.push_str(&film.name);
                }
            }
        }
        if is_head_only(&case) {
            name.push_str(verdict::HEAD_ONLY);
        }
        name.shrink_to_fit();
        Ok(RankedOption {
            name,
            blocked,
            met: scale.meets(blocked, &found, exposure.required_years),
            beyond_evidence: found.is_beyond_evidence(exposure.required_years)
                && found.probability_ok >= UNLIKELY,
            trade_default: false,
            outside_blackening: treatment.outside_blackening,
            on_pareto_front: false,
            rank: None,
            score,
            findings,
            outlook,
            cost,
            build,
        })
    }
}

/// In the one [`order`], with their ranks.
fn sorted(options: Vec<RankedOption>, catalog: &Catalog) -> Result<Vec<RankedOption>> {
    // an option is large: places are sorted, then each option moves once
    let mut by_name: Vec<(usize, &RankedOption)> = options.iter().enumerate().collect();
    by_name.sort_by(|(_, a), (_, b)| a.build.cmp(&b.build));
    let standings = by_name.iter().map(|(_, option)| option.standing(catalog)).collect::<Result<Vec<_>>>()?;
    let by_name: Vec<usize> = by_name.into_iter().map(|(place, _)| place).collect();
    let mut options: Vec<Option<RankedOption>> = options.into_iter().map(Some).collect();
    let ranked = order(&standings).into_iter();
    let moved = ranked.filter_map(|(place, rank)| {
        let place = *by_name.get(place)?;
        Some(RankedOption { rank, ..options.get_mut(place)?.take()? })
    });
    Ok(moved.collect())
}

fn mark_front(options: &mut [RankedOption]) {
    let points: Vec<(f64, f64)> = options
        .iter()
        .filter(|o| !o.blocked)
        .map(|o| (o.cost.per_thousand, o.outlook.probability_ok))
        .collect();
    for (option, on_front) in options.iter_mut().filter(|o| !o.blocked).zip(pareto::front(&points)) {
        option.on_pareto_front = on_front;
    }
}

fn stability(options: &[RankedOption], brief: &Brief, target: f64) -> Option<f64> {
    let contestants: Vec<Contestant> = options
        .iter()
        .filter(|o| !o.blocked)
        .map(|o| {
            let mut desirabilities = [1.0; 6];
            for (slot, share) in desirabilities.iter_mut().zip(&o.score.shares) {
                *slot = share.desirability;
            }
            Contestant { desirabilities, ln_years: o.outlook.ln_years, never_fails: o.outlook.never_fails }
        })
        .collect();
    let weights = brief.wants.weights.clone().unwrap_or_default().normalised();
    (!contestants.is_empty())
        .then(|| first_place_holds(&contestants, weights, brief.duty.required_years, target))
}

fn explain(
    brief: &Brief,
    exposure: &Exposure,
    catalog: &Catalog,
    options: Vec<RankedOption>,
    references: Vec<RankedOption>,
    assumed: Vec<String>,
    target: f64,
) -> Ranking {
    // a metal that the heat harms for good is no way out
    let (references, harmed): (Vec<_>, Vec<_>) =
        references.into_iter().partition(|option| harmed_by_heat(option).is_none());
    let best = options.first().filter(|option| !option.blocked);
    let air = &exposure.atmosphere;
    let reaching = || options.iter().filter(|option| option.met);
    let least = reaching().map(|option| option.cost.per_thousand).fold(f64::INFINITY, f64::min);
    let cheapest = reaching().find(|option| option.cost.per_thousand <= least * (1.0 + SAME_COST));
    let shared = options.get(1).is_some_and(|second| second.rank == Some(1));
    let stability = if shared { None } else { stability(&options, brief, target) };
    let waiting = waiting_for_tempering(&options, brief, catalog, target);
    let weakest_link = best.and_then(|b| weakest_link(&b.outlook, |factor| factor_words(factor, catalog)));
    let shown: Vec<&RankedOption> = options.iter().chain(&references).collect();
    let sources = sources_of(&shown, brief, exposure, catalog);
    let mut ranking = Ranking {
        schema: RANKING_SCHEMA.to_owned(),
        version: env!("CARGO_PKG_VERSION").to_owned(),
        met: best.is_some_and(|b| b.met),
        stability,
        cheapest_met: cheapest.map(|option| option.build.clone()),
        brief: brief.clone(),
        verdict: String::new(),
        atmosphere: AtmosphereSummary {
            first_year_steel_loss_um: air.first_year_steel_loss_um,
            log_sd: air.log_sd,
            measured_over_computed: air.measured_over_computed,
            determination: air.determination,
            category: air.category,
            chloride_mg_m2_day: exposure.chloride_mg_m2_day,
            extrapolated: !air.extrapolations.is_empty(),
        },
        assumed,
        remarks: exposure
            .remarks
            .iter()
            .cloned()
            .chain(waiting)
            .chain(not_judged(brief))
            .chain(not_for_the_heat(&harmed))
            .chain(uncounted_zinc(brief, &options))
            .chain(uncompared_paint(&options, catalog))
            .chain(only_named_builds(brief, &options))
            .chain(untried_films(brief, &options, catalog))
            .chain(without_price(best.into_iter().chain(cheapest), catalog))
            .chain(own_records(&shown, catalog))
            .collect(),
        options,
        references,
        weakest_link,
        catalog: catalog.name().to_owned(),
        overrides: catalog.overrides().to_vec(),
        cautions: CAUTIONS.map(str::to_owned).to_vec(),
        sources,
    };
    ranking.verdict = verdict::in_words(&ranking, catalog);
    ranking
}

/// What the heat of the duty does to the metal of an option for good, or by what it cracks there.
fn harmed_by_heat(option: &RankedOption) -> Option<&Finding> {
    option.findings.iter().find(|finding| ["heat.metal", "heat.chloride_cracking"].contains(&&*finding.rule))
}

/// Metals that are not offered as a way out, since the heat harms them.
fn not_for_the_heat(harmed: &[RankedOption]) -> Option<String> {
    let (first, _) = harmed.split_first()?;
    let message = harmed_by_heat(first)?.message.trim_end_matches('.');
    Some(format!("not offered in another metal for this part: {message}"))
}

/// What marks the line on options that only a guessed tempering rules out.
const WAITS_FOR_TEMPERING: &str = " for `part.tempering_temperature_c`, which is a guess here";

impl Ranking {
    /// The remark on options that only a guessed tempering rules out.
    pub(crate) fn waits(&self) -> Option<&str> {
        self.remarks.iter().find(|remark| remark.contains(WAITS_FOR_TEMPERING)).map(String::as_str)
    }
}

/// Tempering from which an option is not said to wait for it, °C: steel tempered hotter loses the classes above 8.8
/// (assumption).
const TOO_SOFT_C: f64 = 500.0;

/// How many options only a guessed tempering rules out, and from which tempering on the cheapest of them that reaches the
/// target is usable, else the likeliest; none where all of them fall short of what is usable now. Of the first base metal
/// alone, for which the field counts, with a tempering that leaves steel hard and a chance to last.
fn waiting_for_tempering(
    options: &[RankedOption],
    brief: &Brief,
    catalog: &Catalog,
    target: f64,
) -> Option<String> {
    let own = first_base_metal(&brief.part, catalog)?;
    let chance = |option: &RankedOption| option.outlook.probability_ok;
    let serving_c = |option: &RankedOption| {
        let resolved = catalog.resolve(&option.build).ok()?;
        Some(serving_tempering_c(&resolved, &option.findings, &brief.duty))
    };
    let waits = |option: &&RankedOption| {
        option.build.base_metal == own
            && chance(option) >= UNLIKELY
            && !option.cost.fails_at_once()
            && waits_for_tempering(&option.findings)
            && serving_c(option).is_some_and(|least_c| least_c < TOO_SOFT_C)
    };
    let waiting = || options.iter().filter(waits);
    let cheapest = waiting()
        .filter(|option| chance(option) >= target)
        .min_by(|a, b| a.cost.per_thousand.total_cmp(&b.cost.per_thousand));
    let best = cheapest.or_else(|| waiting().max_by(|a, b| chance(a).total_cmp(&chance(b))))?;
    let usable = options.first().filter(|option| !option.blocked);
    if chance(best) < target && usable.is_some_and(|usable| chance(usable) >= chance(best)) {
        return None;
    }
    let least_c = serving_c(best)?;
    let count = waiting().count();
    let (options, wait) = if count == 1 { ("option", "waits") } else { ("options", "wait") };
    let build = BuildWords::of(&best.build, catalog).in_units(Units::of(brief)).line();
    Some(format!(
        "{count} {options} {wait}{WAITS_FOR_TEMPERING}; with {least_c:.0} °C or more: {build}: {}{}",
        verdict::short_figures(best, target),
        verdict::with_what(best, usable)
    ))
}

/// Where the spread of an outlook comes from: the finish with its largest factor, and the site.
pub(crate) fn spread_in_words(outlook: &Outlook, in_words: impl Fn(&str) -> String) -> Option<String> {
    let of_the_site = |v: &&VarianceShare| v.factor == ATMOSPHERE;
    let site = outlook.variance_shares.iter().find(of_the_site).map_or(0.0, |v| v.share);
    let finish = outlook.variance_shares.iter().filter(|v| !of_the_site(v));
    let largest = finish.max_by(|a, b| a.share.total_cmp(&b.share))?;
    let main = format!("mainly {} ({})", in_words(&largest.factor), largest.source.firmness.words());
    let [site_words, finish_words] = [site, 1.0 - site].map(percent_in_words);
    Some(if site > 0.5 {
        format!("{site_words} is from the site: measure it first. {finish_words} is from the finish, {main}.")
    } else if site < 0.005 {
        format!("Nearly all is from the finish, {main}.")
    } else {
        format!("{finish_words} is from the finish, {main}; {site_words} is from the site.")
    })
}

/// The same in one line: "57% site; 43% finish: field life of black polyester powder coat".
#[cfg(feature = "report")]
pub(crate) fn spread_in_short(outlook: &Outlook, in_words: impl Fn(&str) -> String) -> Option<String> {
    let of_the_site = |v: &&VarianceShare| v.factor == ATMOSPHERE;
    let site = outlook.variance_shares.iter().find(of_the_site).map_or(0.0, |v| v.share);
    let finish = outlook.variance_shares.iter().filter(|v| !of_the_site(v));
    let largest = finish.max_by(|a, b| a.share.total_cmp(&b.share))?;
    let [site_words, finish_words] = [site, 1.0 - site].map(crate::rank::words::percent);
    let from = if site < 0.005 { String::new() } else { format!("{site_words} site; ") };
    Some(format!("{from}{finish_words} finish: {}", in_words(&largest.factor)))
}

/// Where the spread comes from, and the least supported number of the finish: what the layers withstand and how they age, or
/// the salt that a stainless grade withstands.
fn weakest_link(outlook: &Outlook, in_words: impl Fn(&str) -> String) -> Option<String> {
    let weakest = outlook
        .variance_shares
        .iter()
        .filter(|v| v.factor != ATMOSPHERE)
        .max_by(|a, b| a.source.firmness.cmp(&b.source.firmness).then(a.share.total_cmp(&b.share)))?;
    let spread = spread_in_words(outlook, &in_words)?;
    Some(format!(
        "Spread of the years: {spread} Least supported: {} ({}).",
        in_words(&weakest.factor),
        weakest.source
    ))
}

/// The rule that required years beyond all evidence break.
const BEYOND_EVIDENCE: &str = "outlook.horizon";

/// Share by which costs are one: of options as cheap as each other the order decides (assumption: no price is known so
/// well).
const SAME_COST: f64 = 1e-3;

/// That a catalog in a currency leaves lines of the costs that the verdict names at relative prices; none where it has
/// them all.
fn without_price<'a>(options: impl Iterator<Item = &'a RankedOption>, catalog: &Catalog) -> Option<String> {
    let mut items: Vec<&str> = Vec::new();
    for item in options.flat_map(|option| option.cost.items_without_price()) {
        if !items.contains(&item) {
            items.push(item);
        }
    }
    let (first, others) = items.split_first()?;
    let more = if others.is_empty() { String::new() } else { format!(" and {} more", others.len()) };
    Some(format!(
        "prices: the catalog is in {}, but these lines of costs have relative prices: {first}{more}; their totals are in \
         no currency, so enter their prices in the catalog",
        catalog.content().prices.currency
    ))
}

/// Numbers that come from records of the user's own, each with what it is based on: one panel is not twenty.
fn own_records(options: &[&RankedOption], catalog: &Catalog) -> Vec<String> {
    let mut said: Vec<String> = Vec::new();
    for option in options {
        let shares = option.outlook.variance_shares.iter();
        for share in shares.filter(|share| share.source.firmness == Firmness::OwnRecords) {
            let citation = share.source.citation.as_ref();
            let records = citation.strip_prefix("own records: ").unwrap_or(citation);
            let line = format!("{} is from own records: {records}", factor_words(&share.factor, catalog));
            if !said.contains(&line) {
                said.push(line);
            }
        }
    }
    said
}

/// That present zinc which stays lasts by itself: a film over it is ranked as if it did not.
fn uncounted_zinc(brief: &Brief, options: &[RankedOption]) -> Option<String> {
    let stays = spares_zinc(brief)
        && options.iter().flat_map(|option| &option.findings).any(|f| f.rule == "preparation.zinc_stays");
    let present = brief.part.present_finish.words();
    stays.then(|| {
        format!(
            "the present {present}: its own years are not counted where it stays. They are about its thickness over the yearly \
             loss of zinc (ISO 14713-1), decades for 60 µm and more in town. Options that keep it last longer than stated: \
             weigh them before any that strips it"
        )
    })
}

/// That paint on aluminum, the usual other way, is not compared: no hours of a film over it are known.
fn uncompared_paint(options: &[RankedOption], catalog: &Catalog) -> Option<String> {
    let (none, _) = catalog.content().treatments.iter().find(|(_, treatment)| treatment.is_none())?;
    let refused = options.iter().any(|option| {
        option.build.treatment == *none
            && !option.build.films.is_empty()
            && option.findings.iter().any(|finding| finding.rule == "substrate.class")
            && catalog.resolve(&option.build).is_ok_and(|build| build.metal.family == Family::Aluminium)
    });
    refused.then(|| {
        "aluminum: powder, e-coat or paint over a conversion coating without chromium is the other usual way and is not \
         compared, since no hours of these coats over aluminum are known; ask a coater, above all for castings, which \
         anodize to a patchy gray"
            .to_owned()
    })
}

/// That only the builds named were compared, where none of them reaches the target.
fn only_named_builds(brief: &Brief, options: &[RankedOption]) -> Option<String> {
    let named = brief.wants.builds.is_some() && !options.iter().any(|option| option.met);
    named.then(|| {
        "only the builds that the brief names are compared, and none reaches the target: name none to compare all, zinc \
         flake, platings and phosphate included"
            .to_owned()
    })
}

/// Films that a user's catalog brings and no build tries.
fn untried_films(brief: &Brief, options: &[RankedOption], catalog: &Catalog) -> Option<String> {
    let built_in = &Catalog::built_in().content().films;
    let own = catalog.content().films.keys().filter(|name| !built_in.contains_key(*name));
    let tried = |name: &str| options.iter().any(|option| option.build.films.iter().any(|film| film == name));
    let untried: Vec<&str> = own.map(String::as_str).filter(|name| !tried(name)).collect();
    (brief.wants.builds.is_none() && !untried.is_empty()).then(|| {
        format!(
            "in no build, since no stack of the catalog has them, are the films {}: name them in `wants.builds`, or add a \
             stack",
            untried.join(", ")
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn probabilities_are_never_a_flat_nothing_or_everything() {
        for (probability, words) in [
            (0.0, "under 1%"),
            (1e-9, "under 1%"),
            (0.0099, "under 1%"),
            (0.01, "1%"),
            (0.5, "50%"),
            (0.99, "99%"),
            (0.9949, "99%"),
            (0.995, "over 99%"),
            (0.9951, "over 99%"),
            (1.0, "over 99%"),
        ] {
            assert_eq!(percent_in_words(probability), words);
        }
    }

    /// The atmosphere is named where it accounts for more than half; the weakest input of the finish is named, and of
    /// two equally supported ones that with the larger share.
    #[test]
    fn the_weakest_link_weighs_the_air_against_the_finish() {
        use crate::evidence::Firmness;
        use crate::life::{Basis, LogCubic, UncertainFactor};
        let guess = || Source::assumption("a guess");
        let link = |shares: &[(&'static str, f64, Source)]| {
            let shares = shares.iter().map(|(factor, share, source)| VarianceShare {
                share: *share,
                of: Arc::new(UncertainFactor {
                    factor: (*factor).into(),
                    log_sd: 0.5,
                    source: source.clone(),
                }),
            });
            let outlook = Outlook {
                median_years: 5.0,
                p10_years: 2.0,
                p90_years: 12.0,
                log_sd: 0.7,
                probability_ok: 0.5,
                never_fails: 0.0,
                horizon_years: 30.0,
                horizon_source: guess(),
                ln_years: LogCubic::default(),
                confidence: 0.5,
                variance_shares: shares.collect(),
                lost_layers: Vec::new(),
                basis: Basis::DoseAndAge,
                weakest: Firmness::Assumption,
            };
            weakest_link(&outlook, str::to_owned)
        };
        let (firm, guess) = (Source::standard("a standard"), guess());
        let finish = |of_wax: f64, of_oil: f64| {
            [
                ("hours of wax", of_wax, guess.clone()),
                ("hours of oil", of_oil, guess.clone()),
                (ATMOSPHERE, 1.0 - of_wax - of_oil, firm.clone()),
            ]
        };
        let site_first =
            "Spread of the years: 65% is from the site: measure it first. 35% is from the finish, mainly ";
        for (shares, starts, factor, site) in [
            (finish(0.25, 0.1), site_first, "hours of wax", "."),
            (finish(0.1, 0.25), site_first, "hours of oil", "."),
            (
                finish(0.25, 0.25),
                "Spread of the years: 50% is from the finish, mainly ",
                "hours of oil",
                "; 50% is from the site.",
            ),
            (
                finish(0.5, 0.25),
                "Spread of the years: 75% is from the finish, mainly ",
                "hours of wax",
                "; 25% is from the site.",
            ),
        ] {
            let said = link(&shares).unwrap();
            let expected = format!(
                "{starts}{factor} (assumption){site} Least supported: {factor} (a guess (assumption))."
            );
            assert_eq!(said, expected);
        }
        assert_eq!(link(&[(ATMOSPHERE, 1.0, firm)]), None);
    }
}
