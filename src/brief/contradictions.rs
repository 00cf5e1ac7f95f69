//! What cannot be true at once in one brief: rejected with the field, what it goes with and the remedy.
//!
//! The widths below are ours and marked as assumptions: they stand well outside what parts and places are, so that
//! only a slip (a unit, a wrong row, two fields that speak of different parts) lies beyond them.

use std::borrow::Cow;
use std::f64::consts::{FRAC_PI_4, PI};

use crate::Result;
use crate::atmosphere::Shelter;
use crate::atmosphere::{
    Atmosphere, DoseInputs, StandardMetal, category_loss_range, sea_chloride_mg_m2_day, steel_loss_bias,
};
use crate::brief::{AMBIENT_C, Brief, Condition, Duty, Failure, Form, Part, PresentFinish, Sunlight};
use crate::catalog::{Catalog, Place, left_out, plain, stainless_class};
use crate::error::invalid;
use crate::fastener::{STEEL_DENSITY_G_CM3, Thread, Tolerance};
use crate::metal::{BaseMetal, Family, InchGrade, PropertyClass};

/// Times that a measured loss may be what the four inputs give, or the reverse (assumption): of 95 measured sites the
/// widest kind has an ln SD of 0.54 about the function with its bias taken out, so that this is 3.3 of them. A loss in
/// g/m² taken for µm is 7.86 times too large.
const LOSS_AND_INPUTS: f64 = 6.0;
/// The same where it is worth a remark (assumption): two of the widest standard deviations.
const LOSS_AND_INPUTS_REMARK: f64 = 3.0;
/// Shortest screw for its diameter (assumption): the shortest set screws of the product standards are 0.6 diameters
/// long.
const SHORTEST_BY_DIAMETER: f64 = 0.4;
/// Half the thickness of the thinnest sheet that a part is taken to be made of, mm (assumption): strip is blackened
/// from about 0.1 mm up.
const HALF_OF_THINNEST_MM: f64 = 0.03;
/// Share of the surface of a sphere of the same mass that a part has at least (assumption): a sphere has the least
/// surface of all bodies, and mass, surface and density are each good to some percent.
const LEAST_OF_SPHERE: f64 = 0.8;

/// Tempering from which steel is mostly softer than classes 10.9 and 12.9, °C (assumption: they are tempered at 340 to
/// about 500 °C).
const SOFT_FOR_ITS_CLASS_C: f64 = 550.0;

/// Spreads by which the chloride of a described place at the sea is above what falls so far from it where the two
/// contradict each other (assumption): one station in forty.
const PLACE_AND_SEA_SPREADS: f64 = 2.0;

/// First-year loss of steel below which none was measured outdoors, µm (assumption: C1 ends at 1.3 µm, and the driest and
/// coldest stations have some tenths).
const LEAST_OUTDOORS_UM: f64 = 0.1;
/// How the remark on it begins.
pub(crate) const TINY_LOSS: &str = "the first-year loss of ";

/// Times that a loss given may be that of the place described, or the reverse (assumption: two spreads of a described place).
const PLACE_AND_LOSS: f64 = 6.0;

/// A field as a reader calls it: "mating metals" for `duty.mating_metals[0]`.
fn in_words(field: &str) -> String {
    let name = field.rsplit('.').next().unwrap_or(field);
    name.split('[').next().unwrap_or(name).replace('_', " ")
}

/// The name of the metal that a word of a field stands for.
fn metal_key<'a>(catalog: &'a Catalog, field: &str, word: &str) -> Result<Option<&'a str>> {
    if field.starts_with("duty.mating_metals") {
        catalog.mating_metal_key(field, word)
    } else {
        catalog.base_metal_key(field, word)
    }
}

/// The words of a text, without the marks around them.
fn words_in(text: &str) -> Vec<&str> {
    let marks = |c: char| c.is_whitespace() || matches!(c, ',' | ';' | ':' | '(' | ')' | '!' | '?' | '"');
    text.split(marks).map(|word| word.trim_end_matches('.')).filter(|word| !word.is_empty()).collect()
}

/// The first temperature that a text names: "300C", "150-200 °C", "285 deg F".
pub(crate) fn temperature_named(text: &str) -> Option<String> {
    let words = words_in(text);
    let is_degrees = |unit: &str| {
        let unit = unit.to_lowercase();
        let names = ["", "c", "f", "celsius", "fahrenheit"];
        matches!(unit.as_str(), "deg" | "degc" | "degf" | "degree" | "degrees" | "℃" | "℉" | "c" | "f")
            || unit.strip_prefix('°').is_some_and(|name| names.contains(&name))
    };
    words.iter().zip(words.iter().skip(1).chain([&""])).find_map(|(word, next)| {
        let end = word.rfind(|c: char| c.is_ascii_digit())? + 1;
        let (number, unit) = word.split_at_checked(end)?;
        let number = number.trim_start_matches(['-', '−', '+', '~', '<', '>']);
        let is_number = number.split(['-', '–', '/']).all(|number| number.parse::<f64>().is_ok());
        match unit {
            _ if !is_number => None,
            "" => is_degrees(next).then(|| format!("{word} {next}")),
            _ => is_degrees(unit).then(|| (*word).to_owned()),
        }
    })
}

/// What the remarks of a brief name and no field holds.
#[derive(Debug, Default, PartialEq)]
pub(crate) struct Unheld {
    /// A temperature, where the brief states no heat.
    pub(crate) temperature: Option<String>,
    /// A metal that is not that of the part, where the brief states none in contact.
    pub(crate) metal: Option<String>,
}

impl Brief {
    /// Checks the whole brief: every field ([`check`](Self::check)), and what needs the catalog's places and metals.
    /// Every answer begins with it, so that all reject the same.
    ///
    /// # Errors
    /// A value out of range; fields that contradict each other.
    ///
    /// ```
    /// use overcoat::{brief::Brief, catalog::Catalog};
    /// let brief = Brief::from_json(r#"{"schema": "overcoat.brief.v1", "name": "x", "part": {},
    ///     "duty": {"place": "indoor_heated", "sunlight": "full", "required_years": 5}}"#)?;
    /// assert_eq!(brief.check_in(Catalog::built_in()).unwrap_err().field(), "duty.sunlight");
    /// # Ok::<(), overcoat::Error>(())
    /// ```
    pub fn check_in(&self, catalog: &Catalog) -> Result<()> {
        self.in_names_of(catalog)?.check_whole(catalog)
    }

    /// The brief with everyday words for metals ("8.8", "A4", "1.4401") replaced by their names in the catalog, checked
    /// whole.
    ///
    /// # Errors
    /// Those of [`check_in`](Self::check_in); a word that stands for several metals, with their names.
    ///
    /// ```
    /// use overcoat::{brief::Brief, catalog::Catalog};
    /// let brief = Brief::from_json(r#"{"schema": "overcoat.brief.v1", "name": "x", "part": {"base_metal": "8.8"},
    ///     "duty": {"place": "rural", "required_years": 5}}"#)?;
    /// let checked = brief.checked_in(Catalog::built_in())?;
    /// assert_eq!(checked.part.base_metal.as_deref(), Some("steel_8_8"));
    /// # Ok::<(), overcoat::Error>(())
    /// ```
    pub fn checked_in(&self, catalog: &Catalog) -> Result<Cow<'_, Self>> {
        let named = self.in_names_of(catalog)?;
        named.check_whole(catalog)?;
        Ok(named)
    }

    /// What everyday words were read as, a line each.
    pub(crate) fn words_read(&self, catalog: &Catalog) -> Vec<String> {
        let mut lines = Vec::new();
        let mut named = self.clone();
        for (field, word) in named.metal_words() {
            if let Ok(Some(key)) = metal_key(catalog, &field, word)
                && key != word
                && InchGrade::named(word).is_none()
            {
                // a plated metal in contact has no separate entry
                let name = catalog
                    .base_metal(key)
                    .map_or_else(|_| key.replace('_', " "), |metal| metal.name.clone());
                if plain(&name) != plain(word) {
                    lines.push(format!("{}: {word:?} is {name}", in_words(&field)));
                }
            }
        }
        if let Some(word) = &self.duty.place
            && let Ok(Some(key)) = catalog.place_key(word)
            && key != word
            && let Ok(place) = catalog.place(key)
        {
            let left_out = left_out(word).map_or(String::new(), |said| format!(": {said}"));
            lines.push(format!("duty.place: {word:?} is {}{left_out}", place.name));
        }
        lines
    }

    /// What grades of inch bolts were read as, a line each.
    pub(crate) fn inch_grades_read(&self, catalog: &Catalog) -> Vec<String> {
        let mut named = self.clone();
        let mut read: Vec<(String, InchGrade)> = Vec::new();
        for (field, word) in named.metal_words() {
            let own = catalog.content().base_metals.contains_key(word.as_str());
            read.extend(InchGrade::named(word).filter(|_| !own).map(|grade| (field, grade)));
        }
        let class = self.part.property_class.as_deref().and_then(InchGrade::named);
        read.extend(class.map(|grade| ("part.property_class".to_owned(), grade)));
        read.into_iter()
            .map(|(field, grade)| match field.as_str() {
                "part.base_metal" | "part.property_class" => grade.read_as(),
                other => format!("{}: {}", in_words(other), grade.read_as()),
            })
            .collect()
    }

    /// Rejects a grade of inch bolts that no property class is near to; set screws have separate classes.
    fn near_to_a_class(&self) -> Result<()> {
        let part = &self.part;
        let asked = part.property_class.as_deref().and_then(|word| Some((word, InchGrade::named(word)?)));
        match asked {
            Some((word, grade)) if grade.class().is_none() && part.form != Some(Form::SetScrew) => {
                Err(invalid(
                    "part.property_class",
                    word,
                    "4.6, 5.8, 8.8, 10.9 or 12.9, or a grade near to one of them",
                    &grade.write_instead(),
                ))
            }
            _ => Ok(()),
        }
    }

    fn in_names_of(&self, catalog: &Catalog) -> Result<Cow<'_, Self>> {
        let mut named = self.clone();
        let mut changed = false;
        self.near_to_a_class()?;
        // what is ordered is the grade, not the metal that it is read as
        let grade = self.part.base_metal.as_ref().filter(|word| {
            let own = catalog.content().base_metals.contains_key(word.as_str());
            !own && is_bolt_or_nut(self.part.form) && InchGrade::named(word).is_some()
        });
        if named.part.property_class.is_none() {
            named.part.property_class = grade.cloned();
        }
        if let Some(word) = &mut named.duty.place
            && let Some(key) = catalog.place_key(word).map_err(|e| e.within("duty"))?
            && key != word
        {
            *word = key.to_owned();
            changed = true;
        }
        let part = &mut named.part;
        let fastener = part.form.is_some_and(|form| form.is_screw() || form.is_nut());
        // "A4-80" is a metal and a strength
        if part.property_class.is_none()
            && fastener
            && let Some(class) = part.base_metal.as_deref().and_then(stainless_class)
        {
            part.property_class = Some(class);
            changed = true;
        }
        for (field, word) in named.metal_words() {
            if let Some(key) = metal_key(catalog, &field, word)?
                && key != word
            {
                key.clone_into(word);
                changed = true;
            }
        }
        Ok(if changed { Cow::Owned(named) } else { Cow::Borrowed(self) })
    }

    /// Each word for a base metal, with its field.
    fn metal_words(&mut self) -> Vec<(String, &mut String)> {
        let Self { part, duty, wants, .. } = self;
        let mut words: Vec<(String, &mut String)> = Vec::new();
        words.extend(part.base_metal.as_mut().map(|word| ("part.base_metal".to_owned(), word)));
        for (list, name) in [
            (&mut part.joined_metals, "part.joined_metals"),
            (&mut duty.mating_metals, "duty.mating_metals"),
            (&mut wants.other_base_metals, "wants.other_base_metals"),
        ] {
            words.extend(list.iter_mut().enumerate().map(|(i, word)| (format!("{name}[{i}]"), word)));
        }
        for (i, wish) in wants.builds.iter_mut().flatten().enumerate() {
            words
                .extend(wish.base_metal.as_mut().map(|word| (format!("wants.builds[{i}].base_metal"), word)));
        }
        words
    }

    fn check_whole(&self, catalog: &Catalog) -> Result<()> {
        self.check()?;
        let place = self.duty.place.as_deref().map(|name| catalog.place(name)).transpose();
        shelter(&self.duty, place.map_err(|e| e.within("duty"))?).map_err(|e| e.within("duty"))?;
        let metal = self.part.base_metal.as_deref().map(|name| catalog.base_metal(name)).transpose();
        let metal = metal.map_err(|e| e.within("part"))?;
        metal.map_or(Ok(()), |metal| states(&self.part, metal)).map_err(|e| e.within("part"))?;
        let body = Body::of(&self.part, metal.map_or(Family::CarbonSteel, |metal| metal.family))?;
        body.size(&self.part).map_err(|e| e.within("part"))?;
        body.wall(self.duty.failure).map_err(|e| e.within("duty"))
    }

    /// Rejects what contradicts itself without looking at a catalog.
    pub(super) fn contradictions(&self) -> Result<()> {
        thread(&self.part).map_err(|e| e.within("part"))?;
        inside_and_outside(&self.duty).map_err(|e| e.within("duty"))?;
        one_way_to_the_air(&self.duty).map_err(|e| e.within("duty"))?;
        match loss_over_inputs(&self.duty) {
            Some((measured, computed, times)) if times > LOSS_AND_INPUTS => Err(invalid(
                "duty.first_year_steel_loss_um",
                measured,
                &format!(
                    "within a factor of {LOSS_AND_INPUTS} of the {computed:.3} µm that the four inputs beside it give"
                ),
                "Check the unit (µm of thickness, not g/m²) and the inputs, or enter one of the two.",
            )),
            _ => Ok(()),
        }
    }

    /// The first temperature that the remarks name.
    pub(crate) fn temperature_in_remarks(&self) -> Option<String> {
        temperature_named(self.remarks.as_deref()?)
    }

    /// What the remarks name and no field holds, so that nothing judges it.
    pub(crate) fn unheld(&self, catalog: &Catalog) -> Unheld {
        let (duty, remarks) = (&self.duty, self.remarks.as_deref().unwrap_or_default());
        let heated = duty.heat_continuous_c.is_some() || duty.heat_peak_c.is_some();
        let own = self.part.base_metal.as_deref();
        let own = own.and_then(|word| catalog.base_metal_key("base_metal", word).ok()?);
        // carbon steel is what a fastener mostly touches; "zinc" is mostly a finish, "silver" a shade, "lead" a time
        let other = ["copper", "magnesium", "graphite"];
        let is_bare = |key: &str| other.contains(&key) || catalog.content().base_metals.contains_key(key);
        let tells = |key: &str| is_bare(key) && !key.starts_with("steel_") && Some(key) != own;
        let metal = |word: &&str| {
            let lettered = word.chars().all(char::is_alphabetic);
            lettered
                && match catalog.mating_metal_key("mating_metals", word) {
                    Ok(key) => key.is_some_and(tells),
                    Err(crate::Error::Name(several)) => several.known.iter().all(|key| tells(key)),
                    Err(_) => false,
                }
        };
        let metals = || words_in(remarks).into_iter().find(metal).map(str::to_owned);
        Unheld {
            temperature: self.temperature_in_remarks().filter(|_| !heated),
            metal: if duty.mating_metals.is_empty() { metals() } else { None },
        }
    }

    /// What is odd in a brief without being impossible, one sentence each.
    pub(super) fn oddities(&self, place: Option<&Place>, catalog: &Catalog) -> Vec<String> {
        let mut odd = Vec::new();
        let Self { part, duty, .. } = self;
        let unheld = self.unheld(catalog);
        odd.extend(unheld.metal.map(|said| {
            format!("the remarks name {said:?}, and no contact with it is judged: enter the metals that it touches")
        }));
        if (duty.so2_mg_m2_day, duty.chloride_mg_m2_day) == (Some(0.0), Some(0.0)) {
            odd.push(
                "SO2 and chloride deposition are both 0: no outdoor place has that; leave out what was not measured"
                    .to_owned(),
            );
        }
        odd.extend(tiny_loss(duty, place));
        odd.extend(too_soft_for_its_class(part, catalog));
        odd.extend(part.thread_size().ok().flatten().and_then(|thread| thread.beyond_the_standard()));
        if let Some((measured, computed, times)) = loss_over_inputs(duty)
            && times > LOSS_AND_INPUTS_REMARK
        {
            odd.push(format!(
                "the measured first-year loss, {measured} µm, is used; the four inputs would give {computed:.2} µm, so \
                 check both"
            ));
        }
        odd.extend(unused_inputs(duty));
        if place.is_some_and(|place| place.shelter == Shelter::Indoor)
            && duty.shelter == Some(Shelter::Sheltered)
        {
            odd.push(
                "sheltered outdoors, with the atmosphere of an indoor place: check place and shelter"
                    .to_owned(),
            );
        }
        if let (Some(place), Some(distance_m)) = (place, duty.sea_distance_m)
            && place.road_salt_months.is_none()
            && let Ok(there) = sea_chloride_mg_m2_day(distance_m)
            && place.chloride_mg_m2_day.value
                > there.median_mg_m2_day * (PLACE_AND_SEA_SPREADS * there.log_sd).exp()
        {
            let (usual, found) = (place.chloride_mg_m2_day.value, there.median_mg_m2_day);
            let far = figures(distance_m / 1000.0);
            odd.push(format!(
                "the place is described as \"{}\", with {usual:.0} mg/(m²·d) of chloride, but {far} km from the sea about \
                 {found:.0} falls: check place and distance (in m), for at most one of them is right",
                place.name
            ));
        }
        if let (Some(measured), Some(distance_m)) = (duty.chloride_mg_m2_day, duty.sea_distance_m)
            && let Ok(there) = sea_chloride_mg_m2_day(distance_m)
            && measured * (PLACE_AND_SEA_SPREADS * there.log_sd).exp() < there.median_mg_m2_day
        {
            odd.push(format!(
                "a chloride deposition of {measured} mg/(m²·d) is used, but {distance_m} m from the sea about {:.0} falls: check both",
                there.median_mg_m2_day
            ));
        }
        if let Some(place) = place
            && let Some((given, loss_um)) = loss_without_place(duty)
            && let Some(usual_um) = loss_of_place(place)
        {
            let times = (loss_um / usual_um).max(usual_um / loss_um);
            if times > PLACE_AND_LOSS {
                odd.push(format!(
                    "{given} is {} times {} what a place described as \"{}\" has: check both, for the place counts only \
                     for shelter and salt",
                    figures(times),
                    if loss_um > usual_um { "more than" } else { "less than" },
                    place.name
                ));
            }
        }
        if let Some(tolerance) = &part.tolerance
            && (part.form == Some(Form::PlainWasher) || part.thread.is_none())
        {
            odd.push(if part.form.is_some_and(|form| form.is_screw() || form.is_nut()) {
                format!("the thread tolerance {tolerance} stands without a thread: enter the thread")
            } else {
                format!("the thread tolerance {tolerance} is not used: the part has no thread")
            });
        }
        if part.length_mm.is_some() && part.form.is_some_and(|form| !form.is_screw()) {
            odd.push("length_mm is not used: the length of a part counts for screws".to_owned());
        }
        if duty.cold_share.is_some() && duty.heat_continuous_c.is_none_or(|celsius| celsius <= AMBIENT_C) {
            odd.push(format!(
                "cold_share is not used: it is of a part hotter than {AMBIENT_C} °C for long, so enter heat_continuous_c"
            ));
        }
        if duty.mating_area_ratio.is_some() && duty.mating_metals.is_empty() {
            odd.push("mating_area_ratio is not used: enter the metals in mating_metals".to_owned());
        }
        if duty.shelter == Some(Shelter::Sheltered) && duty.rain_washed == Some(true) {
            odd.push(
                "sheltered and washed by rain at once: both are used, so check shelter and rain_washed"
                    .to_owned(),
            );
        }
        odd
    }
}

/// A first-year loss that no place outdoors has.
fn tiny_loss(duty: &Duty, place: Option<&Place>) -> Option<String> {
    let indoors = duty.shelter == Some(Shelter::Indoor)
        || duty.shelter.is_none() && place.is_some_and(|place| place.shelter == Shelter::Indoor);
    let loss_um = duty.first_year_steel_loss_um.filter(|loss_um| *loss_um < LEAST_OUTDOORS_UM && !indoors)?;
    Some(format!(
        "{TINY_LOSS}{loss_um} µm is less than any place outdoors has: if it is in mm, enter {} µm",
        figures(1000.0 * loss_um)
    ))
}

/// A tempering that is too hot for the class beside it.
fn too_soft_for_its_class(part: &Part, catalog: &Catalog) -> Option<String> {
    let tempering_c = part.tempering_temperature_c.filter(|celsius| *celsius >= SOFT_FOR_ITS_CLASS_C)?;
    let of_metal = || catalog.base_metal(part.base_metal.as_deref()?).ok()?.property_class.as_deref();
    let class = PropertyClass::named(part.property_class.as_deref().or_else(of_metal)?)?;
    matches!(class, PropertyClass::Class10_9 | PropertyClass::Class12_9).then(|| {
        format!(
            "steel tempered at {tempering_c} °C is mostly softer than class {} (assumption: from {SOFT_FOR_ITS_CLASS_C} °C), \
             whose strength is counted: check class and tempering on the certificate",
            class.word()
        )
    })
}

/// The tolerance that the form can have, whether a thread is named or not, and a length that it can have.
fn thread(part: &Part) -> Result<()> {
    let screw = part.form.is_some_and(Form::is_screw);
    if let Some(text) = &part.tolerance {
        let nut = part.form.is_some_and(Form::is_nut);
        let read: Result<Tolerance> = text.parse();
        if read.is_err() && part.form.is_some() && part.thread.is_none() && !screw && !nut {
            return Err(invalid(
                "tolerance",
                text,
                "a thread tolerance, as 6g or 6H, of a part that has a thread",
                "Leave it out. Enter a fit, as h6 or H7, as \"fit\" in `part.functional_surfaces`.",
            ));
        }
        let tolerance = read?;
        if screw && tolerance.is_internal() {
            return Err(invalid(
                "tolerance",
                text,
                "a class of an external thread, as 6g, 6e or 2A",
                "Enter the tolerance of the screw; capital letters and class B are of nuts.",
            ));
        }
        if nut && !tolerance.is_internal() {
            return Err(invalid(
                "tolerance",
                text,
                "a class of an internal thread, as 6H, 6G or 2B",
                "Enter the tolerance of the nut; small letters and class A are of screws.",
            ));
        }
    }
    if let (true, Some(length), Ok(Some(thread))) = (screw, part.length_mm, part.thread_size()) {
        let least = SHORTEST_BY_DIAMETER * thread.diameter_mm();
        if length < least {
            return Err(invalid(
                "length_mm",
                length,
                &format!("{least:.1} mm or more with the thread {thread}"),
                "Enter the length under the head in mm; 1 in is 25.4 mm.",
            ));
        }
    }
    Ok(())
}

/// Rust and hot-dip zinc, which only steel and iron have.
fn states(part: &Part, metal: &BaseMetal) -> Result<()> {
    if metal.family.rusts_by_dose() || metal.family.is_stainless() {
        return Ok(());
    }
    let allowed = format!("what {} can have", metal.name);
    if part.condition == Some(Condition::Rust) {
        let remedy = "Rust is of steel and iron: correct the base metal, or write clean or oiled and tell of the \
                      corrosion in `remarks`.";
        return Err(invalid("condition", "rust", &allowed, remedy));
    }
    if part.present_finish == PresentFinish::HotDipZinc {
        let remedy = "Steel and iron are hot-dip galvanized: correct the base metal or the present finish.";
        return Err(invalid("present_finish", "hot_dip_zinc", &allowed, remedy));
    }
    Ok(())
}

/// A category beside what was measured: one of the two is wrong, or one is superfluous.
fn one_way_to_the_air(duty: &Duty) -> Result<()> {
    let Some(category) = duty.corrosivity else { return Ok(()) };
    let measured = [
        ("first_year_steel_loss_um", duty.first_year_steel_loss_um),
        ("temperature_c", duty.temperature_c),
        ("relative_humidity_pct", duty.relative_humidity_pct),
        ("so2_mg_m2_day", duty.so2_mg_m2_day),
        ("chloride_mg_m2_day", duty.chloride_mg_m2_day),
    ];
    match measured.iter().find(|(_, value)| value.is_some()) {
        Some((name, _)) => Err(invalid(
            "corrosivity",
            category,
            &format!("nothing beside {name}"),
            "Enter the category, or what was measured: the measured values are more certain.",
        )),
        None => Ok(()),
    }
}

/// Rain and full sun on a part that the duty itself puts indoors. Part of the day the sun may come through a window.
fn inside_and_outside(duty: &Duty) -> Result<()> {
    if duty.shelter == Some(Shelter::Indoor) { no_weather(duty, "shelter is indoor") } else { Ok(()) }
}

fn no_weather(duty: &Duty, indoors: &str) -> Result<()> {
    if duty.rain_washed == Some(true) {
        return Err(invalid(
            "rain_washed",
            true,
            &format!("false where {indoors}"),
            "Name an outdoor place or shelter; tell of hosing or cleaning in `remarks`.",
        ));
    }
    if duty.sunlight == Some(Sunlight::Full) {
        return Err(invalid(
            "sunlight",
            "full",
            &format!("none or partial where {indoors}"),
            "Write partial for sun through a window, or name an outdoor place or shelter.",
        ));
    }
    Ok(())
}

/// A described place and the shelter of the part.
fn shelter(duty: &Duty, place: Option<&Place>) -> Result<()> {
    let (Some(place), Some(name)) = (place, &duty.place) else { return Ok(()) };
    let indoors = place.shelter == Shelter::Indoor;
    if indoors && duty.shelter == Some(Shelter::Open) {
        return Err(invalid(
            "shelter",
            "open",
            &format!("indoor, or nothing, at the place {name}"),
            "Name an outdoor place, or leave the shelter out.",
        ));
    }
    if indoors && duty.shelter != Some(Shelter::Sheltered) {
        no_weather(duty, &format!("the place is {name}"))?;
    }
    let inputs =
        [duty.temperature_c, duty.relative_humidity_pct, duty.so2_mg_m2_day, duty.chloride_mg_m2_day];
    let own_air = duty.first_year_steel_loss_um.is_some()
        || duty.corrosivity.is_some()
        || inputs.iter().all(Option::is_some);
    if !indoors && duty.shelter == Some(Shelter::Indoor) && !own_air {
        return Err(invalid(
            "shelter",
            "indoor",
            &format!("open or sheltered at the place {name}, whose atmosphere is that of the outdoors"),
            "Name an indoor place, such as indoor_condensation, or enter a loss measured indoors.",
        ));
    }
    Ok(())
}

/// Measured loss, what the four inputs beside it give, and how many times one is the other. The function says little
/// outside its validity, and indoors it overstates the loss.
fn loss_over_inputs(duty: &Duty) -> Option<(f64, f64, f64)> {
    let measured = duty.first_year_steel_loss_um?;
    let inputs = inputs_of(duty)?;
    // a sea or salted roads add to the chloride, and the loss is measured with them
    if duty.sea_distance_m.is_some() || duty.road_salt.is_some() {
        return None;
    }
    let found = Atmosphere::from_inputs(inputs).ok().filter(|found| found.extrapolations.is_empty())?;
    let computed = found.first_year_steel_loss_um * steel_loss_bias(inputs.temperature_c);
    let ratio = measured / computed;
    let times =
        if ratio < 1.0 && duty.shelter == Some(Shelter::Indoor) { 1.0 } else { ratio.max(1.0 / ratio) };
    Some((measured, computed, times))
}

/// The loss that counts in place of that of the place, with the words for it.
fn loss_without_place(duty: &Duty) -> Option<(String, f64)> {
    if let Some(loss_um) = duty.first_year_steel_loss_um {
        return Some((format!("a first-year loss of {loss_um} µm"), loss_um));
    }
    if let Some(category) = duty.corrosivity {
        let range = category_loss_range(StandardMetal::Steel, category)?;
        return Some((format!("corrosivity {category}"), (range.low_um * range.high_um).sqrt()));
    }
    let found = Atmosphere::from_inputs(inputs_of(duty)?).ok()?;
    let loss_um = found.first_year_steel_loss_um;
    Some((
        format!("a loss of {loss_um:.0} µm, by temperature, humidity, SO2 and chloride as given,"),
        loss_um,
    ))
}

/// Inputs of the atmosphere that a measured loss leaves without use.
fn unused_inputs(duty: &Duty) -> Option<String> {
    let given = [
        ("temperature_c", duty.temperature_c),
        ("relative_humidity_pct", duty.relative_humidity_pct),
        ("so2_mg_m2_day", duty.so2_mg_m2_day),
    ];
    let given: Vec<&str> = given.iter().filter(|(_, value)| value.is_some()).map(|(name, _)| *name).collect();
    let unused = duty.first_year_steel_loss_um.is_some() && !given.is_empty() && inputs_of(duty).is_none();
    unused.then(|| {
        format!(
            "the measured first-year loss is used, and {} beside it for nothing: leave out one of the two",
            given.join(", ")
        )
    })
}

/// The four inputs of the atmosphere, where all are given.
fn inputs_of(duty: &Duty) -> Option<DoseInputs> {
    Some(DoseInputs {
        temperature_c: duty.temperature_c?,
        relative_humidity_pct: duty.relative_humidity_pct?,
        so2_mg_m2_day: duty.so2_mg_m2_day?,
        chloride_mg_m2_day: duty.chloride_mg_m2_day?,
    })
}

/// The first-year loss of steel at a described place, µm.
fn loss_of_place(place: &Place) -> Option<f64> {
    match &place.first_year_steel_loss_um {
        Some(range) => Some((range.low * range.high).sqrt()),
        None => Atmosphere::from_inputs(place.inputs()).ok().map(|found| found.first_year_steel_loss_um),
    }
}

/// What the brief says of the size of a piece.
struct Body {
    form: Option<Form>,
    /// Diameter of the thread.
    diameter_mm: Option<f64>,
    density_g_cm3: f64,
    length_mm: Option<f64>,
    volume_mm3: Option<f64>,
    surface_mm2: Option<f64>,
}

impl Body {
    fn of(part: &Part, family: Family) -> Result<Self> {
        let density_g_cm3 = family.density_g_cm3();
        let standard = part.standard_size()?;
        let volume = |mass_g: f64, density_g_cm3: f64| mass_g / density_g_cm3 * 1000.0;
        Ok(Self {
            form: part.form,
            diameter_mm: part.thread_size()?.as_ref().map(Thread::diameter_mm),
            density_g_cm3,
            length_mm: part.length_mm,
            volume_mm3: part.mass_g.map(|mass_g| volume(mass_g, density_g_cm3)).or_else(|| {
                let (mass_g, _) = standard?;
                Some(volume(mass_g, STEEL_DENSITY_G_CM3))
            }),
            surface_mm2: part.surface_dm2.or(standard.map(|(_, surface)| surface)).map(|dm2| dm2 * 1e4),
        })
    }

    /// Usual volume and surface of a piece with such a thread, and how many times less or more a real one has
    /// (assumption: a factor of two to three beyond the lightest and heaviest kinds, as short socket set screws and large
    /// flanges, thin washers and coupling nuts).
    fn usual(&self) -> Option<[(f64, f64, f64); 2]> {
        let d = self.diameter_mm?;
        match self.form {
            Some(form) if form.is_screw() => {
                let length = self.length_mm? + d;
                // a set screw is hollow and short, a head weighs more than its socket takes away
                let least = if form == Form::SetScrew { 0.1 } else { 0.3 };
                Some([(FRAC_PI_4 * d * d * length, least, 6.0), (PI * d * length, 0.3, 10.0)])
            }
            Some(form) if form.is_nut() => Some([(d * d * d, 0.15, 20.0), (d * d, 2.0, 120.0)]),
            Some(Form::PlainWasher) => Some([(d * d * d, 0.02, 30.0), (d * d, 1.0, 120.0)]),
            _ => None,
        }
    }

    /// Mass, surface, thread and length that one piece can have at once.
    fn size(&self, part: &Part) -> Result<()> {
        let remedy =
            "Enter the mass of one piece in g and its surface in dm² (1 kg = 1000 g, 1 dm² = 100 cm²).";
        if let Some([volume, surface]) = self.usual() {
            let to_grams = self.density_g_cm3 / 1000.0;
            for (field, given, (usual, least, most), unit) in [
                ("mass_g", part.mass_g, (volume.0 * to_grams, volume.1, volume.2), "g"),
                ("surface_dm2", part.surface_dm2, (surface.0 / 1e4, surface.1, surface.2), "dm²"),
            ] {
                if let Some(given) = given
                    && !(usual * least..=usual * most).contains(&given)
                {
                    let (low, high) = (figures(usual * least), figures(usual * most));
                    let with = if self.form.is_some_and(Form::is_screw) {
                        "its thread and length"
                    } else {
                        "its thread"
                    };
                    return Err(invalid(
                        field,
                        given,
                        &format!("{low} to {high} {unit} with {with}"),
                        remedy,
                    ));
                }
            }
        }
        let (Some(mass_g), Some(surface_dm2)) = (part.mass_g, part.surface_dm2) else { return Ok(()) };
        let (Some(volume), Some(surface)) = (self.volume_mm3, self.surface_mm2) else { return Ok(()) };
        let sphere = (36.0 * PI * volume * volume).cbrt();
        let thinnest = volume / HALF_OF_THINNEST_MM;
        if surface < LEAST_OF_SPHERE * sphere || surface > thinnest {
            let (low, high) = (figures(LEAST_OF_SPHERE * sphere / 1e4), figures(thinnest / 1e4));
            return Err(invalid(
                "surface_dm2",
                surface_dm2,
                &format!("{low} to {high} dm² with a mass of {mass_g} g"),
                remedy,
            ));
        }
        Ok(())
    }

    /// A loss that would leave nothing of the part.
    fn wall(&self, failure: Failure) -> Result<()> {
        let Failure::LossUm(loss_um) = failure else { return Ok(()) };
        // a loss from all sides: half the thickness of sheet is volume over surface, the inner radius of any convex
        // body at most three times that
        let sheet = matches!(self.form, Some(Form::Bracket | Form::PlainWasher));
        let by_size = match (self.volume_mm3, self.surface_mm2) {
            (Some(volume), Some(surface)) => Some(volume / surface * if sheet { 1.0 } else { 3.0 }),
            _ => None,
        };
        let by_thread = self.diameter_mm.filter(|_| self.form.is_some_and(Form::is_screw)).map(|d| d / 2.0);
        let Some(depth_mm) = [by_size, by_thread].into_iter().flatten().reduce(f64::min) else {
            return Ok(());
        };
        if loss_um < 1000.0 * depth_mm {
            return Ok(());
        }
        Err(invalid(
            "failure.loss_um",
            loss_um,
            &format!("less than {} µm, at which nothing of the part is left", figures(1000.0 * depth_mm)),
            "Enter the depth on one side that the part can lose and still serve.",
        ))
    }
}

/// Two figures.
fn figures(x: f64) -> f64 {
    format!("{x:.1e}").parse().unwrap_or(x)
}

impl Family {
    /// Usual density, g/cm³ (from memory; within some percent for all alloys of a family).
    fn density_g_cm3(self) -> f64 {
        match self {
            Self::Aluminium => 2.7,
            Self::Titanium => 4.5,
            Self::Zinc => 6.7,
            Self::CastIron => 7.2,
            Self::CopperAlloy => 8.6,
            _ => STEEL_DENSITY_G_CM3,
        }
    }
}

/// Whether grades of inch bolts and nuts name parts of this form.
fn is_bolt_or_nut(form: Option<Form>) -> bool {
    !matches!(form, None | Some(Form::SetScrew | Form::Pin | Form::Bracket | Form::Other | Form::PlainWasher))
}
