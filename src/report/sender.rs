//! A sender that was learned, as data and as text.

use serde::Serialize;

use super::chart::Chart;
use super::page::{Column, Flush, Page};
use super::sender_file::entries;
use super::words::{decimals, places_for, plain};
use crate::curve::{Curve, Law};
use crate::learn::{Cover, Kind, Learned, Place, Row};
use crate::quantity::{Celsius, Fraction, Ohms};

/// What was learned.
#[derive(Clone, Debug, Serialize)]
pub struct SenderAnswer {
    /// The version of the program.
    pub ohmwright: &'static str,
    /// The command that was asked.
    pub command: &'static str,
    /// The file of readings, without its folder.
    pub file: String,
    /// `learned` or `contradiction`.
    pub verdict: &'static str,
    /// The unit of all values.
    pub unit: String,
    /// The kind of curve.
    pub kind: Kind,
    /// Why this kind.
    pub reason: String,
    /// The coefficients of the law; null: the readings are the curve.
    pub coefficients: Option<Coefficients>,
    /// The range that the sender is meant for.
    pub range: Ends,
    /// How far its resistance may be off everywhere, a share; null: `accuracy` says it, or it is unknown.
    pub tolerance: Option<f64>,
    /// How far its value may be off everywhere; null: `tolerance` says it, or it is unknown.
    pub accuracy: Option<f64>,
    /// Where that comes from; null: it is unknown.
    pub uncertainty_from: Option<String>,
    /// The curve at a few values.
    pub curve: Vec<PlaceAnswer>,
    /// The readings.
    pub readings: Vec<RowAnswer>,
    /// The kinds that were looked at.
    pub candidates: Vec<CandidateAnswer>,
    /// What is doubtful, and what would settle it.
    pub warnings: Vec<String>,
    /// What was taken for granted.
    pub remarks: Vec<String>,
    /// What a brief says about the sender.
    pub sender: String,
    /// The curve itself.
    #[serde(skip)]
    pub(super) whole: Curve<Ohms>,
}

/// Coefficients of a law by their usual names.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Coefficients {
    /// R = resistance · exp(beta · (1/T − 1/T at)).
    Beta {
        /// In °C.
        at_celsius: f64,
        /// In ohms.
        ohm: f64,
        /// In kelvin.
        beta_kelvin: f64,
    },
    /// 1/T = a + b·ln R + c·(ln R)³.
    SteinhartHart {
        /// In 1/K.
        a: f64,
        /// In 1/K.
        b: f64,
        /// In 1/K.
        c: f64,
    },
    /// IEC 60751.
    Platinum {
        /// At 0 °C, in ohms.
        ohm: f64,
    },
}

/// Two ends.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Ends {
    /// The lower end.
    pub lowest: f64,
    /// The upper end.
    pub highest: f64,
}

impl Ends {
    fn around(middle: f64, half: f64) -> Self {
        Self { lowest: middle - half, highest: middle + half }
    }
}

/// The curve at one value.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct PlaceAnswer {
    /// The value.
    pub value: f64,
    /// The resistance there.
    pub ohm: f64,
    /// Where the value lies for that resistance, with 95 % confidence; null: unknown.
    pub band: Option<Ends>,
    /// Where the resistance lies for that value, with 95 % confidence; null: unknown.
    pub band_ohm: Option<Ends>,
    #[serde(skip)]
    off_by: Option<f64>,
    #[serde(skip)]
    share_off: Option<f64>,
}

/// One reading.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct RowAnswer {
    /// The row, counted from 1.
    pub row: usize,
    /// The line of the file, where a row has one of its own.
    pub line: Option<usize>,
    /// The value that was read.
    pub value: f64,
    /// The resistance that was measured.
    pub ohm: f64,
    /// The value that the curve gives for it.
    pub on_curve: f64,
    /// The value less that.
    pub residual: f64,
    /// The value that the curve of all other readings gives; null: they cannot tell.
    pub without_itself: Option<f64>,
    /// Whether that is beyond the accuracy of the readings.
    pub exceeds: bool,
    #[serde(skip)]
    accuracy: Option<f64>,
}

/// A kind that was looked at.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CandidateAnswer {
    /// The kind.
    pub kind: Kind,
    /// By how much it misses inner readings that are left out, root mean square; null: nothing could be left out.
    pub missed_by: Option<f64>,
    /// Why it is out of the question; null: it is not.
    pub refused: Option<String>,
}

impl SenderAnswer {
    /// What `sender` answers about a file.
    pub fn of(file: &str, learned: &Learned) -> Self {
        let (tolerance, accuracy) = match learned.cover {
            Cover::Tolerance(share) => (Some(share.0), None),
            Cover::Accuracy(value) => (None, Some(value)),
            Cover::Unknown => (None, None),
        };
        let candidates = learned.candidates.iter().map(|candidate| CandidateAnswer {
            kind: candidate.kind,
            missed_by: candidate.missed_by,
            refused: candidate.refused.clone(),
        });
        let mut answer = Self {
            ohmwright: env!("CARGO_PKG_VERSION"),
            command: "sender",
            file: file.to_owned(),
            verdict: if learned.contradicts { "contradiction" } else { "learned" },
            unit: learned.curve.unit().to_owned(),
            kind: learned.kind,
            reason: learned.reason.clone(),
            coefficients: learned.law.map(coefficients),
            range: Ends { lowest: learned.range.lowest, highest: learned.range.highest },
            tolerance,
            accuracy,
            uncertainty_from: learned.uncertainty_from.clone(),
            curve: learned.places.iter().map(place).collect(),
            readings: learned.rows.iter().map(row).collect(),
            candidates: candidates.collect(),
            warnings: learned.warnings.clone(),
            remarks: learned.remarks.clone(),
            sender: String::new(),
            whole: learned.curve.clone(),
        };
        answer.sender = entries(&answer);
        answer
    }
}

fn coefficients(law: Law) -> Coefficients {
    match law {
        Law::Beta(law) => Coefficients::Beta { at_celsius: law.t0.0, ohm: law.r0.0, beta_kelvin: law.beta },
        Law::SteinhartHart(law) => Coefficients::SteinhartHart { a: law.a, b: law.b, c: law.c },
        Law::Platinum(law) => Coefficients::Platinum { ohm: law.r0.0 },
    }
}

fn place(place: &Place) -> PlaceAnswer {
    let ohm = place.resistance.0;
    PlaceAnswer {
        value: place.value,
        ohm,
        band: place.off_by.map(|off| Ends::around(place.value, off)),
        band_ohm: place
            .share_off
            .map(|share| Ends::around(ohm, ohm * share.0))
            .filter(|ends| ends.lowest.is_finite()),
        off_by: place.off_by,
        share_off: place.share_off.map(|share| share.0),
    }
}

fn row(row: &Row) -> RowAnswer {
    RowAnswer {
        row: row.reading.row,
        line: row.reading.line,
        value: row.reading.value,
        ohm: row.reading.resistance.0,
        on_curve: row.on_curve,
        residual: row.residual,
        without_itself: row.without_itself,
        exceeds: row.exceeds,
        accuracy: row.reading.value_accuracy,
    }
}

/// The report for people.
pub fn sender_text(answer: &SenderAnswer) -> String {
    let mut page = Page::default();
    page.heading(&format!("{}: {}", answer.file, title(answer)));
    page.gap();
    page.paragraph("", &answer.reason);
    coefficients_section(&mut page, answer);
    cover(&mut page, answer);
    curve(&mut page, answer);
    readings(&mut page, answer);
    chart(&mut page, answer);
    if !answer.warnings.is_empty() {
        page.heading("Doubts");
        page.items("! ", &answer.warnings);
    }
    if !answer.remarks.is_empty() {
        page.gap();
        page.items("- ", &answer.remarks);
    }
    page.heading("What to put in a brief");
    page.paragraph(
        "",
        "`--output FILE` writes this, and `sender: { file: FILE }` reads it; or as it stands:",
    );
    page.gap();
    page.line("sender:");
    for line in answer.sender.lines() {
        page.line(&format!("  {line}"));
    }
    page.finish()
}

fn title(answer: &SenderAnswer) -> String {
    let count = answer.readings.len();
    if answer.verdict == "contradiction" {
        return format!("the {count} readings contradict each other");
    }
    let doubts = match answer.warnings.len() {
        0 => String::new(),
        1 => ", with one doubt".to_owned(),
        many => format!(", with {many} doubts"),
    };
    format!("{}, learned from {count} readings{doubts}", answer.kind.name())
}

fn coefficients_section(page: &mut Page, answer: &SenderAnswer) {
    let Some(coefficients) = answer.coefficients else { return };
    page.gap();
    match coefficients {
        Coefficients::Beta { at_celsius, ohm, beta_kelvin } => {
            page.line("R = R0 · exp(beta · (1/T − 1/T0)), T in kelvin");
            page.line(&format!(
                "  T0 = {}, R0 = {}, beta = {:.1} K",
                Celsius(at_celsius),
                Ohms(ohm),
                beta_kelvin
            ));
        }
        Coefficients::SteinhartHart { a, b, c } => {
            page.line("1/T = A + B · ln R + C · (ln R)³, T in kelvin, R in ohms");
            page.line(&format!("  A = {a:.6e} 1/K, B = {b:.6e} 1/K, C = {c:.6e} 1/K"));
        }
        Coefficients::Platinum { ohm } => {
            page.line("R = R0 · (1 + A·t + B·t² …) after IEC 60751, t in °C");
            page.line(&format!("  R0 = {} at 0 °C", Ohms(ohm)));
        }
    }
}

fn cover(page: &mut Page, answer: &SenderAnswer) {
    let Ends { lowest, highest } = answer.range;
    let range = format!("{} to {} {}", plain(lowest), plain(highest), answer.unit);
    let how_far = match (answer.tolerance, answer.accuracy) {
        (Some(share), _) => format!("its resistance is within ±{}", Fraction(share)),
        (_, Some(value)) => format!("its value is within ±{} {}", plain(value), answer.unit),
        _ => "nobody knows how far it is off".to_owned(),
    };
    let confidence = answer
        .uncertainty_from
        .as_ref()
        .map_or_else(String::new, |from| format!(" with 95 % confidence, {from}"));
    page.gap();
    page.paragraph("", &format!("From {range} {how_far}{confidence}."));
}

/// A small number with two significant digits.
fn small(number: f64) -> String {
    let magnitude = number.abs();
    if magnitude == 0.0 || !number.is_finite() {
        return "0".to_owned();
    }
    let places = (1.0 - magnitude.log10().floor()).clamp(0.0, 9.0) as usize;
    decimals(number, places)
}

fn curve(page: &mut Page, answer: &SenderAnswer) {
    use Flush::{Left, Right};
    let columns: [Column; 4] =
        [("value", Right), ("resistance", Right), ("95 % band", Right), ("of R", Left)];
    let rows = answer.curve.iter().map(|place| {
        let band = |off: f64| format!("±{} {}", small(off), answer.unit);
        vec![
            format!("{} {}", plain(place.value), answer.unit),
            Ohms(place.ohm).to_string(),
            place.off_by.map_or_else(|| "unknown".to_owned(), band),
            match place.share_off {
                Some(share) if share.is_finite() => format!("±{} %", small(share * 100.0)),
                _ => "-".to_owned(),
            },
        ]
    });
    page.heading("The curve");
    page.table(&columns, rows.collect());
}

fn readings(page: &mut Page, answer: &SenderAnswer) {
    use Flush::{Left, Right};
    page.heading("The readings");
    let columns: [Column; 7] = [
        ("row", Right),
        ("value", Right),
        ("measured", Right),
        ("curve gives", Right),
        ("residual", Right),
        ("without itself", Right),
        ("", Left),
    ];
    let span = answer.readings.iter().map(|row| row.value);
    let (low, high) =
        span.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| (low.min(x), high.max(x)));
    // A tenth of the finest stated accuracy shows, too.
    let finest = answer.readings.iter().filter_map(|row| row.accuracy).filter(|off| *off > 0.0);
    let of_accuracy = finest.map(|off| (1.0 - off.log10().floor()).clamp(0.0, 6.0) as usize).max();
    let places = places_for(high - low).max(of_accuracy.unwrap_or(0));
    let rows = answer.readings.iter().map(|row| {
        vec![
            row.row.to_string(),
            format!("{} {}", plain(row.value), answer.unit),
            Ohms(row.ohm).to_string(),
            decimals(row.on_curve, places),
            decimals(row.residual, places),
            row.without_itself.map_or_else(|| "-".to_owned(), |value| decimals(value, places)),
            if row.exceeds { "!" } else { "" }.to_owned(),
        ]
    });
    page.table(&columns, rows.collect());
    if answer.readings.iter().any(|row| row.exceeds) {
        page.gap();
        page.paragraph(
            "! ",
            "no errors within the stated accuracy bring this reading to the curve of the others",
        );
    }
}

fn chart(page: &mut Page, answer: &SenderAnswer) {
    let readings: Vec<(f64, f64)> = answer.readings.iter().map(|row| (row.value, row.ohm)).collect();
    let Ends { lowest, highest } = answer.range;
    let at = |i: u32| lowest + (highest - lowest) * f64::from(i) / 200.0;
    let curve: Vec<(f64, f64)> = (0..=200).map(at).map(|value| (value, answer.whole.at(value).0)).collect();
    page.gap();
    for line in (Chart { readings: &readings, curve: &curve, unit: &answer.unit }).lines() {
        page.line(&line);
    }
}
