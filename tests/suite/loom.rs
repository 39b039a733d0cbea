//! Spec texts in, resolved and laid-out harnesses out, for tests of what follows.

use fairlead::diag::{Finding, Sink, Sources};
use fairlead::graph::Routing;
use fairlead::harness::resolve::{Input, resolve};
use fairlead::harness::{ConductorId, Harness, HoleId, PlaceId, RunId};
use fairlead::parts::library::Library;
use fairlead::spec::gate;
use fairlead::spec::load::load;
use fairlead::spec::model::Spec;

pub struct Loom {
    pub sources: Sources,
    pub harness: Harness,
    pub routing: Routing,
    pub findings: Vec<Finding>,
}

impl Loom {
    /// Reads and lays out a spec, whatever is wrong with it.
    pub fn read(text: &str) -> Loom {
        let mut sources = Sources::default();
        let mut sink = Sink::default();
        let file = sources.add("test.yaml", text);
        let tree = gate::read(&sources, file, &mut sink).expect("a tree");
        let loaded = load::<Spec>(&tree, &mut sink);
        let spec = loaded.value.clone().unwrap_or_else(|| panic!("{:?}", sink.findings()));
        let lost = |name: &str| loaded.lost(name);
        let input = Input { spec: &spec, tree: &tree, library: Library::supplied(), lost: &lost };
        let harness = resolve(input, &mut sink);
        let routing = Routing::lay_out(&harness);
        Loom { sources, harness, routing, findings: sink.into_sorted() }
    }

    /// The same for a spec that must be without fault.
    #[track_caller]
    pub fn sound(text: &str) -> Loom {
        let loom = Loom::read(text);
        assert_eq!(loom.findings, []);
        loom
    }

    pub fn place(&self, name: &str) -> PlaceId {
        PlaceId::at(self.harness.places.iter().position(|p| p.name == name).expect(name))
    }

    pub fn run(&self, name: &str) -> RunId {
        RunId::at(self.harness.runs.iter().position(|r| r.name == name).expect(name))
    }

    pub fn hole(&self, name: &str) -> HoleId {
        HoleId::at(self.harness.holes.iter().position(|x| x.name == name).expect(name))
    }

    /// The conductor that ends on the pin of this name, the first of several.
    pub fn wire(&self, pin: &str) -> ConductorId {
        let h = &self.harness;
        let ends = |id: &ConductorId| {
            let c = h.conductor(*id);
            [c.from, c.to].iter().any(|p| h.pin(*p).name == pin)
        };
        h.conductor_ids().find(ends).unwrap_or_else(|| panic!("no wire on {pin}"))
    }

    /// Names of the places that the wire of a pin passes, from its `from` on, joined by `>`.
    pub fn way(&self, pin: &str) -> String {
        let path = self.routing.path_of(&self.harness, self.wire(pin));
        let names =
            path.map(|p| p.places.iter().map(|p| self.harness.place(*p).name.as_str()).collect::<Vec<_>>());
        names.map_or("none".into(), |n| n.join(">"))
    }
}
