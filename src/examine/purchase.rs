//! What has to be bought for boards that were examined.

use crate::answer::{
    Answer, GradeAnswer, Ordered, PartAnswer, PurchaseAnswer, PurchasePart, PurchaseResistor, PurchaseRow,
    ReelAnswer,
};
use crate::board::{Board, Capacitor, Choice, Price};
use crate::purchase::{self, CapacitorLine, ResistorLine, Taken, Use, size_of};
use crate::quantity::{Farads, Fraction, Ohms, PerKelvin};

/// What has to be bought for so many of each of these boards, with the values and grades of their answers.
pub fn purchase(boards: &[(&Board, &Answer)], batch: u64) -> PurchaseAnswer {
    let fitted: Vec<Board> = boards.iter().map(|(board, answer)| fitted(board, answer)).collect();
    let found = purchase::list(&fitted.iter().collect::<Vec<_>>(), batch);
    let names: Vec<&str> = boards.iter().map(|(board, _)| board.name.as_str()).collect();
    let said = |used: &Use| said(used, &names);
    let resistors = found.resistors.iter().map(|line| resistor(line, &said));
    let capacitors = found.capacitors.iter().map(|line| capacitor(line, &said));
    let prices = found.resistors.iter().filter_map(|line| line.taken.as_ref()?.price);
    let price = prices.reduce(|Price(a), Price(b)| Price(a.saturating_add(b)));
    PurchaseAnswer {
        batch,
        has_several_boards: boards.len() > 1,
        purchase: resistors.chain(capacitors).collect(),
        purchase_price: price.map(Price::in_currency),
        purchase_without: found.left_out.iter().map(said).collect(),
        purchase_first_variant_of: boards
            .iter()
            .enumerate()
            .flat_map(|(place, _)| several_ways(boards, place, &said))
            .collect(),
    }
}

/// The inputs of a board that are assembled in several ways.
fn several_ways(boards: &[(&Board, &Answer)], place: usize, said: &impl Fn(&Use) -> String) -> Vec<String> {
    let rows = boards[place].1.variants.iter().filter(|row| row.chosen && row.sets.len() > 1);
    rows.map(|row| said(&Use { board: place, input: row.input.clone(), part: "" })).collect()
}

/// Puts what has to be bought for so many boards into their answer: the list, and a caution for what is short.
pub fn add_purchase(board: &Board, answer: &mut Answer, batch: u64) {
    let found = purchase(&[(board, answer)], batch);
    answer.cautions.extend(shortages(&found));
    answer.purchase = Some(found);
}

/// A caution for each part of which there are not enough pieces.
pub fn shortages(found: &PurchaseAnswer) -> Vec<String> {
    let short = found.purchase.iter().filter(|row| row.short > 0);
    let caution = |row: &PurchaseRow| {
        let PurchasePart::Resistor(resistor) = &row.part else { return None };
        let reel = row.reel.as_ref()?;
        let boards =
            if found.batch == 1 { "one board".to_owned() } else { format!("{} boards", found.batch) };
        Some(format!(
            "{} of {} pieces of {:#} are missing for {boards}: no row of {} that serves has more left than line {}",
            row.short,
            row.pieces,
            Ohms(resistor.ohm),
            reel.file,
            reel.line,
        ))
    };
    short.filter_map(caution).collect()
}

/// The board with the values and grades of its answer. An input without a choice stays as it is.
fn fitted(board: &Board, answer: &Answer) -> Board {
    let mut board = board.clone();
    for input in &mut board.inputs {
        let found = answer.inputs.0.iter().find(|(name, _)| *name == input.name);
        let Some(Ordered(parts)) = found.map(|(_, input)| &input.parts) else { continue };
        let of = |key: &str| parts.iter().find(|(name, _)| name == key).map(|(_, part)| part);
        for part in &mut input.parts {
            match of(part.role.key()) {
                Some(Some(PartAnswer::Resistor { ohm, .. })) => part.choice = Choice::Fixed(Ohms(*ohm)),
                Some(_) => part.choice = Choice::Absent,
                None => {}
            }
            let rows = answer.grades.iter().flat_map(|grades| &grades.parts);
            let mut rows = rows.filter(|row| row.input == input.name && row.part == part.role.key());
            if let Some(GradeAnswer { tolerance, tempco, ageing }) = rows.next().map(|row| row.grade) {
                part.grade.tolerance = Fraction(tolerance);
                part.grade.tempco = PerKelvin(tempco);
                part.grade.ageing = Fraction(ageing);
            }
        }
        if let Some(Some(PartAnswer::Capacitor { farad, .. })) = of("capacitor") {
            input.capacitor = Capacitor::Fixed(Farads(*farad));
        }
    }
    board
}

/// `diesel pull_up`; with its board where there are several.
fn said(used: &Use, boards: &[&str]) -> String {
    let place = format!("{} {}", used.input, used.part);
    match boards {
        [_] => place.trim_end().to_owned(),
        _ => format!("{}: {}", boards.get(used.board).copied().unwrap_or_default(), place.trim_end()),
    }
}

fn resistor(line: &ResistorLine, said: &dyn Fn(&Use) -> String) -> PurchaseRow {
    let grade = &line.grade;
    PurchaseRow {
        part: PurchasePart::Resistor(PurchaseResistor {
            ohm: line.ohms.0,
            tolerance: grade.tolerance.0,
            tempco: grade.tempco.0,
            ageing: grade.ageing.0,
            size: size_of(grade).map(|size| size.name),
            rating_w: grade.rating.0,
            working_voltage_v: grade.working_voltage.0,
            dissipation_w: line.power.0,
            voltage_v: line.voltage.0,
            tracks: line.tracks.clone(),
            better_than_asked: line.better.clone(),
        }),
        count: line.used.len() as u64,
        used: line.used.iter().map(said).collect(),
        pieces: line.pieces,
        buy: line.taken.as_ref().map_or(line.pieces, |taken| taken.buy),
        price: line.taken.as_ref().and_then(|taken| taken.price).map(Price::in_currency),
        short: line.taken.as_ref().map_or(0, |taken| taken.short),
        reel: line.taken.as_ref().map(reel),
        missing_in: line.missing_in.clone(),
    }
}

fn reel(taken: &Taken) -> ReelAnswer {
    ReelAnswer {
        file: taken.stock.clone(),
        line: taken.reel.line,
        pack: taken.reel.pack,
        quantity: taken.reel.quantity,
        size: taken.reel.size.map(|size| size.name),
        price_each: taken.reel.price.map(Price::in_currency),
    }
}

fn capacitor(line: &CapacitorLine, said: &dyn Fn(&Use) -> String) -> PurchaseRow {
    PurchaseRow {
        part: PurchasePart::Capacitor { farad: line.farads.0, voltage_v: line.voltage.0 },
        count: line.used.len() as u64,
        used: line.used.iter().map(said).collect(),
        pieces: line.pieces,
        buy: line.pieces,
        price: None,
        short: 0,
        reel: None,
        missing_in: None,
    }
}
