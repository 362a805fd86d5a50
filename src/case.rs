//! States of wiring and supply.

/// A state of wiring and supply in which an input is examined. One fault at a time, but for a board that is off.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Case {
    /// Everything as it should be, over the whole supply swing and the whole range.
    Normal,
    /// The sender or source is gone.
    WireOpen,
    /// The wire lies on remote ground.
    WireToGround,
    /// The wire lies on the highest voltage that it can meet.
    WireToSupply,
    /// Every source tied to the supply sees a surge, each surge in turn.
    Surge,
    /// Every source tied to the supply sees it reversed.
    ReversedSupply,
    /// All rails are at 0 V; wires as in normal use and as with the wire on the supply.
    BoardOff,
    /// The ground of the board sits at the highest supply against remote ground.
    GroundLost,
    /// Every source tied to the supply sees another vehicle's supply, to which jump leads lead.
    JumpStart,
    /// Every source tied to the supply sees what the starter leaves of it.
    Cranking,
    /// The transmitter fails to its loop supply.
    TransmitterShort,
    /// The wire lies on a rail that leaves the board, each rail in turn.
    WireToRail,
}

impl Case {
    /// All cases, in the order in which answers list them.
    pub const ALL: [Self; 12] = [
        Self::Normal,
        Self::WireOpen,
        Self::WireToGround,
        Self::WireToSupply,
        Self::Surge,
        Self::ReversedSupply,
        Self::BoardOff,
        Self::GroundLost,
        Self::JumpStart,
        Self::Cranking,
        Self::TransmitterShort,
        Self::WireToRail,
    ];

    /// The name in briefs and answers.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Normal => "normal",
            Self::WireOpen => "wire open",
            Self::WireToGround => "wire to ground",
            Self::WireToSupply => "wire to supply",
            Self::Surge => "surge",
            Self::ReversedSupply => "reversed supply",
            Self::BoardOff => "board off",
            Self::GroundLost => "ground lost",
            Self::JumpStart => "jump start",
            Self::Cranking => "cranking",
            Self::TransmitterShort => "transmitter short",
            Self::WireToRail => "wire to rail",
        }
    }
}
