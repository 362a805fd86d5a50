//! An input that has to serve several senders.

use super::{Capacitor, Drive, Input, Part};

/// One of several senders that the same assembled board has to serve, each with a table of its own in the firmware.
#[derive(Clone, Debug)]
pub struct NamedSender {
    /// The name.
    pub name: String,
    /// What is at the far end then.
    pub drive: Drive,
    /// Where the reading of this sender is examined, in the unit, in the order of the range.
    pub checkpoints: Vec<f64>,
}

/// One way to assemble an input: its parts, and the senders that it serves.
#[derive(Clone, Debug)]
pub struct Assembly {
    /// The parts in the order in which the circuit lists them.
    pub parts: Vec<Part>,
    /// The capacitor at the pin.
    pub capacitor: Capacitor,
    /// Names of senders of the input, in its order; never empty.
    pub senders: Vec<String>,
}

impl Input {
    /// One plain input for each sender, with everything else alike; the input itself if it has but one. Of an input that is
    /// assembled in several ways each sender comes with the parts that serve it.
    pub fn views(&self) -> Vec<Self> {
        if self.senders.is_empty() {
            return vec![self.clone()];
        }
        self.senders.iter().map(|sender| self.view(sender)).collect()
    }

    fn view(&self, sender: &NamedSender) -> Self {
        let mut view = Self {
            drive: sender.drive.clone(),
            checkpoints: sender.checkpoints.clone(),
            senders: Vec::new(),
            variants: 1,
            assemblies: Vec::new(),
            ..self.clone()
        };
        let serves = |assembly: &&Assembly| assembly.senders.contains(&sender.name);
        if let Some(assembly) = self.assemblies.iter().find(serves) {
            view.parts.clone_from(&assembly.parts);
            view.capacitor = assembly.capacitor.clone();
        }
        view
    }
}
