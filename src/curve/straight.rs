//! A straight stretch, over its share from 0 to 1.

use super::function::Function;

/// From one quantity at share 0 to another at share 1, straight, and straight on beyond both.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Straight {
    pub(super) from: f64,
    pub(super) to: f64,
}

impl Function for Straight {
    fn at(&self, share: f64) -> f64 {
        // From the nearer end, so that both ends come out exactly.
        if share <= 0.5 {
            self.from + (self.to - self.from) * share
        } else {
            self.to - (self.to - self.from) * (1.0 - share)
        }
    }

    fn slope(&self, _share: f64) -> f64 {
        self.to - self.from
    }

    fn second(&self, _share: f64) -> f64 {
        0.0
    }

    fn inverse(&self, quantity: f64) -> f64 {
        (quantity - self.from) / (self.to - self.from)
    }

    /// None: r″ is 0, so that r″·(d0 + d1·r) = 2·d1·r′² would need r′ = 0 or d1 = 0; with d1 = 0 the slope is the same
    /// everywhere, and its ends are as good as any other place.
    fn stationary(&self, _a: f64, _b: f64, _d0: f64, _d1: f64) -> Vec<f64> {
        Vec::new()
    }
}
