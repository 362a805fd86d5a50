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
    /// Every source tied to the supply sees the surge.
    Surge,
    /// Every source tied to the supply sees it reversed.
    ReversedSupply,
    /// All rails are at 0 V; wires as in normal use and as with the wire on the supply.
    BoardOff,
    /// The ground of the board sits at the highest supply against remote ground.
    GroundLost,
}

impl Case {
    /// All cases, in the order in which answers list them.
    pub const ALL: [Self; 8] = [
        Self::Normal,
        Self::WireOpen,
        Self::WireToGround,
        Self::WireToSupply,
        Self::Surge,
        Self::ReversedSupply,
        Self::BoardOff,
        Self::GroundLost,
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
        }
    }
}
