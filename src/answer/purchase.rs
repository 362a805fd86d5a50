//! What has to be bought.

use serde::Serialize;

/// The list for a batch of boards.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PurchaseAnswer {
    /// How many of each board are built.
    pub batch: u64,
    /// Whether that is of several boards.
    #[serde(skip)]
    pub has_several_boards: bool,
    /// One row a part to buy: resistors by rising value, then capacitors.
    pub purchase: Vec<PurchaseRow>,
    /// What all rows with a price cost together; absent where none has one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub purchase_price: Option<f64>,
    /// Inputs whose parts are missing, since no choice exists for them.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub purchase_without: Vec<String>,
    /// Inputs that are assembled in several ways: the list has the parts of their first variant.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub purchase_first_variant_of: Vec<String>,
}

/// One part to buy.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PurchaseRow {
    /// What it is.
    #[serde(flatten)]
    pub part: PurchasePart,
    /// Pieces on one of each board.
    pub count: u64,
    /// Where they are used, such as `diesel pull_up`.
    pub used: Vec<String>,
    /// Pieces for the whole batch.
    pub pieces: u64,
    /// Pieces to buy: whole packs, as far as there are any.
    pub buy: u64,
    /// What these cost; absent where that is not known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub price: Option<f64>,
    /// Pieces that are missing in stock.
    pub short: u64,
    /// The row of a stock file that they are taken from.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reel: Option<ReelAnswer>,
    /// The stock file from which they should come, but which has none that serves.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub missing_in: Option<String>,
}

/// What a part to buy is.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(untagged)]
pub enum PurchasePart {
    /// A resistor.
    Resistor(PurchaseResistor),
    /// A capacitor.
    Capacitor {
        /// Nominal value.
        farad: f64,
        /// The greatest voltage that it sees in any case; null: unlimited.
        voltage_v: f64,
    },
}

/// A resistor to buy.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PurchaseResistor {
    /// Nominal value.
    pub ohm: f64,
    /// How far a new part may be off, a share.
    pub tolerance: f64,
    /// Its change with temperature, either sign, a share per kelvin.
    pub tempco: f64,
    /// Its change over life, a share.
    pub ageing: f64,
    /// Its size; null: none of the standard ones.
    pub size: Option<&'static str>,
    /// What it stands.
    pub rating_w: f64,
    /// The voltage that it stands.
    pub working_voltage_v: f64,
    /// The greatest dissipation of one of these parts, in normal use and in the cases to be survived.
    pub dissipation_w: f64,
    /// The greatest voltage across one of them, likewise.
    pub voltage_v: f64,
    /// The group in which they track each other: they come from one network or one reel.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tracks: Option<String>,
    /// In what it is better than some of its places ask for, so that one part serves all of them.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub better_than_asked: Vec<&'static str>,
}

/// A row of a stock file.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ReelAnswer {
    /// The file.
    pub file: String,
    /// The line.
    pub line: usize,
    /// Pieces that are sold together.
    pub pack: u64,
    /// Pieces there are; null: as many as needed.
    pub quantity: Option<u64>,
    /// Its size; absent where the file does not say.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub size: Option<&'static str>,
    /// What one piece costs.
    pub price_each: Option<f64>,
}
