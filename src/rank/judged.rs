//! What of an answer no atmosphere moves: each build judged, bought and laid out in layers once for all rows of a
//! table that differ in their atmosphere or their required years alone.

use std::sync::{Arc, Mutex, PoisonError};

use crate::Result;
use crate::brief::{Brief, Exposure};
use crate::catalog::Catalog;
use crate::check::{Case, Inquiry, LookedAt, blocking_rules, counted, findings};
use crate::finish::Build;
use crate::life::{Found, Life, Lives, Site, found_of, site_of};
use crate::rank::order::Burden;
use crate::rank::ranking::reference_cost;
use crate::rank::score::{Fixed, ScoreScale, Scored, fixed_desirabilities};
use crate::rank::{CostLines, Lot, check_limit, purchase};

/// Sets of judged builds that are kept, the ones used last (assumption): a table goes through few at a time.
const MOST_KEPT: usize = 16;

/// The builds of a brief, judged in all exposures that are alike but for the atmosphere and the required years.
#[derive(Debug)]
pub(crate) struct JudgedBuilds {
    /// The brief without what its exposure says.
    asked: Brief,
    looked_at: LookedAt,
    rain_washed: bool,
    builds: Vec<Build>,
    scale: ScoreScale,
    judged: Vec<JudgedBuild>,
}

/// A build judged.
#[derive(Debug)]
struct JudgedBuild {
    blocked_by: Vec<String>,
    burden: Burden,
    fixed: Fixed,
    life: Life,
}

/// What a ranking says of a build at a place, in numbers.
#[derive(Debug)]
pub(crate) struct Answer {
    pub(crate) found: Found,
    pub(crate) scored: Scored,
    pub(crate) blocked_by: String,
    pub(crate) burden: Burden,
    pub(crate) met: bool,
    pub(crate) beyond_evidence: bool,
}

/// Judged builds, found again where a brief and its exposure are alike.
#[derive(Debug, Default)]
pub(crate) struct Judgements(Mutex<Vec<Arc<JudgedBuilds>>>);

impl Judgements {
    /// The builds of a brief, judged.
    ///
    /// # Errors
    /// Those of a ranking.
    pub(crate) fn of(
        &self,
        brief: &Brief,
        exposure: &Exposure,
        lot: &Lot,
        builds: &[Build],
        catalog: &Catalog,
    ) -> Result<Arc<JudgedBuilds>> {
        let asked = without_exposure(brief);
        let looked_at = LookedAt::of(exposure);
        let known = |judged: &JudgedBuilds| {
            judged.looked_at == looked_at
                && judged.rain_washed == exposure.rain_washed
                && judged.asked == asked
                && judged.builds == builds
        };
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(place) = kept.iter().position(|judged| known(judged)) {
            // the one used last stands first
            if let Some(used) = kept.get_mut(..=place) {
                used.rotate_right(1);
            }
            if let Some(found) = kept.first() {
                return Ok(Arc::clone(found));
            }
        }
        drop(kept);
        let judged = Arc::new(JudgedBuilds::of(brief, asked, exposure, lot, builds, catalog)?);
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        kept.insert(0, Arc::clone(&judged));
        kept.truncate(MOST_KEPT);
        Ok(judged)
    }
}

/// The brief without what an exposure says: the way to the atmosphere, shelter, rain, sun, hands, heat and the required
/// years.
fn without_exposure(brief: &Brief) -> Brief {
    let mut rest = brief.clone();
    let duty = &mut rest.duty;
    duty.place = None;
    duty.first_year_steel_loss_um = None;
    duty.corrosivity = None;
    (duty.temperature_c, duty.relative_humidity_pct) = (None, None);
    (duty.so2_mg_m2_day, duty.chloride_mg_m2_day) = (None, None);
    (duty.sea_distance_m, duty.road_salt) = (None, None);
    (duty.shelter, duty.rain_washed, duty.sunlight, duty.handling) = (None, None, None, None);
    (duty.heat_continuous_c, duty.heat_peak_c, duty.cold_share) = (None, None, None);
    duty.required_years = 1.0;
    rest
}

impl JudgedBuilds {
    fn of(
        brief: &Brief,
        asked: Brief,
        exposure: &Exposure,
        lot: &Lot,
        builds: &[Build],
        catalog: &Catalog,
    ) -> Result<Self> {
        let scale = ScoreScale::of(brief, reference_cost(brief, lot, catalog)?, &catalog.content().prices);
        let inquiry = Inquiry::of(brief, catalog)?;
        let mut judged = Vec::with_capacity(builds.len());
        let (cost_lines, lives) = (CostLines::default(), Lives::new(exposure, &brief.part, catalog));
        for build in builds {
            let resolved = catalog.resolve(build)?;
            let life = lives.of(&counted(&brief.part, inquiry.thread_or_usual(), &resolved, catalog)?)?;
            let case = Case {
                inquiry: &inquiry,
                exposure,
                build,
                metal: resolved.metal,
                treatment: resolved.treatment,
                films: &resolved.films,
            };
            let findings = findings(&case)?;
            let bought = purchase(lot, &resolved, &findings, catalog, &cost_lines);
            check_limit(inquiry.brief(), &bought, catalog)?;
            let blocked_by: Vec<String> = blocking_rules(&findings).into_iter().map(str::to_owned).collect();
            let fixed =
                Fixed::new(fixed_desirabilities(&case)?, &scale, bought.per_thousand, !blocked_by.is_empty());
            let burden = Burden::of(resolved.treatment, &findings);
            judged.push(JudgedBuild { blocked_by, burden, fixed, life });
        }
        let (looked_at, rain_washed) = (LookedAt::of(exposure), exposure.rain_washed);
        Ok(Self { asked, looked_at, rain_washed, builds: builds.to_vec(), scale, judged })
    }

    /// What a ranking says of each build in an exposure that is alike.
    pub(crate) fn answers(&self, exposure: &Exposure) -> impl Iterator<Item = Answer> {
        let inputs = site_of(exposure);
        let site = Site::of(&inputs);
        let required_years = exposure.required_years;
        self.judged.iter().map(move |judged| {
            let JudgedBuild { blocked_by, burden, fixed, life } = judged;
            let mut life = life.clone();
            life.move_to(exposure);
            let found = found_of(&life, &inputs, &site, required_years);
            let scored = self.scale.scored_one(fixed, &found, required_years);
            let mut blocked_by = blocked_by.join(", ");
            if scored.beyond_limit {
                blocked_by.push_str(if blocked_by.is_empty() { "" } else { ", " });
                blocked_by.push_str(COST_LIMIT);
            }
            let met = self.scale.meets(!blocked_by.is_empty(), &found, required_years);
            let beyond_evidence = found.is_beyond_evidence(required_years);
            Answer { found, scored, blocked_by, burden: *burden, met, beyond_evidence }
        })
    }
}

/// The rule that blocks what costs more than the brief allows.
pub(crate) const COST_LIMIT: &str = "cost.limit";

#[cfg(test)]
mod tests {
    use super::*;
    use crate::atmosphere::Shelter;

    /// Rule, gravity and step of every finding are the same in exposures that look alike, whatever salt and atmosphere
    /// do to the words.
    #[test]
    fn exposures_that_look_alike_have_the_same_findings() {
        let catalog = Catalog::built_in();
        let mut seen: Vec<(LookedAt, Vec<String>)> = Vec::new();
        let mut met_again = 0;
        for &shelter in Shelter::ALL {
            for chloride in [0.5, 3.0, 10.0, 30.0, 59.0, 61.0, 299.0, 301.0, 2000.0] {
                for temperature in [-5.0, 9.0, 24.0] {
                    let text = format!(
                        r#"{{"schema": "overcoat.brief.v1", "name": "x",
                            "part": {{"form": "hexagon_head_screw", "thread": "M8", "length_mm": 30}},
                            "duty": {{"temperature_c": {temperature}, "relative_humidity_pct": 80, "so2_mg_m2_day": 9,
                                "chloride_mg_m2_day": {chloride}, "shelter": "{shelter}", "required_years": 5,
                                "mating_metals": ["stainless_304"]}},
                            "wants": {{"other_base_metals": ["weathering_steel", "stainless_316"]}}}}"#
                    );
                    let brief = Brief::from_json(&text).unwrap();
                    let exposure = Exposure::of(&brief, catalog).unwrap();
                    let options = crate::rank::rank(&brief, catalog).unwrap().options;
                    let mut found: Vec<String> = options
                        .iter()
                        .flat_map(|o| {
                            let of_rules = o.findings.iter().filter(|f| !f.rule.starts_with("outlook."));
                            of_rules.map(move |f| format!("{} {} {:?} {:?}", o.build, f.rule, f.kind, f.step))
                        })
                        .collect();
                    found.sort();
                    let looked_at = LookedAt::of(&exposure);
                    match seen.iter().find(|(known, _)| *known == looked_at) {
                        Some((_, known)) => {
                            met_again += 1;
                            assert_eq!(known, &found, "{shelter} {chloride} {temperature}");
                        }
                        None => seen.push((looked_at, found)),
                    }
                }
            }
        }
        assert!(met_again > 50 && seen.len() > 5, "{met_again} {}", seen.len());
    }
}
