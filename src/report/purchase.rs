//! What has to be bought.

use itertools::Itertools;

use super::page::{Column, Flush, Page};
use super::words::grouped;
use crate::answer::{PurchaseAnswer, PurchasePart, PurchaseResistor, PurchaseRow, ReelAnswer};
use crate::quantity::{Farads, Fraction, Ohms, PerKelvin, Volts, Watts};

use Flush::{Left, Right};

/// What to buy, a line a part; where it comes from and what it costs, if there is anything to say; and what is to be known.
pub(super) fn section(page: &mut Page, found: &PurchaseAnswer) {
    if found.purchase.is_empty() && found.purchase_without.is_empty() {
        return;
    }
    page.heading("To buy");
    if !found.purchase.is_empty() {
        parts(page, found);
    }
    if found.batch > 1 || found.purchase.iter().any(|row| row.reel.is_some()) {
        pieces(page, found);
    }
    let notes: Vec<String> =
        found.purchase.iter().flat_map(notes).chain(left_out(found)).chain(first_variants(found)).collect();
    if !notes.is_empty() {
        page.gap();
        page.items("- ", &notes);
    }
}

/// A figure of a resistor that has a column of its own only where it differs.
type Figure = (&'static str, fn(&PurchaseResistor) -> f64, fn(f64) -> String);

const FIGURES: [Figure; 2] = [
    ("tempco", |resistor| resistor.tempco, |tempco| PerKelvin(tempco).to_string()),
    ("ageing", |resistor| resistor.ageing, |ageing| Fraction(ageing).to_string()),
];

fn resistor(row: &PurchaseRow) -> Option<&PurchaseResistor> {
    match &row.part {
        PurchasePart::Resistor(resistor) => Some(resistor),
        PurchasePart::Capacitor { .. } => None,
    }
}

/// What the parts are and where they are used, and what they bear: on the same line unless figures that differ take its
/// room.
fn parts(page: &mut Page, found: &PurchaseAnswer) {
    let rows = &found.purchase;
    let differs = |(_, of, _): &Figure| !rows.iter().filter_map(resistor).map(of).all_equal();
    let figures: Vec<Figure> = FIGURES.into_iter().filter(differs).collect();
    let has_room = figures.is_empty();
    let loads: [Column<'_>; 2] = [("dissipates", Right), ("voltage", Right)];
    let mut columns: Vec<Column<'_>> = vec![("value", Right), ("tolerance", Right)];
    columns.extend(figures.iter().map(|(name, ..)| (*name, Right)));
    columns.push(("size", Left));
    columns.extend(loads.iter().filter(|_| has_room));
    columns.extend([("a board", Right), ("used at", Left)]);
    let line = |row: &PurchaseRow| {
        let part = resistor(row);
        let of = |said: &dyn Fn(&PurchaseResistor) -> String| part.map_or_else(String::new, said);
        let mut cells = vec![value(row), of(&|part| format!("±{}", Fraction(part.tolerance)))];
        cells.extend(figures.iter().map(|(_, figure, said)| of(&|part| said(figure(part)))));
        cells.push(of(&size));
        cells.extend(borne(row).into_iter().filter(|_| has_room));
        cells.extend([row.count.to_string(), row.used.iter().map(|used| place(used)).join(", ")]);
        cells
    };
    page.table(&columns, rows.iter().map(line).collect());
    if !has_room {
        let columns =
            [("value", Right), ("dissipates", Right), ("of", Right), ("voltage", Right), ("of", Right)];
        let line = |row: &PurchaseRow| {
            let [power, voltage] = borne(row);
            let of = |said: fn(&PurchaseResistor) -> String| resistor(row).map_or_else(String::new, said);
            let rating = of(|part| Watts(part.rating_w).to_string());
            vec![value(row), power, rating, voltage, of(|part| Volts(part.working_voltage_v).to_string())]
        };
        page.table(&columns, rows.iter().map(line).collect());
    }
}

/// Where a part is used. That a capacitor is one, its value says.
fn place(used: &str) -> &str {
    used.strip_suffix(" capacitor").unwrap_or(used)
}

/// The greatest dissipation and voltage.
fn borne(row: &PurchaseRow) -> [String; 2] {
    let (power, voltage) = match &row.part {
        PurchasePart::Resistor(part) => (Some(part.dissipation_w), part.voltage_v),
        PurchasePart::Capacitor { voltage_v, .. } => (None, *voltage_v),
    };
    [
        power.map_or_else(String::new, |power| slight(&Watts(power), &Watts(1e-6))),
        slight(&Volts(voltage), &Volts(1e-3)),
    ]
}

/// A quantity, or that it is less than what matters to anybody.
fn slight<Q: PartialOrd + std::fmt::Display>(quantity: &Q, matters: &Q) -> String {
    if quantity < matters { format!("< {matters}") } else { quantity.to_string() }
}

fn value(row: &PurchaseRow) -> String {
    match &row.part {
        PurchasePart::Resistor(resistor) => format!("{:#}", Ohms(resistor.ohm)),
        PurchasePart::Capacitor { farad, .. } => format!("{:#}", Farads(*farad)),
    }
}

/// The size, or what the part stands where no standard size does just that.
fn size(resistor: &PurchaseResistor) -> String {
    let stands = || format!("{}, {}", Watts(resistor.rating_w), Volts(resistor.working_voltage_v));
    resistor.size.map_or_else(stands, str::to_owned)
}

/// Pieces for the batch, and what is taken from where.
fn pieces(page: &mut Page, found: &PurchaseAnswer) {
    page.gap();
    let boards =
        if found.batch == 1 { "one board".to_owned() } else { format!("{} boards", grouped(found.batch)) };
    let each = if found.has_several_boards { " of each kind" } else { "" };
    let mut files = found.purchase.iter().filter_map(|row| Some(row.reel.as_ref()?.file.as_str())).unique();
    let only = files.next().filter(|_| files.next().is_none());
    let from = only.map(|file| format!(", lines of {file}")).unwrap_or_default();
    page.paragraph("", &format!("For {boards}{each}{from}:"));
    let columns = [
        ("value", Right),
        ("pieces", Right),
        ("in packs of", Right),
        ("to buy", Right),
        ("short by", Right),
        ("price", Right),
        ("from", Left),
    ];
    page.table(&columns, found.purchase.iter().map(|row| piece(row, only)).collect());
    if let Some(price) = found.purchase_price {
        page.gap();
        page.paragraph("", &format!("Together, as far as there are prices: {}.", money(price)));
    }
}

fn piece(row: &PurchaseRow, only: Option<&str>) -> Vec<String> {
    let reel = row.reel.as_ref();
    let from = match (reel, &row.missing_in) {
        (Some(reel), _) if only.is_some() => format!("line {}{}", reel.line, other_size(row, reel)),
        (Some(reel), _) => format!("{} line {}{}", reel.file, reel.line, other_size(row, reel)),
        (None, Some(file)) => format!("elsewhere: not in {file}"),
        (None, None) => String::new(),
    };
    vec![
        value(row),
        grouped(row.pieces),
        reel.map_or_else(String::new, |reel| grouped(reel.pack)),
        grouped(row.buy),
        if row.short > 0 { grouped(row.short) } else { String::new() },
        row.price.map_or_else(String::new, money),
        from,
    ]
}

/// The size of a reel that is another one than was asked for.
fn other_size(row: &PurchaseRow, reel: &ReelAnswer) -> String {
    let asked = resistor(row).and_then(|part| part.size);
    reel.size.filter(|size| Some(*size) != asked).map_or_else(String::new, |size| format!(" ({size})"))
}

/// A price with all its digits.
fn money(price: f64) -> String {
    price.to_string()
}

/// What is to be known of a row.
fn notes(row: &PurchaseRow) -> Vec<String> {
    let PurchasePart::Resistor(resistor) = &row.part else { return Vec::new() };
    let name = format!("{} ({})", value(row), row.used.join(", "));
    let better = (!resistor.better_than_asked.is_empty()).then(|| {
        let names = resistor.better_than_asked.join(", ");
        format!("{name}: better in {names} than some of these places ask for, so that one part serves all")
    });
    let tracks = resistor.tracks.as_ref().map(|group| {
        format!("{name}: from one network or one reel, since they track each other (`{group}`)")
    });
    better.into_iter().chain(tracks).collect()
}

fn left_out(found: &PurchaseAnswer) -> Option<String> {
    (!found.purchase_without.is_empty())
        .then(|| format!("The parts of {} are missing: no choice exists.", found.purchase_without.join(", ")))
}

fn first_variants(found: &PurchaseAnswer) -> Option<String> {
    let names = found.purchase_first_variant_of.join(", ");
    (!names.is_empty()).then(|| {
        format!("{names}: the parts of variant 1; boards of another variant need those that are listed for it above.")
    })
}
