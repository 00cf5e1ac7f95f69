//! Time of wetness from a record of air temperature and humidity.
//!
//! A surface counts as wet in every hour with an air temperature above 0 °C and a relative humidity above 80%
//! (ISO 9223:2012). Both limits are strict: an hour of exactly 80% is dry. That matters, since weather files
//! round humidity to whole percents: counting 80% as wet would add up to some 200 h a year.
//!
//! Gaps are kept as gaps. They are counted, reported and scaled over: an hour without a reading is neither wet
//! nor dry. Give whole years where you can, because part of a year carries the bias of its season.
//!
//! ```
//! use overcoat::atmosphere::ClimateRecord;
//! let record = ClimateRecord::from_arrays(&[12.0, 9.5, -1.0, 8.0], &[75.0, 91.0, 96.0, f64::NAN])?;
//! let wetness = record.wetness()?;
//! assert_eq!(wetness.counted_wet_hours, 1.0); // 91% at 9.5 °C; the frosty hour does not count
//! assert_eq!(wetness.valid_hours, 3.0);
//! assert_eq!(wetness.hours_per_year, 8760.0 / 3.0);
//! # Ok::<(), overcoat::Error>(())
//! ```

mod calendar;
mod csv;
mod epw;
mod sum;

use std::fmt;

use serde::{Deserialize, Deserializer, Serialize};

use sum::Sum;

use crate::atmosphere::{WetnessClass, wetness_class};
use crate::error::{Result, table_error, within};
use crate::evidence::Source;

/// Air temperature above which a surface can be wet, °C (strict).
pub(crate) const WET_ABOVE_TEMPERATURE_C: f64 = 0.0;
/// Relative humidity above which a surface is taken as wet, % (strict).
pub(crate) const WET_ABOVE_HUMIDITY_PCT: f64 = 80.0;
/// Source of the wetness criterion.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const WETNESS_CRITERION: Source =
    Source::from_memory("ISO 9223:2012, time of wetness: hours with T > 0 °C and RH > 80%");

/// The year to which counted hours are scaled, h.
///
/// 365 days, so that a complete ordinary year is reported as counted. The mean Gregorian year (8766 h) would
/// give 0.07% more, far below what the criterion itself can tell.
pub(crate) const HOURS_PER_YEAR: f64 = 8760.0;

/// Share of valid hours under which a record draws a finding.
pub(crate) const COVERAGE_WANTED: f64 = 0.90;
/// Share of valid hours under which a single month draws a finding.
pub(crate) const MONTH_COVERAGE_WANTED: f64 = 0.75;
/// Source of both shares and of the reading limits below.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const COVERAGE_SOURCE: Source =
    Source::assumption("no published limit found; set so that no season can go missing unnoticed");

/// Magnus formula for the saturation vapor pressure over water:
/// e = 6.112 hPa · exp(17.62·T / (243.12 + T)), T in °C.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const MAGNUS_SOURCE: Source =
    Source::handbook("WMO-No. 8, Guide to Instruments (2008), Annex 4.B, over water, after Sonntag (1990)");
/// Temperatures for which the Magnus formula is given, °C. The range is from memory.
pub(crate) const MAGNUS_RANGE_C: (f64, f64) = (-45.0, 60.0);
const MAGNUS_SLOPE: f64 = 17.62;
const MAGNUS_OFFSET_C: f64 = 243.12;

/// Dew points this far above the air temperature still count as rounding, °C: half of a whole degree, since
/// weather reports round the dew point to whole degrees (assumption).
const DEW_POINT_ROUNDING_C: f64 = 0.5;
/// Readings up to here are a sensor at saturation and count as 100% (assumption).
const HUMIDITY_READING_MAX_PCT: f64 = 105.0;
const TEMPERATURE_RANGE_C: (f64, f64) = (-90.0, 60.0);
/// Longer steps average over day and night, and the criterion loses its meaning (assumption).
const STEP_RANGE_HOURS: (f64, f64) = (1.0 / 60.0, 6.0);
/// Rows of a record, gaps included: more than 500 years of hours or 9 years of minutes.
const MAX_ROWS: usize = 5_000_000;

/// Air temperature and relative humidity at a regular step, with gaps.
///
/// Row `i` is the state at `i` steps after the first row; a gap is NaN in both columns.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ClimateRecord {
    #[serde(deserialize_with = "with_gaps")]
    temperature_c: Vec<f64>,
    #[serde(deserialize_with = "with_gaps")]
    relative_humidity_pct: Vec<f64>,
    step_hours: f64,
    /// Calendar month of each row, 1 to 12, where times are known.
    month: Option<Vec<u8>>,
    above_saturation_rows: usize,
    dew_point_extrapolated_rows: usize,
}

impl PartialEq for ClimateRecord {
    /// Gaps are equal to gaps.
    fn eq(&self, other: &Self) -> bool {
        let bits = |column: &[f64]| column.iter().map(|x| x.to_bits()).collect::<Vec<u64>>();
        let rest = |record: &Self| {
            let counts = (record.above_saturation_rows, record.dew_point_extrapolated_rows);
            (record.step_hours, record.month.clone(), counts)
        };
        bits(&self.temperature_c) == bits(&other.temperature_c)
            && bits(&self.relative_humidity_pct) == bits(&other.relative_humidity_pct)
            && rest(self) == rest(other)
    }
}

/// Numbers of JSON, which has no NaN and writes a gap as null.
fn with_gaps<'de, D: Deserializer<'de>>(from: D) -> std::result::Result<Vec<f64>, D::Error> {
    let numbers = Vec::<Option<f64>>::deserialize(from)?;
    Ok(numbers.into_iter().map(|number| number.unwrap_or(f64::NAN)).collect())
}

/// Readings as they came, checked row by row before any gap is filled in, so that errors name the user's row.
#[derive(Debug, Default)]
struct Readings {
    temperature_c: Vec<f64>,
    relative_humidity_pct: Vec<f64>,
    above_saturation_rows: usize,
    dew_point_extrapolated_rows: usize,
}

fn too_many_rows() -> crate::Error {
    table_error(
        "temperature_c",
        None,
        format!("the record has more than {MAX_ROWS} steps"),
        "Check the times for a wrong year, or split the record.",
    )
}

/// Relative humidity over water from dew point and air temperature, %.
fn humidity_from_dew_point(temperature_c: f64, dew_point_c: f64) -> f64 {
    let exponent = |t: f64| MAGNUS_SLOPE * t / (MAGNUS_OFFSET_C + t);
    100.0 * (exponent(dew_point_c) - exponent(temperature_c)).exp()
}

impl Readings {
    /// Adds one row; `humidity` is used where it is a number, else `dew_point`.
    fn push(&mut self, temperature_c: f64, humidity_pct: f64, dew_point_c: f64) -> Result<()> {
        let row = self.temperature_c.len() + 1;
        if row > MAX_ROWS {
            return Err(too_many_rows());
        }
        let temperature = |column: &str, value: f64| {
            let (low, high) = TEMPERATURE_RANGE_C;
            if value.is_nan() || (low..=high).contains(&value) {
                return Ok(value);
            }
            Err(table_error(
                column,
                Some(row),
                format!("{value} is not within {low} to {high} °C"),
                if value > high {
                    "Perhaps it is in °F or K: convert to °C. Leave a missing reading empty or NaN."
                } else {
                    "Leave a missing reading empty or NaN instead of a mark such as -999."
                },
            ))
        };
        let temperature_c = temperature("temperature_c", temperature_c)?;
        let mut humidity_pct = humidity_pct;
        if humidity_pct.is_nan() && !dew_point_c.is_nan() {
            let dew_point_c = temperature("dew_point_c", dew_point_c)?;
            if dew_point_c > temperature_c + DEW_POINT_ROUNDING_C {
                return Err(table_error(
                    "dew_point_c",
                    Some(row),
                    format!("{dew_point_c} °C is above the air temperature of {temperature_c} °C"),
                    "Air cannot hold more water than at its own temperature: check for exchanged columns or \
                     mixed units.",
                ));
            }
            // A missing temperature makes this NaN, hence a gap.
            humidity_pct = humidity_from_dew_point(temperature_c, dew_point_c);
            if dew_point_c > temperature_c {
                humidity_pct = 100.0;
                self.above_saturation_rows += 1;
            }
            if temperature_c.min(dew_point_c) < MAGNUS_RANGE_C.0 {
                self.dew_point_extrapolated_rows += 1;
            }
        } else if !humidity_pct.is_nan() && !(0.0..=HUMIDITY_READING_MAX_PCT).contains(&humidity_pct) {
            return Err(table_error(
                "relative_humidity_pct",
                Some(row),
                format!("{humidity_pct} is not within 0 to 100% (sensors: to {HUMIDITY_READING_MAX_PCT}%)"),
                "Give percent, 0 to 100; leave a missing reading empty or NaN instead of a mark such as -999.",
            ));
        } else if humidity_pct > 100.0 {
            humidity_pct = 100.0;
            self.above_saturation_rows += 1;
        }
        self.temperature_c.push(temperature_c);
        self.relative_humidity_pct.push(humidity_pct);
        Ok(())
    }

    /// Rejects an empty record and humidity given as a fraction.
    fn check(&self) -> Result<()> {
        if self.temperature_c.is_empty() {
            return Err(table_error(
                "temperature_c",
                None,
                "the record is empty",
                "Give at least one row; a year of hours is best.",
            ));
        }
        let highest = self.relative_humidity_pct.iter().copied().fold(f64::NAN, f64::max);
        if highest <= 1.0 {
            return Err(table_error(
                "relative_humidity_pct",
                None,
                format!("no value is above {highest}, so this looks like a fraction"),
                "Multiply by 100: relative humidity is given in percent.",
            ));
        }
        Ok(())
    }
}

impl ClimateRecord {
    /// A record without times, one row per hour, from air temperature in °C and relative humidity in %.
    ///
    /// NaN marks a gap. Humidity readings above 100 and up to 105% are a sensor at saturation: they count as
    /// 100 and draw a finding. Without times a missing row cannot be seen, only a NaN.
    ///
    /// # Errors
    /// Unequal or zero lengths, infinities, temperature outside -90 to 60 °C, humidity outside 0 to 105%, or no
    /// humidity above 1 (a fraction).
    ///
    /// ```
    /// use overcoat::atmosphere::ClimateRecord;
    /// assert!(ClimateRecord::from_arrays(&[10.0, 11.0], &[85.0, f64::NAN]).is_ok());
    /// let error = ClimateRecord::from_arrays(&[10.0, 68.0], &[85.0, 80.0]).unwrap_err();
    /// assert!(error.to_string().contains("row 2"));
    /// assert!(error.remedy().contains("°F"));
    /// ```
    pub fn from_arrays(temperature_c: &[f64], relative_humidity_pct: &[f64]) -> Result<Self> {
        same_length(temperature_c, "relative_humidity_pct", relative_humidity_pct)?;
        let mut readings = Readings::default();
        for (&t, &humidity) in temperature_c.iter().zip(relative_humidity_pct) {
            readings.push(t, humidity, f64::NAN)?;
        }
        Self::without_times(readings)
    }

    /// A record without times, one row per hour, from air temperature and dew point, both in °C.
    ///
    /// RH = 100 · exp(m·Td/(c + Td) - m·T/(c + T)) with m = 17.62 and c = 243.12 °C, the Magnus form over water,
    /// given for -45 to 60 °C (`MAGNUS_SOURCE`); colder rows are computed even so and draw a finding. A
    /// dew point above the air temperature by up to 0.5 °C is rounding and counts as 100%.
    ///
    /// # Errors
    /// As [`ClimateRecord::from_arrays`]; also a dew point further above the air temperature.
    ///
    /// ```
    /// use overcoat::atmosphere::ClimateRecord;
    /// let record = ClimateRecord::from_dew_point(&[20.0], &[10.0])?;
    /// assert!((record.relative_humidity_pct()[0] - 52.5).abs() < 0.1);
    /// # Ok::<(), overcoat::Error>(())
    /// ```
    pub fn from_dew_point(temperature_c: &[f64], dew_point_c: &[f64]) -> Result<Self> {
        same_length(temperature_c, "dew_point_c", dew_point_c)?;
        let mut readings = Readings::default();
        for (&t, &dew_point) in temperature_c.iter().zip(dew_point_c) {
            readings.push(t, f64::NAN, dew_point)?;
        }
        Self::without_times(readings)
    }

    /// Reads comma-separated text with a header row.
    ///
    /// Columns by name, in any order, others are ignored: `temperature_c`; `relative_humidity_pct` or
    /// `dew_point_c` (with both, the dew point fills what the humidity lacks); and, best, `time`: ISO 8601 such
    /// as `2024-03-31T05:00Z`, with `Z`, an offset or neither throughout. Empty fields, `NaN`, `NA` and `null` are
    /// gaps. Fields quoted within a line, CRLF line ends and a byte order mark are understood.
    ///
    /// With `time`, the step is the commonest time difference and every missing row becomes a gap, which shows
    /// in [`Wetness::coverage`]. Without it, one row is one hour and missing rows cannot be seen.
    ///
    /// # Errors
    /// As [`ClimateRecord::from_arrays`], naming the row (1 is the first after the header); missing or repeated
    /// columns; semicolons or tabs instead of commas; unreadable numbers or times; repeated or backward times,
    /// such as local time gives in autumn; times closer than half a step.
    ///
    /// ```
    /// use overcoat::atmosphere::ClimateRecord;
    /// let text = "time,temperature_c,relative_humidity_pct\n\
    ///             2024-01-01T00:00,3.0,85\n\
    ///             2024-01-01T01:00,3.5,82\n\
    ///             2024-01-01T03:00,4.0,70\n";
    /// let wetness = ClimateRecord::from_csv(text)?.wetness()?;
    /// assert_eq!((wetness.expected_hours, wetness.valid_hours), (4.0, 3.0)); // 02:00 is missing
    /// # Ok::<(), overcoat::Error>(())
    /// ```
    pub fn from_csv(text: &str) -> Result<Self> {
        csv::read(text)
    }

    /// Reads an EnergyPlus weather file (EPW): eight header lines, then one row per hour.
    ///
    /// Of the fields counted from 1, 2 to 4 are month, day and hour (1 to 24), 7 the dry bulb and 8 the dew point
    /// in °C (99.9 and above: missing), 9 the relative humidity in % (999 and above: missing, then taken from the
    /// dew point). Typical years join months of different years, so the year is used for leap days only. Missing
    /// hours become gaps.
    ///
    /// # Errors
    /// As [`ClimateRecord::from_arrays`], naming the row (1 is the first after the header lines); a file without
    /// the header, with several rows per hour, or with repeated or backward hours.
    ///
    /// ```
    /// use overcoat::atmosphere::ClimateRecord;
    /// let header = "LOCATION,Nowhere\n-\n-\n-\n-\n-\n-\nDATA PERIODS,1,1,Data,Sunday,1/1,12/31\n";
    /// let text = format!("{header}2001,1,1,1,60,?,4.0,3.0,93\n2001,1,1,2,60,?,4.0,3.0,999\n");
    /// assert_eq!(ClimateRecord::from_epw(&text)?.wetness()?.counted_wet_hours, 2.0);
    /// # Ok::<(), overcoat::Error>(())
    /// ```
    pub fn from_epw(text: &str) -> Result<Self> {
        epw::read(text)
    }

    /// The same rows at another step than one hour, for records without times.
    ///
    /// # Errors
    /// A step outside one minute to six hours: longer ones average over day and night.
    ///
    /// ```
    /// use overcoat::atmosphere::ClimateRecord;
    /// let half_hourly = ClimateRecord::from_arrays(&[5.0; 48], &[90.0; 48])?.with_step_hours(0.5)?;
    /// assert_eq!(half_hourly.wetness()?.counted_wet_hours, 24.0);
    /// # Ok::<(), overcoat::Error>(())
    /// ```
    pub fn with_step_hours(mut self, step_hours: f64) -> Result<Self> {
        let (low, high) = STEP_RANGE_HOURS;
        let remedy = "Give hourly readings; daily or monthly means hide the wet nights.";
        self.step_hours = within("step_hours", step_hours, low, high, "h", remedy)?;
        Ok(self)
    }

    fn without_times(readings: Readings) -> Result<Self> {
        readings.check()?;
        Ok(Self {
            temperature_c: readings.temperature_c,
            relative_humidity_pct: readings.relative_humidity_pct,
            step_hours: 1.0,
            month: None,
            above_saturation_rows: readings.above_saturation_rows,
            dew_point_extrapolated_rows: readings.dew_point_extrapolated_rows,
        })
    }

    /// Puts gaps between readings whose times are known; the readers have counted that they stay within [`MAX_ROWS`].
    /// `before[i]` are the months of the rows missing before
    /// reading `i`, `month[i]` is that reading's own.
    fn with_times(
        readings: &Readings,
        step_hours: f64,
        month: &[u8],
        mut before: impl FnMut(usize) -> Vec<u8>,
    ) -> Result<Self> {
        readings.check()?;
        let mut record = Self {
            temperature_c: Vec::with_capacity(month.len()),
            relative_humidity_pct: Vec::with_capacity(month.len()),
            step_hours: 1.0,
            month: None,
            above_saturation_rows: readings.above_saturation_rows,
            dew_point_extrapolated_rows: readings.dew_point_extrapolated_rows,
        }
        .with_step_hours(step_hours)?;
        let mut months = Vec::with_capacity(month.len());
        let rows = readings.temperature_c.iter().zip(&readings.relative_humidity_pct).zip(month);
        for (i, ((&t, &humidity), &own)) in rows.enumerate() {
            months.extend(before(i));
            record.temperature_c.resize(months.len(), f64::NAN);
            record.relative_humidity_pct.resize(months.len(), f64::NAN);
            record.temperature_c.push(t);
            record.relative_humidity_pct.push(humidity);
            months.push(own);
        }
        record.month = Some(months);
        Ok(record)
    }

    /// Air temperature of every step, °C; NaN in gaps.
    pub fn temperature_c(&self) -> &[f64] {
        &self.temperature_c
    }

    /// Relative humidity of every step, %; NaN in gaps.
    pub fn relative_humidity_pct(&self) -> &[f64] {
        &self.relative_humidity_pct
    }

    /// Calendar month of every step, 1 to 12, where the record has times.
    pub fn month(&self) -> Option<&[u8]> {
        self.month.as_deref()
    }

    /// Time between rows, h.
    pub fn step_hours(&self) -> f64 {
        self.step_hours
    }

    /// Time of wetness, means and coverage.
    ///
    /// A step is valid when both readings are there. With w wet steps of n valid ones, the result is
    /// 8760 · w / n hours a year: what is missing is taken to be like what was recorded, which
    /// [`Wetness::coverage`] and [`Wetness::findings`] put in view.
    ///
    /// # Errors
    /// No step with both readings.
    ///
    /// ```
    /// use overcoat::atmosphere::ClimateRecord;
    /// let humid = ClimateRecord::from_arrays(&[25.0; 10], &[85.0; 10])?.wetness()?;
    /// assert_eq!((humid.hours_per_year, humid.coverage), (8760.0, 1.0));
    /// assert_eq!(humid.wetness_class.to_string(), "tau5");
    /// assert!(humid.findings[0].to_string().contains("less than a year"));
    /// # Ok::<(), overcoat::Error>(())
    /// ```
    pub fn wetness(&self) -> Result<Wetness> {
        let mut valid = 0_usize;
        let mut wet = 0_usize;
        let mut gaps = 0_usize;
        let mut gap_now = 0_usize;
        let mut gap_longest = 0_usize;
        let (mut temperature_sum, mut humidity_sum) = (Sum::default(), Sum::default());
        for (&t, &humidity) in self.temperature_c.iter().zip(&self.relative_humidity_pct) {
            if t.is_nan() || humidity.is_nan() {
                gaps += usize::from(gap_now == 0);
                gap_now += 1;
                gap_longest = gap_longest.max(gap_now);
                continue;
            }
            gap_now = 0;
            valid += 1;
            temperature_sum.add(t);
            humidity_sum.add(humidity);
            wet += usize::from(t > WET_ABOVE_TEMPERATURE_C && humidity > WET_ABOVE_HUMIDITY_PCT);
        }
        if valid == 0 {
            return Err(table_error(
                "relative_humidity_pct",
                None,
                "no row has both a temperature and a humidity",
                "Give at least one row with both readings.",
            ));
        }
        // Multiplying first keeps a complete year exact.
        let hours_per_year = wet as f64 * HOURS_PER_YEAR / valid as f64;
        let mut wetness = Wetness {
            hours_per_year,
            wetness_class: wetness_class(hours_per_year)?,
            counted_wet_hours: wet as f64 * self.step_hours,
            valid_hours: valid as f64 * self.step_hours,
            expected_hours: self.temperature_c.len() as f64 * self.step_hours,
            coverage: valid as f64 / self.temperature_c.len() as f64,
            gaps,
            longest_gap_hours: gap_longest as f64 * self.step_hours,
            mean_temperature_c: temperature_sum.total() / valid as f64,
            mean_relative_humidity_pct: humidity_sum.total() / valid as f64,
            findings: Vec::new(),
        };
        wetness.findings = self.findings(&wetness);
        Ok(wetness)
    }

    fn findings(&self, wetness: &Wetness) -> Vec<RecordFinding> {
        let mut findings = Vec::new();
        if wetness.coverage < COVERAGE_WANTED {
            findings.push(RecordFinding::LowCoverage { coverage: wetness.coverage });
        }
        let months = self.month.as_deref().map(|month| self.hours_by_month(month));
        if wetness.expected_hours < HOURS_PER_YEAR {
            // A month is covered when the record holds enough of its full length, not only of its own span.
            let months_covered = months.as_ref().map(|months| {
                let covered = |m: &&MonthHours| m.valid >= MONTH_COVERAGE_WANTED * m.length;
                months.iter().filter(covered).count()
            });
            findings.push(RecordFinding::ShorterThanYear { hours: wetness.expected_hours, months_covered });
        }
        let sparse: Vec<u8> = months
            .iter()
            .flatten()
            .filter(|m| m.valid < MONTH_COVERAGE_WANTED * m.expected)
            .map(|m| m.month)
            .collect();
        if !sparse.is_empty() {
            findings.push(RecordFinding::SparseMonths { months: sparse });
        }
        if self.above_saturation_rows > 0 {
            findings.push(RecordFinding::AboveSaturation { rows: self.above_saturation_rows });
        }
        if self.dew_point_extrapolated_rows > 0 {
            findings.push(RecordFinding::DewPointExtrapolated { rows: self.dew_point_extrapolated_rows });
        }
        findings
    }

    /// Hours of each calendar month, all years of the record together.
    fn hours_by_month(&self, month: &[u8]) -> Vec<MonthHours> {
        let mut months: Vec<MonthHours> = (1..=12)
            .map(|month| MonthHours {
                month,
                length: 24.0 * f64::from(calendar::days_in_month(month, false)),
                expected: 0.0,
                valid: 0.0,
            })
            .collect();
        for ((&m, t), humidity) in month.iter().zip(&self.temperature_c).zip(&self.relative_humidity_pct) {
            if let Some(entry) = months.get_mut(usize::from(m.saturating_sub(1))) {
                entry.expected += self.step_hours;
                if !(t.is_nan() || humidity.is_nan()) {
                    entry.valid += self.step_hours;
                }
            }
        }
        months
    }
}

struct MonthHours {
    month: u8,
    length: f64,
    expected: f64,
    valid: f64,
}

fn same_length(temperature_c: &[f64], column: &str, other: &[f64]) -> Result<()> {
    if temperature_c.len() == other.len() {
        return Ok(());
    }
    Err(table_error(
        column,
        None,
        format!("it has {} rows, `temperature_c` has {}", other.len(), temperature_c.len()),
        "Give both columns the same length, with NaN in gaps.",
    ))
}

/// Time of wetness straight from hourly arrays: [`ClimateRecord::from_arrays`], then [`ClimateRecord::wetness`].
///
/// # Errors
/// Those of the two.
///
/// ```
/// use overcoat::atmosphere::time_of_wetness;
/// let wetness = time_of_wetness(&[15.0; 4], &[60.0, 85.0, 80.0, 81.0])?;
/// assert_eq!(wetness.hours_per_year, 4380.0); // 80% is dry
/// assert_eq!(wetness.wetness_class.to_string(), "tau4");
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn time_of_wetness(temperature_c: &[f64], relative_humidity_pct: &[f64]) -> Result<Wetness> {
    ClimateRecord::from_arrays(temperature_c, relative_humidity_pct)?.wetness()
}

/// What a climate record says about wetness.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub struct Wetness {
    /// Time of wetness scaled to a year of 8760 h, h/a.
    pub hours_per_year: f64,
    /// Its class.
    pub wetness_class: WetnessClass,
    /// Wet hours as counted, h.
    pub counted_wet_hours: f64,
    /// Hours with both readings, h.
    pub valid_hours: f64,
    /// Hours that the record spans, h: from first to last row where times are known, else all rows.
    pub expected_hours: f64,
    /// Valid over expected hours, 0 to 1.
    pub coverage: f64,
    /// Number of gaps, each a run of steps without both readings.
    pub gaps: usize,
    /// The longest gap, h.
    pub longest_gap_hours: f64,
    /// Mean air temperature of the valid hours, °C.
    pub mean_temperature_c: f64,
    /// Mean relative humidity of the valid hours, %.
    pub mean_relative_humidity_pct: f64,
    /// What a reader has to know before using the numbers.
    pub findings: Vec<RecordFinding>,
}

/// A weakness of a climate record.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case", tag = "kind", deny_unknown_fields)]
pub enum RecordFinding {
    /// Under 90% of the hours are valid.
    LowCoverage {
        /// Valid over expected hours.
        coverage: f64,
    },
    /// The record spans less than 8760 h, so the seasons do not weigh alike.
    ShorterThanYear {
        /// Hours spanned.
        hours: f64,
        /// Calendar months of which at least 75% is recorded; `None` without times.
        months_covered: Option<usize>,
    },
    /// Calendar months with under 75% of their hours in the record's span.
    SparseMonths {
        /// Months, 1 to 12.
        months: Vec<u8>,
    },
    /// Readings above saturation, counted as 100%.
    AboveSaturation {
        /// How many.
        rows: usize,
    },
    /// Humidity from a dew point or temperature below -45 °C, where the Magnus formula is extrapolated.
    DewPointExtrapolated {
        /// How many.
        rows: usize,
    },
}

impl fmt::Display for RecordFinding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::LowCoverage { coverage } => write!(
                f,
                "only {:.1}% of the hours are valid (wanted: {:.0}%); the rest is taken to be alike",
                100.0 * coverage,
                100.0 * COVERAGE_WANTED
            ),
            Self::ShorterThanYear { hours, months_covered } => {
                write!(f, "the record spans {hours} h, less than a year: it carries the bias of its season")?;
                match months_covered {
                    Some(months) => write!(f, "; {months} of 12 months are covered"),
                    None => Ok(()),
                }
            }
            Self::SparseMonths { months } => {
                write!(f, "under {:.0}% of the hours are valid in month ", 100.0 * MONTH_COVERAGE_WANTED)?;
                let names: Vec<String> = months.iter().map(u8::to_string).collect();
                f.write_str(&names.join(", "))
            }
            Self::AboveSaturation { rows } => {
                write!(f, "{rows} humidity readings above saturation count as 100%")
            }
            Self::DewPointExtrapolated { rows } => write!(
                f,
                "{rows} rows are colder than {} °C, where the dew point formula is extrapolated",
                MAGNUS_RANGE_C.0
            ),
        }
    }
}

#[cfg(test)]
mod tests;
