//! What may be at work beside the pull-up.

/// What may be at work beside the pull-up; each frees what is otherwise held within the accuracy of the converter.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Cause {
    /// Nothing.
    PullUp,
    /// Something adds to every reading.
    Offset,
    /// Something multiplies every reading: another excitation, or a shunt, whose circuit is the same seen from the
    /// sender.
    Gain,
    /// The sender's ground is not the board's, or its wire has a resistance: both add a voltage that falls with the
    /// sender's resistance.
    Shift,
    /// An offset, and a gain or a shunt.
    OffsetAndGain,
}

impl Cause {
    /// The simplest first.
    pub(super) const ALL: [Self; 5] =
        [Self::PullUp, Self::Offset, Self::Gain, Self::Shift, Self::OffsetAndGain];

    pub(super) const fn unknowns(self) -> usize {
        match self {
            Self::PullUp => 1,
            Self::Offset | Self::Gain | Self::Shift => 2,
            Self::OffsetAndGain => 3,
        }
    }

    pub(super) const fn frees_gain(self) -> bool {
        matches!(self, Self::Gain | Self::OffsetAndGain)
    }

    pub(super) const fn frees_shift(self) -> bool {
        matches!(self, Self::Shift)
    }

    pub(super) const fn frees_offset(self) -> bool {
        matches!(self, Self::Offset | Self::OffsetAndGain)
    }
}
