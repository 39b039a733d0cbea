//! What a drawn item is and what it stands for: its layer and its tags.

use std::sync::Arc;

/// The layer of an item, in the order the layers are drawn (later ones lie on top).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Layer {
    /// The sheet itself.
    Paper,
    /// Tinted ground on which everything else may stand (zones).
    Underlay,
    /// Sheet frame, zone grid, title block, banner.
    Frame,
    /// The vehicle's structure: barriers, runs, holes.
    Structure,
    /// Boxes that stand for equipment, sensors, connectors.
    Device,
    /// Conductors.
    Conductor,
    /// Graphic symbols on conductors and devices.
    Symbol,
    /// Lettering that belongs to a thing in the drawing.
    Label,
    /// Legend, notes, tables.
    Note,
}

impl Layer {
    /// True for what is drawn of the harness itself; false for its sheet, frame and notes.
    pub fn is_of_drawing(self) -> bool {
        !matches!(self, Layer::Paper | Layer::Frame | Layer::Note)
    }

    /// The word used in output.
    pub fn word(self) -> &'static str {
        match self {
            Layer::Paper => "paper",
            Layer::Underlay => "underlay",
            Layer::Frame => "frame",
            Layer::Structure => "structure",
            Layer::Device => "device",
            Layer::Conductor => "conductor",
            Layer::Symbol => "symbol",
            Layer::Label => "label",
            Layer::Note => "note",
        }
    }
}

/// What kind of thing of the spec a tag names.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum TagKind {
    /// One conductor of the resolved harness.
    Conductor,
    /// A circuit of the spec.
    Circuit,
    /// A cable that holds several conductors.
    Cable,
    /// Equipment or a sensor.
    Device,
    /// A connector half.
    Connector,
    /// One cavity, pin or terminal.
    Cavity,
    /// A splice or stud stack where conductors join.
    Joint,
    /// A ground point.
    Ground,
    /// A supply, breaker or fuse.
    Supply,
    /// A place on the route.
    Place,
    /// A run between two places.
    Run,
    /// A hole in a barrier.
    Hole,
    /// A barrier between zones.
    Barrier,
    /// A zone.
    Zone,
}

impl TagKind {
    /// The word used in output: `data-WORD`.
    pub fn word(self) -> &'static str {
        match self {
            TagKind::Conductor => "conductor",
            TagKind::Circuit => "circuit",
            TagKind::Cable => "cable",
            TagKind::Device => "device",
            TagKind::Connector => "connector",
            TagKind::Cavity => "cavity",
            TagKind::Joint => "joint",
            TagKind::Ground => "ground",
            TagKind::Supply => "supply",
            TagKind::Place => "place",
            TagKind::Run => "run",
            TagKind::Hole => "hole",
            TagKind::Barrier => "barrier",
            TagKind::Zone => "zone",
        }
    }
}

/// The name of a thing of the spec, exactly as the spec writes it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Tag {
    /// What kind of thing.
    pub kind: TagKind,
    /// Its name.
    pub id: Arc<str>,
}

/// Layer and tags of an item. Cheap to copy; the first tag says what the item itself is, the others what it
/// belongs to.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Mark {
    /// The layer.
    pub layer: Layer,
    tags: Arc<[Tag]>,
}

impl Mark {
    /// A mark without tags.
    pub fn new(layer: Layer) -> Mark {
        Mark { layer, tags: Arc::new([]) }
    }

    /// The same with one tag more.
    pub fn with(&self, kind: TagKind, id: &str) -> Mark {
        let tag = Tag { kind, id: id.into() };
        Mark { layer: self.layer, tags: self.tags.iter().cloned().chain([tag]).collect() }
    }

    /// The same tags on another layer.
    pub fn on(&self, layer: Layer) -> Mark {
        Mark { layer, tags: Arc::clone(&self.tags) }
    }

    /// The same with many tags more.
    pub fn with_all<'i>(&self, kind: TagKind, ids: impl IntoIterator<Item = &'i str>) -> Mark {
        let more = ids.into_iter().map(|id| Tag { kind, id: id.into() });
        Mark { layer: self.layer, tags: self.tags.iter().cloned().chain(more).collect() }
    }

    /// The tags, the item's own first.
    pub fn tags(&self) -> &[Tag] {
        &self.tags
    }

    /// The first name of this kind, if there is one.
    pub fn id(&self, kind: TagKind) -> Option<&str> {
        self.tags.iter().find(|t| t.kind == kind).map(|t| &*t.id)
    }

    /// True when the two marks name at least one thing in common.
    pub fn shares_tag(&self, other: &Mark) -> bool {
        self.tags.iter().any(|t| other.tags.contains(t))
    }
}
