//! Legs of a circuit and the colours it is to have in; which core of its pair or cable each leg takes out.

use super::conductors::{Maker, Read};
use super::wires::Choice;
use crate::trade::colour::Colour;
use crate::trade::thermocouple_colour::Alloy;

impl Maker<'_, '_> {
    /// The core of each leg; `None` for single wires. A leg takes the core whose colour the spec says, else the one of
    /// its own alloy, else the next.
    pub(super) fn cores(
        &mut self,
        read: &Read,
        choice: Choice,
        own: bool,
        given: &[u32],
    ) -> Vec<Option<u32>> {
        let part = self.part(choice);
        let legs = &read.legs.legs;
        let colours = &read.spec.colours;
        if !colours.is_empty() && colours.len() != legs.len() {
            self.sink.unreadable(
                self.origin.field(read.spot, "colours"),
                format!("{} colours for {} legs", colours.len(), legs.len()),
                "write one for each leg, in order",
            );
        }
        if part.cores.is_empty() {
            return vec![None; legs.len()];
        }
        if own && legs.len() > part.cores.len() {
            self.sink.unreadable(
                self.origin.field(read.spot, "wire"),
                format!(
                    "circuit `{}` has {} legs, its wire {} cores",
                    read.name,
                    legs.len(),
                    part.cores.len()
                ),
                "name a cable with as many cores",
            );
        }
        let is_given = |core: &usize| given.iter().any(|g| *g as usize == *core);
        let mut free: Vec<usize> = (0..part.cores.len()).filter(|core| !is_given(core)).collect();
        let mut cores = vec![None; legs.len()];
        let take = |slot: &mut Option<u32>, free: &mut Vec<usize>, wanted: &dyn Fn(usize) -> bool| {
            if slot.is_none()
                && let Some(at) = free.iter().position(|i| wanted(*i))
            {
                *slot = u32::try_from(free.remove(at)).ok();
            }
        };
        let core = |i: usize| part.cores.get(i);
        for (slot, colour) in cores.iter_mut().zip(colours) {
            take(slot, &mut free, &|i| core(i).is_some_and(|c| c.colour == *colour));
        }
        // What colours say of a thermocouple pair is for a rule to judge.
        let named = cores.iter().zip(colours).enumerate();
        let missing: Vec<(usize, Colour)> =
            named.filter(|(_, (slot, _))| slot.is_none()).map(|(i, (_, colour))| (i, *colour)).collect();
        if part.thermocouple().is_none() && colours.len() == legs.len() {
            for (i, colour) in missing {
                self.no_such_core(read, choice, i, colour);
            }
        }
        for (slot, leg) in cores.iter_mut().zip(legs) {
            let alloys = [leg.from, leg.to].map(|p| self.devices.pins.get(p.index()).map(|p| p.alloy));
            let wanted = alloys.into_iter().flatten().find(|a| *a != Alloy::Copper);
            take(slot, &mut free, &|i| wanted.is_some() && core(i).is_some_and(|c| c.alloy == wanted));
        }
        for slot in &mut cores {
            take(slot, &mut free, &|_| true);
        }
        cores
    }

    /// A leg is to have a core of a colour that its cable has not, or has no more.
    fn no_such_core(&mut self, read: &Read, choice: Choice, leg: usize, colour: Colour) {
        let (name, part) = (self.wires.library.wires.name(choice.wire), self.part(choice));
        let has = part.cores.iter().any(|c| c.colour == colour);
        let message = match has {
            true => format!("the {} core of `{name}` is given already", colour.name()),
            false => format!("no core of `{name}` is {}", colour.name()),
        };
        let known: Vec<String> =
            part.cores.iter().map(|c| format!("{} ({})", c.colour.code(), c.colour.name())).collect();
        let span = self.origin.element(read.spot, "colours", leg);
        self.sink.unreadable(span, message, format!("its cores are {}: write those", known.join(", ")));
    }
}
