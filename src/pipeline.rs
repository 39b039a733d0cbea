//! The path of a spec file in; each stage's result out. The only file that sees every stage.
//!
//! ```text
//! read ─ Reading ─ resolve ─ Resolved ─┬─ judge ─ Report
//!                                      └─ papers(Report) ─ Papers ─ packet ─ FileSet, Manifest
//! ```
//!
//! Each step takes what the one before it made and does no more than its name says.

use std::collections::BTreeMap;
use std::fs::File;
use std::io::{self, Read as _};
use std::path::Path;

use crate::diag::{Finding, Sink, Sources};
use crate::draw::board::{Beyond, Board, boards, tiles};
use crate::draw::holes::Fed;
use crate::draw::routing::routing_with;
use crate::draw::wiring::{WiringSheet, wiring};
use crate::draw::{Paper, Scene, faces, holes};
use crate::graph::feeding::Feed;
use crate::graph::{Bundles, Loading, Routing};
use crate::harness::resolve::{self, resolve};
use crate::harness::{Conductor, Harness, PinId};
use crate::packet::file_set::sha256;
use crate::packet::heading::Heading;
use crate::packet::papers::{self, Drawing, Papers, Print, Score};
use crate::packet::table::Table;
use crate::packet::{FileSet, Manifest, Unmade, lists};
use crate::parts::library::Library;
use crate::parts::user::library_for;
use crate::plan::Plan;
use crate::plan::clamping::Clamping;
use crate::plan::crimp_list::crimp_list;
use crate::plan::cut_list::cut_list;
use crate::plan::drop_table::drop_table;
use crate::plan::feed_order::FedStrand;
use crate::plan::install::{self, install_sheet};
use crate::plan::length::{CutLength, Item, Lies, Term};
use crate::plan::load_table::load_table;
use crate::plan::mass::balance;
use crate::plan::offset_table::offset_table;
use crate::plan::parts_list::parts_list;
use crate::plan::why::{Asked, Derivation, Unknown, derive};
use crate::quantity::Date;
use crate::rules::{self, Report};
use crate::spec::decode::{self, decode};
use crate::spec::gate;
use crate::spec::load::{Loaded, load};
use crate::spec::model::Spec;
use crate::spec::tree::Tree;
use crate::workers;

/// The texts of a run, read and typed.
#[derive(Debug)]
pub struct Reading {
    /// Every text, under the name that findings show.
    pub sources: Sources,
    /// SHA-256 of every file that was read, by its name relative to the spec's folder.
    pub inputs: BTreeMap<String, String>,
    /// What stands before the names of the sources and not of the inputs: where the spec lies.
    folder: String,
    /// The spec's shape and what could be read of it; None where it is no YAML that is let in.
    spec: Option<(Tree, Loaded<Spec>)>,
    library: Library,
    sink: Sink,
}

/// Reads the spec at `path` and its part files.
///
/// # Errors
/// Where the spec itself cannot be read from the disk. What is wrong inside it is a finding.
pub fn read(path: &Path) -> io::Result<Reading> {
    let bytes = bytes_of(path)?;
    let mut reading = Reading {
        sources: Sources::default(),
        inputs: BTreeMap::new(),
        folder: folder_prefix(path),
        spec: None,
        library: Library::supplied().clone(),
        sink: Sink::default(),
    };
    let Reading { sources, inputs, library, sink, .. } = &mut reading;
    inputs.insert(file_name(path), sha256(&bytes));
    let file = decode(&path.to_string_lossy(), &bytes, sources, sink);
    let tree = file.and_then(|file| gate::read(sources, file, sink));
    reading.spec = tree.map(|tree| {
        let loaded = load::<Spec>(&tree, sink);
        if let Some(spec) = &loaded.value {
            let mut note = |name: &str, bytes: &[u8]| drop(inputs.insert(name.to_owned(), sha256(bytes)));
            *library = library_for(spec, &tree, folder_of(path), sources, sink, &mut note);
        }
        (tree, loaded)
    });
    Ok(reading)
}

/// At most one byte more than is let in, so that a file without end cannot fill the memory.
fn bytes_of(path: &Path) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    File::open(path)?.take(decode::MAX_BYTES as u64 + 1).read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// The folder that a spec lies in, which its part files are beside. None for what has no path to the disk.
fn folder_of(path: &Path) -> Option<&Path> {
    let folder = path.parent()?;
    Some(if folder.as_os_str().is_empty() { Path::new(".") } else { folder })
}

/// What stands before the name of a file in its path, with the separator.
fn folder_prefix(path: &Path) -> String {
    let whole = path.to_string_lossy();
    whole.strip_suffix(&file_name(path)).unwrap_or_default().to_owned()
}

/// The last part of a path: what the packet calls a file, wherever it lay.
fn file_name(path: &Path) -> String {
    path.file_name().unwrap_or_default().to_string_lossy().into_owned()
}

/// The harness as it is meant, and where everything of it lies.
#[derive(Debug)]
pub struct Resolved {
    /// Every text.
    pub sources: Sources,
    /// SHA-256 of every file that was read.
    pub inputs: BTreeMap<String, String>,
    /// Parts.
    pub library: Library,
    /// The harness.
    pub harness: Harness,
    /// Where it lies.
    pub routing: Routing,
    /// What lies side by side in every run and hole: packed where it is asked for, and kept for whoever asks next.
    pub bundles: Bundles,
    /// What stands before the names of the sources and not of the inputs: where the spec lies.
    folder: String,
}

/// A spec that could not be made into a harness, and why.
#[derive(Debug)]
pub struct Unreadable {
    /// Every text.
    pub sources: Sources,
    /// What is wrong with it.
    pub findings: Vec<Finding>,
}

impl Reading {
    /// Looks up every name and lays the harness out.
    ///
    /// # Errors
    /// Where anything is wrong with the language: what would be checked is then not what is meant.
    pub fn resolve(self) -> Result<Resolved, Unreadable> {
        let Reading { sources, inputs, folder, spec, library, mut sink } = self;
        let harness = spec.as_ref().and_then(|(tree, loaded)| {
            let lost = |name: &str| loaded.lost(name) || library.may_be_lost(name);
            let input = resolve::Input { spec: loaded.value.as_ref()?, tree, library: &library, lost: &lost };
            Some(resolve(input, &mut sink))
        });
        let findings = sink.into_sorted();
        match harness {
            Some(harness) if findings.is_empty() => {
                let routing = Routing::lay_out(&harness);
                let bundles = Bundles::of(&harness, &library, &routing);
                Ok(Resolved { sources, inputs, library, harness, routing, bundles, folder })
            }
            _ => Err(Unreadable { sources, findings }),
        }
    }
}

impl Resolved {
    /// Lets every rule look at the harness. `today` ends waivers; `None`: nobody said what day it is.
    pub fn judge(&self, today: Option<Date>) -> Report {
        let base = rules::Base::of(&self.harness, &self.library, &self.routing, &self.bundles);
        rules::judge(base.facts(today))
    }

    /// How the figures of everything called `name` come about.
    ///
    /// # Errors
    /// Where nothing is called so.
    pub fn why(&self, name: &str, today: Option<Date>) -> Result<Vec<Derivation>, Unknown> {
        let Resolved { harness: h, library, routing, bundles, .. } = self;
        let plan = Plan::of(h, library, routing);
        let report = self.judge(today);
        let loading = Loading::of(h, library, routing);
        let findings = &report.findings;
        derive(&Asked { h, library, routing, bundles, plan: &plan, loading: &loading, findings }, name)
    }

    /// Makes the whole packet.
    ///
    /// # Errors
    /// Where a file of it cannot be made; nothing of a spec can make it so.
    pub fn packet(&self, report: &Report) -> Result<(FileSet, Manifest), Unmade> {
        self.papers(report).assemble()
    }

    /// Works out the lists and drawings that all papers are made of. Papers call every file by its name relative to the
    /// spec's folder, so that they are the same wherever it lies.
    pub fn papers<'a>(&self, report: &'a Report) -> Papers<'a> {
        let Resolved { harness, library, routing, .. } = self;
        let plan = &Plan::of(harness, library, routing);
        let banner = papers::banner(&report.findings);
        let words = banner.as_deref();
        let (tables, (drawings, prints)) = workers::both(|| self.tables(plan), || self.drawn(plan, words));
        let sources = self.sources.renamed(|name| name.strip_prefix(&self.folder).unwrap_or(name));
        Papers {
            heading: Heading::of(&harness.header),
            findings: &report.findings,
            score: Score::of(&report.standings, &sources),
            sources,
            inputs: self.inputs.clone(),
            drawings,
            prints,
            tables,
            banner,
        }
    }

    /// The five drawings, placed but in no format yet, and the pages that boards are printed on. `banner` stands across
    /// each, where the harness must not be built yet.
    pub fn drawings(&self, banner: Option<&str>) -> (Vec<Drawing>, Vec<Print>) {
        self.drawn(&Plan::of(&self.harness, &self.library, &self.routing), banner)
    }

    fn drawn(&self, plan: &Plan, banner: Option<&str>) -> (Vec<Drawing>, Vec<Print>) {
        let Resolved { harness, library, routing, bundles, .. } = self;
        // Nearly all of them tell of bundles: packed before, none waits for what another one packs.
        bundles.pack(harness);
        // Each works on its own, so how many run at once changes nothing but the time.
        let others = || {
            [
                routing_with(harness, library, routing, bundles, banner),
                faces(harness, library, banner),
                holes(harness, library, routing, bundles, &fed(plan), banner),
            ]
        };
        let wired = || {
            let sheet = WiringSheet { banner: banner.map(str::to_owned), ..WiringSheet::default() };
            wiring(harness, library, routing, &sheet)
        };
        let looms =
            || boards(harness, library, routing, bundles, &beyond(harness, plan), &plan.fed_into, banner);
        let ([laid, faces, through], (wired, looms)) = workers::both(others, || workers::both(wired, looms));
        let mut drawings = sheets("wiring", "Wiring", wired.into_iter().map(|sheet| sheet.scene).collect());
        drawings.extend(sheets("routing", "Routing", laid));
        let boards = sheets("board", "Board", looms.iter().map(|board| board.scene.clone()).collect());
        let prints = prints(&looms, &boards, banner);
        drawings.extend(boards);
        drawings.extend(sheets("faces", "Faces", faces));
        drawings.extend(sheets("holes", "Holes", through));
        (drawings, prints)
    }

    /// All lists.
    fn tables(&self, plan: &Plan) -> Vec<Table> {
        let Resolved { harness, library, routing, bundles, .. } = self;
        let clamping = Clamping::of(harness, library, routing, bundles);
        let units = harness.header.units;
        let (dressed, crimps) = crimp_list(harness, library, routing, plan);
        let mut tables = vec![
            lists::cut(&cut_list(harness, library, routing, plan), &plan.lengths, units),
            lists::crimp(&dressed, &crimps, units),
            lists::parts(&parts_list(harness, library, plan, &clamping), clamping.unheld(), units),
            lists::install(&install_sheet(&install::Job { h: harness, library, routing, bundles, plan })),
            lists::mass_and_balance(&balance(harness, library, routing, plan, &clamping), units),
        ];
        let loading = Loading::of(harness, library, routing);
        let sections = load_table(harness, &loading.feeds);
        if !sections.is_empty() {
            tables.push(lists::loads(&sections, units));
        }
        let drops = drop_table(harness, &loading);
        if !drops.is_empty() {
            tables.push(lists::drops(&drops, harness.header.supply.map(|supply| supply.value), units));
        }
        let offsets = offset_table(harness, &loading);
        if !offsets.groups.is_empty() {
            tables.push(lists::offsets(&offsets));
        }
        tables
    }
}

/// The sheets of a drawing of several: `wiring-1`, `wiring-2`.
fn sheets(name: &str, title: &str, scenes: Vec<Scene>) -> Vec<Drawing> {
    let count = scenes.len();
    let sheet = |(i, scene): (usize, Scene)| {
        let number = i + 1;
        let title = if count == 1 { title.to_owned() } else { format!("{title} {number}/{count}") };
        Drawing { name: format!("{name}-{number}"), title, scene }
    };
    scenes.into_iter().enumerate().map(sheet).collect()
}

/// Boards in pages, for either paper. `drawings`: what the boards are drawn as.
fn prints(boards: &[Board], drawings: &[Drawing], banner: Option<&str>) -> Vec<Print> {
    let print = |(paper, board, drawing): (Paper, &Board, &Drawing)| Print {
        of: drawing.name.clone(),
        title: format!("{} in pages", drawing.title),
        paper,
        pages: tiles(board, paper, banner),
    };
    let of = |(board, drawing)| Paper::ALL.map(|paper| (paper, board, drawing));
    let all: Vec<(Paper, &Board, &Drawing)> = boards.iter().zip(drawings).flat_map(of).collect();
    workers::each(all.len(), |n| print(all[n]))
}

/// What the board lays beyond the place at both ends of each conductor, by conductor id.
pub fn beyond(h: &Harness, plan: &Plan) -> Vec<[Beyond; 2]> {
    let of_end = |items: &[Item], pin: PinId| {
        let mut beyond = Beyond::default();
        for item in items.iter().filter(|item| item.lies == Lies::End(pin)) {
            match item.term {
                Term::Tail => beyond.tail += item.length,
                Term::ServiceLoop => beyond.service_loop += item.length,
                Term::Reach => beyond.reach += item.length,
                Term::Reserve | Term::Stagger | Term::FoldBack => beyond.reserve += item.length,
                Term::Run | Term::Shift | Term::Twist | Term::Evened | Term::Rounding => {}
            }
        }
        beyond
    };
    let both = |(c, length): (&Conductor, &CutLength)| [c.from, c.to].map(|pin| of_end(&length.items, pin));
    h.conductors.iter().zip(&plan.lengths).map(both).collect()
}

/// What the drawing of each hole says of its feeding, by hole id.
pub fn fed(plan: &Plan) -> Vec<Option<Fed>> {
    let of = |(feed, strands): (&Option<Feed>, &Vec<FedStrand>)| {
        let feed = (*feed)?;
        let order = strands.iter().flat_map(|strand| strand.conductors.iter().copied()).collect();
        Some(Fed { from: feed.from, towards: feed.towards, order, back: feed.back })
    };
    plan.terminations.feeds.iter().zip(&plan.fed).map(of).collect()
}
