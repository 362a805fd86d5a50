//! The flags of one-line questions: each says where its value stands in a brief.

use clap::{Arg, ArgAction};
use itertools::Itertools;

use crate::limits::LIMITS;
use crate::quantity::{Celsius, Quantity, Volts, parse_range};

/// The name of the only input of a one-line question.
pub(super) const INPUT: &str = "input";

/// The rail that a question is about unless it names another.
pub(super) const RAIL: &str = "logic";

/// The rail that is made for an excitation that is given as a voltage.
pub(super) const EXCITATION: &str = "excitation";

/// What a value becomes in the brief.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Shape {
    /// Text, as it is.
    Text,
    /// A list: commas separate its entries.
    List,
    /// A list if there is a comma, else text.
    TextOrList,
    /// A part: a range is what it is chosen from, everything else stands as it is.
    Part,
    /// `LOWEST..HIGHEST` in volts: two keys.
    VoltageEnds,
    /// `LOWEST..HIGHEST` in degrees: two keys.
    TemperatureEnds,
    /// A rail, the supply, or a voltage, for which a rail is made.
    Excitation,
    /// A rail, or a voltage of its own.
    Reference,
    /// Resistances at both ends, or points, which have a colon.
    Sender,
    /// Points: pairs with a colon between them.
    Points,
    /// The three coefficients of Steinhart and Hart between commas.
    Coefficients,
    /// `NAME=VALUE`, any number of them.
    Limit,
}

/// One flag.
#[derive(Debug)]
pub(super) struct Flag {
    /// Its name without dashes.
    pub(super) name: &'static str,
    /// What its value is called in the help.
    value: &'static str,
    /// The keys down to its value in a brief; a leading dot means: below the input.
    key: &'static str,
    /// What its value becomes.
    pub(super) shape: Shape,
    help: &'static str,
}

/// Flags under one heading of the help.
#[derive(Debug)]
pub(super) struct Group {
    /// The heading.
    heading: &'static str,
    /// Whether the short help shows it.
    everyday: bool,
    /// Its flags.
    pub(super) flags: &'static [Flag],
}

/// One line of a table of flags.
const fn flag(name: &'static str, value: &'static str, key: &'static str, help: &'static str) -> Flag {
    Flag { name, value, key, shape: Shape::Text, help }
}

impl Flag {
    const fn of(mut self, shape: Shape) -> Self {
        self.shape = shape;
        self
    }

    /// The keys from the top of a brief down to the value.
    pub(super) fn path(&self) -> Vec<&'static str> {
        match self.key.strip_prefix('.') {
            Some(below) => ["inputs", INPUT].into_iter().chain(below.split('.')).collect(),
            None => self.key.split('.').collect(),
        }
    }

    /// The flag for the parser of arguments.
    fn arg(&self, group: &Group) -> Arg {
        let arg = Arg::new(self.name)
            .long(self.name)
            .value_name(self.value)
            .help(self.help)
            .help_heading(group.heading)
            .hide_short_help(!group.everyday)
            // Temperatures and ground shifts may start with a minus.
            .allow_hyphen_values(true);
        match self.shape {
            Shape::VoltageEnds => arg.value_parser(ends::<Volts>),
            Shape::TemperatureEnds => arg.value_parser(ends::<Celsius>),
            Shape::Limit => {
                let names = LIMITS.iter().map(|limit| limit.name).join(", ");
                let long = format!("{}.\nLimits: {names}.", self.help);
                arg.value_parser(limit).action(ArgAction::Append).long_help(long)
            }
            _ => arg.value_parser(plain),
        }
    }
}

impl Group {
    /// Its flags for the parser of arguments.
    pub(super) fn args(&self) -> impl Iterator<Item = Arg> {
        self.flags.iter().map(|flag| flag.arg(self))
    }
}

/// Text without characters that could disturb a terminal or a file.
fn plain(text: &str) -> Result<String, String> {
    if text.chars().any(char::is_control) {
        return Err("expected text without control characters".to_owned());
    }
    Ok(text.to_owned())
}

/// Both ends, in the notation of a brief.
pub(super) type Ends = (String, String);

fn ends<Q: Quantity + std::fmt::Display>(text: &str) -> Result<Ends, String> {
    let (lowest, highest) = parse_range::<Q>(text).map_err(|error| error.to_string())?;
    Ok((format!("{lowest:#}"), format!("{highest:#}")))
}

/// A limit and its setting; the name is empty where all limits are meant.
pub(super) type LimitSetting = (String, String);

fn limit(text: &str) -> Result<LimitSetting, String> {
    match text.split_once('=') {
        None if text == "off" => Ok((String::new(), text.to_owned())),
        Some((name, value)) if !name.trim().is_empty() && !value.trim().is_empty() => {
            Ok((name.trim().replace('-', "_"), value.trim().to_owned()))
        }
        _ => {
            Err("expected NAME=VALUE such as sender_current=20mA or settling=off, or off for all".to_owned())
        }
    }
}

/// The sender of a pull-up.
pub(super) const SENDER: Group = Group {
    heading: "The sender",
    everyday: true,
    flags: &[
        flag(
            "sender",
            "OHMS..OHMS",
            ".sender",
            "Its resistance at 0 % and at 100 %: 240..33; or points, as many as are known: 0:240,50:103,100:33",
        )
        .of(Shape::Sender),
        flag("unit", "UNIT", ".sender.unit", "The unit of its points: %, °C, L, ..."),
        flag("sender-tolerance", "SHARE", ".sender.tolerance", "How far its resistance may be off"),
        flag("accuracy", "VALUE", ".sender.accuracy", "How far its value may be off, in the unit"),
        flag(
            "excitation",
            "WHAT",
            ".excitation",
            "What feeds it: a voltage such as 5V (a rail of its own), or supply",
        )
        .of(Shape::Excitation),
        flag(
            "excitation-tolerance",
            "SHARE",
            "rails.excitation.tolerance",
            "How far that voltage may be off [default: 2 %]",
        ),
        flag(
            "excitation-sink-current",
            "AMPERES",
            "rails.excitation.sink_current",
            "What that rail can sink [default: 0 A]",
        ),
        flag(
            "excitation-least-load",
            "AMPERES",
            "rails.excitation.least_load",
            "What the board draws from that rail at least [default: 0 A]",
        ),
        flag(
            "excitation-when-reversed",
            "ON|OFF",
            "rails.excitation.when_reversed",
            "Whether that rail stays up when the supply is reversed [default: off]",
        ),
    ],
};

/// Senders that are not given by their resistances.
pub(super) const LAWS: Group = Group {
    heading: "A sender with a law, or learned from readings, instead of --sender",
    everyday: true,
    flags: &[
        flag(
            "sender-file",
            "FILE",
            ".sender.file",
            "What `ohmwright sender` has written, or readings themselves",
        ),
        flag(
            "ntc",
            "OHMS",
            ".sender.ntc.resistance",
            "A thermistor by its resistance, with --beta and --range",
        ),
        flag("beta", "KELVIN", ".sender.ntc.beta", "Its Beta value: 3950"),
        flag("ntc-at", "TEMPERATURE", ".sender.ntc.at", "Where it has that resistance [default: 25 °C]"),
        flag(
            "steinhart-hart",
            "A,B,C",
            ".sender.steinhart_hart",
            "A thermistor by its coefficients: 1.129e-3,2.341e-4,8.767e-8, with --range",
        )
        .of(Shape::Coefficients),
        flag(
            "platinum",
            "OHMS",
            ".sender.platinum",
            "A platinum sensor by its resistance at 0 °C, with --range",
        ),
        flag("class", "CLASS", ".sender.class", "Its class: AA, A, B or C"),
        flag("range", "FROM..TO", ".sender.range", "What it measures: -20..120°C"),
        flag("interpolation", "KIND", ".sender.interpolation", "Between points: linear or monotone"),
        flag("shape", "POINTS", ".sender.shape", "The shape of a tank, level to volume: 0:0L,50:20L,100:55L")
            .of(Shape::Points),
        flag("self-heating", "W/K", ".sender.self_heating", "What warms it by one kelvin: 2mW/K"),
    ],
};

/// The source of a divider.
pub(super) const SOURCE: Group = Group {
    heading: "The voltage",
    everyday: true,
    flags: &[
        flag("measures", "VOLTS..VOLTS", ".measures", "The voltages to be measured: 0..32V"),
        flag("from", "SOURCE", ".from", "`supply` if it is a vehicle's supply, which surges reach"),
        flag(
            "scales-with",
            "RAIL",
            ".scales_with",
            "`logic` if it is a sensor that the rail of the board feeds and whose output follows it",
        ),
        flag("signal-resistance", "OHMS", ".signal_resistance", "Resistance of the source"),
        flag("reads", "POINTS", ".reads", "What it means, with --unit: 0.5V:-100,4.5V:100").of(Shape::Points),
        flag("unit", "UNIT", ".unit", "The unit of what it means: A, bar, °C, ..."),
        flag("shape", "POINTS", ".shape", "The shape of a tank, level to volume: 0:0L,50:20L,100:55L")
            .of(Shape::Points),
    ],
};

const PROTECTION: Flag = flag(
    "protection",
    "PART",
    ".protection",
    "Between node and pin, limits the pin current [default: choose]",
)
.of(Shape::Part);
const CAPACITOR: Flag =
    flag("capacitor", "FARADS", ".capacitor", "From the pin to ground, or none [default: 100 nF]");

/// The parts of a pull-up.
pub(super) const PULL_UP_PARTS: Group = Group {
    heading: "Parts: a value, choose, none, or a range to choose from (47..2k2)",
    everyday: true,
    flags: &[
        flag("pull-up", "PART", ".pull_up", "From the excitation to the sender's wire [default: choose]")
            .of(Shape::Part),
        flag("shunt", "PART", ".shunt", "From the sender's wire to ground").of(Shape::Part),
        flag("line", "PART", ".line", "In the sender's wire").of(Shape::Part),
        flag("top", "PART", ".top", "Upper part of a divider behind the sender").of(Shape::Part),
        flag("bottom", "PART", ".bottom", "Lower part of a divider behind the sender").of(Shape::Part),
        PROTECTION,
        CAPACITOR,
    ],
};

/// The parts of a divider.
pub(super) const DIVIDER_PARTS: Group = Group {
    heading: "Parts: a value, choose, none, or a range to choose from (1k..100k)",
    everyday: true,
    flags: &[
        flag("extension", "PART", ".extension", "In series in front of it").of(Shape::Part),
        flag("top", "PART", ".top", "From the wire to the measuring node [default: choose]").of(Shape::Part),
        flag("bottom", "PART", ".bottom", "From the measuring node to ground [default: choose]")
            .of(Shape::Part),
        PROTECTION,
        CAPACITOR,
    ],
};

/// The parts of a level shift.
pub(super) const LEVEL_SHIFT_PARTS: Group = Group {
    heading: "Parts: a value, choose, none, or a range to choose from (1k..100k)",
    everyday: true,
    flags: &[
        flag("top", "PART", ".top", "From the wire to the measuring node [default: choose]").of(Shape::Part),
        flag("bias", "PART", ".bias", "From the node to the rail that lifts it [default: choose]")
            .of(Shape::Part),
        flag("bias-to", "RAIL", ".bias_to", "That rail [default: logic]"),
        flag("bottom", "PART", ".bottom", "From the measuring node to ground [default: choose]")
            .of(Shape::Part),
        PROTECTION,
        CAPACITOR,
    ],
};

/// The transmitter of a burden.
pub(super) const LOOP: Group = Group {
    heading: "The current",
    everyday: true,
    flags: &[
        flag("measures", "AMPERES..AMPERES", ".measures", "The currents to be measured: 4..20mA"),
        flag("reads", "POINTS", ".reads", "What they mean, with --unit: 4mA:0,20mA:10").of(Shape::Points),
        flag("unit", "UNIT", ".unit", "The unit of what they mean: bar, °C, L, ..."),
        flag(
            "compliance",
            "VOLTS",
            ".compliance",
            "What the transmitter drives its highest current against, at most",
        ),
        flag("loop", "WHAT", ".loop", "What feeds the loop: supply or logic [default: supply]"),
    ],
};

/// The parts of a burden.
pub(super) const BURDEN_PARTS: Group = Group {
    heading: "Parts: a value, choose, none, or a range to choose from (10..1k)",
    everyday: true,
    flags: &[
        flag("burden", "PART", ".burden", "Turns the current into a voltage [default: choose]")
            .of(Shape::Part),
        PROTECTION,
        CAPACITOR,
    ],
};

/// The parts of a divider that is there, and what goes in front of it.
pub(super) const EXTENSION_PARTS: Group = Group {
    heading: "Parts: a value, choose, none, or a range to choose from (1k..100k)",
    everyday: true,
    flags: &[
        flag("top", "PART", ".top", "Upper part of the divider that is there").of(Shape::Part),
        flag("bottom", "PART", ".bottom", "Lower part of the divider that is there").of(Shape::Part),
        flag("extension", "PART", ".extension", "In series in front of it [default: choose]").of(Shape::Part),
        PROTECTION,
        CAPACITOR,
    ],
};

/// What all inputs have.
pub(super) const WIRING: Group = Group {
    heading: "Wiring and use",
    everyday: true,
    flags: &[
        flag(
            "existing",
            "OHMS",
            ".existing.to_ground",
            "What already hangs on the measuring node, to ground",
        ),
        flag(
            "existing-tolerance",
            "SHARE",
            ".existing.tolerance",
            "How far that may be off [default: as the parts]",
        ),
        flag("wire", "OHMS", ".wire", "Resistance of the wire, also as a range: 0..2"),
        flag(
            "ground-shift",
            "VOLTS",
            ".ground_shift",
            "Remote ground against the board's, either sign, or a range",
        ),
        flag("fluid", "FLUID", ".fluid", "What the far end sits in: petrol, diesel, oil, water or other"),
        flag(
            "survive",
            "CASES",
            ".survive",
            "Cases the parts must survive: \"wire open,wire to supply,surge\"",
        )
        .of(Shape::List),
        flag("zone", "FROM..TO", ".zone", "The part of the range that matters most"),
        flag(
            "aim",
            "AIM",
            ".aim",
            "What is best: span, resolution or error in the zone, or straight in its middle [default: span]",
        ),
        flag("checkpoints", "VALUES", ".checkpoints", "Where the reading is examined: 0,25,50,75,100")
            .of(Shape::List),
        flag(
            "limit",
            "NAME=VALUE",
            ".limits",
            "A limit: sender_current=20mA, settling=off, or off for all (repeatable)",
        )
        .of(Shape::Limit),
    ],
};

/// The vehicle and the rails of the board.
pub(super) const BOARD: Group = Group {
    heading: "The board and its supply",
    everyday: true,
    flags: &[
        flag("name", "TEXT", "board", "The name of the board"),
        flag("supply", "VOLTS..VOLTS", "supply", "Lowest and highest supply: 9..25V").of(Shape::VoltageEnds),
        flag("usual", "VOLTS", "supply.usual", "The usual supply"),
        flag("contact", "VOLTS", "supply.contact", "The highest voltage that a chafed wire can meet"),
        flag(
            "surge",
            "VOLTS",
            "supply.surge",
            "A surge of the supply: volts, a level of a standard, or several",
        )
        .of(Shape::TextOrList),
        flag("surge-time", "SECONDS", "supply.surge_time", "How long a surge in volts lasts"),
        flag("reversed", "VOLTS", "supply.reversed", "How large a reversed supply may be, without its sign"),
        flag("jump-start", "VOLTS", "supply.jump_start", "What jump leads bring: volts, or ISO 16750-2"),
        flag("cranking", "VOLTS", "supply.cranking", "What the starter leaves: volts, or ISO 16750-2"),
        flag("ambient", "FROM..TO", "ambient", "Temperatures in which the board lives: -20..70°C")
            .of(Shape::TemperatureEnds),
        flag("rail", "VOLTS", "rails.logic.voltage", "The rail that feeds converter and senders: 3.3V"),
        flag(
            "rail-tolerance",
            "SHARE",
            "rails.logic.tolerance",
            "How far it may be off, everything included",
        ),
        flag("sink-current", "AMPERES", "rails.logic.sink_current", "What it can sink"),
        flag("least-load", "AMPERES", "rails.logic.least_load", "What the board draws from it at least"),
        flag(
            "when-reversed",
            "ON|OFF",
            "rails.logic.when_reversed",
            "Whether it stays up when the supply is reversed",
        ),
    ],
};

/// What parts there are.
pub(super) const RESISTORS: Group = Group {
    heading: "Resistors",
    everyday: true,
    flags: &[
        flag("series", "SERIES", "resistors.series", "Standard series to choose from, also several: E96,E24")
            .of(Shape::TextOrList),
        flag("between", "OHMS..OHMS", "resistors.between", "The values that there are: 10..1M"),
        flag("tolerance", "SHARE", "resistors.tolerance", "How far a new part may be off: 1%"),
        flag("tempco", "PPM/K", "resistors.tempco", "Change with temperature"),
        flag("ageing", "SHARE", "resistors.ageing", "Change over life"),
        flag("size", "SIZE", "resistors.size", "Size, which says what they stand: 0805"),
        flag("rating", "WATTS", "resistors.rating", "Dissipation that they stand, instead of the size's"),
        flag("working-voltage", "VOLTS", "resistors.working_voltage", "Voltage that they stand, likewise"),
        flag(
            "momentary-power",
            "WATTS",
            "resistors.momentary.power",
            "Dissipation that they stand for a while",
        ),
        flag(
            "momentary-voltage",
            "VOLTS",
            "resistors.momentary.voltage",
            "Voltage that they stand for a while",
        ),
        flag("momentary-time", "SECONDS", "resistors.momentary.time", "That while: 5s"),
        flag(
            "derate-to",
            "SHARE",
            "resistors.derate_to",
            "Share of the derated rating to be used in normal use",
        ),
        flag("derated-from", "TEMPERATURE", "resistors.derated_from", "Up to here they stand their rating"),
        flag(
            "derated-to-zero",
            "TEMPERATURE",
            "resistors.derated_to_zero",
            "From here on they stand nothing",
        ),
    ],
};

/// The converter.
pub(super) const CONVERTER: Group = Group {
    heading: "The converter",
    everyday: false,
    flags: &[
        flag("bits", "BITS", "converter.bits", "Its resolution"),
        flag(
            "reference",
            "WHAT",
            "converter.reference",
            "A voltage of its own, or a rail [default: the rail]",
        )
        .of(Shape::Reference),
        flag("reference-tolerance", "SHARE", "converter.reference.tolerance", "How far that may be off"),
        flag("usable", "VOLTS..VOLTS", "converter.usable", "The part of the input voltage to be trusted"),
        flag("headroom", "SHARE", "converter.headroom", "Share of full scale to be kept free at both ends"),
        flag("offset", "COUNTS", "converter.offset", "Offset error, either sign"),
        flag("gain", "SHARE", "converter.gain", "Gain error, either sign"),
        flag("inl", "COUNTS", "converter.inl", "Integral nonlinearity, either sign"),
        flag("noise", "COUNTS", "converter.noise", "Noise, either sign"),
        flag("leakage", "AMPERES", "converter.leakage", "Leakage of the pin, either sign"),
        flag("clamp", "VOLTS", "converter.clamp", "How far outside 0 .. rail the pin conducts"),
        flag(
            "clamp-rail",
            "RAIL",
            "converter.clamp_rail",
            "That rail: logic, or excitation where that is a voltage [default: the reference's]",
        ),
        flag("pin-current", "AMPERES", "converter.pin_current", "The current that the pin survives"),
        flag("sampling-capacitor", "FARADS", "converter.sampling.capacitor", "The sampling capacitor"),
        flag(
            "sampling-resistance",
            "OHMS",
            "converter.sampling.resistance",
            "Resistance of the sampling switch",
        ),
        flag("sampling-time", "SECONDS", "converter.sampling.time", "How long the capacitor is connected"),
        flag("sampling-period", "SECONDS", "converter.sampling.period", "Time between two samples"),
        flag("settles-to", "COUNTS", "converter.sampling.settles_to", "What may be missing at the end"),
    ],
};

/// The test bench.
pub(super) const BENCH: Group = Group {
    heading: "The test bench",
    everyday: false,
    flags: &[
        flag("bench-temperature", "FROM..TO", "bench.temperature", "Temperatures on the bench: 20..30°C"),
        flag("decade-box", "SHARE", "bench.decade_box", "How far what stands in for the sender may be off"),
    ],
};
