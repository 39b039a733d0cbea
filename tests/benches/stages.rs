//! `cargo bench --bench stages`: what each command costs, by the number of conductors.
#![allow(clippy::panic)]

mod generator;

use divan::{Bencher, black_box};
use fairlead::draw::Scene;
use fairlead::draw::svg_out::{SvgOptions, write_each};
use fairlead::pipeline;
use fairlead::quantity::Length;
use fairlead::trade::packing::pack;

fn main() {
    divan::main();
}

/// The spec of a size on the disk, with the folder that keeps it.
fn on_disk(size: usize) -> (tempfile::TempDir, std::path::PathBuf) {
    let folder = tempfile::tempdir().unwrap_or_else(|e| panic!("no folder: {e}"));
    let path = folder.path().join("spec.yaml");
    std::fs::write(&path, generator::spec(1, size)).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    (folder, path)
}

fn resolved(path: &std::path::Path) -> pipeline::Resolved {
    let reading = pipeline::read(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    reading.resolve().unwrap_or_else(|u| panic!("{:?}", u.findings))
}

/// Reading, resolving, laying out and judging.
#[divan::bench(args = [100, 1_000, 10_000])]
fn check(bencher: Bencher<'_, '_>, size: usize) {
    let (_folder, path) = on_disk(size);
    bencher.bench_local(|| black_box(resolved(&path).judge(None)));
}

/// The packet in memory: lists, drawings, page and books.
#[divan::bench(args = [100, 400], sample_count = 5)]
fn packet(bencher: Bencher<'_, '_>, size: usize) {
    let (_folder, path) = on_disk(size);
    let resolved = resolved(&path);
    let report = resolved.judge(None);
    bencher.bench_local(|| black_box(&resolved).packet(&report).unwrap_or_else(|e| panic!("{e}")));
}

/// Lists and drawings, placed but in no format yet; what a packet takes beyond that goes into its files.
#[divan::bench(args = [100, 400], sample_count = 5)]
fn papers(bencher: Bencher<'_, '_>, size: usize) {
    let (_folder, path) = on_disk(size);
    let resolved = resolved(&path);
    let report = resolved.judge(None);
    bencher.bench_local(|| drop(black_box(resolved.papers(&report))));
}

/// The drawing book for one paper.
#[cfg(feature = "book")]
#[divan::bench(args = [100, 400], sample_count = 5)]
fn book(bencher: Bencher<'_, '_>, size: usize) {
    use fairlead::draw::Paper;
    use fairlead::packet::book::Book;
    let (_folder, path) = on_disk(size);
    let resolved = resolved(&path);
    let report = resolved.judge(None);
    let papers = resolved.papers(&report);
    bencher.bench_local(|| Book::of(&papers, Paper::A4).write().unwrap_or_else(|e| panic!("{e}")));
}

fn four_cylinder() -> pipeline::Resolved {
    resolved(&std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("harness-specs/four-cylinder.yaml"))
}

/// The five drawings as SVG, with the pages of the board placed; nothing is kept from one time to the next.
fn five_drawings(resolved: &pipeline::Resolved) -> usize {
    let (drawings, prints) = resolved.drawings(None);
    let options = SvgOptions { id_prefix: String::new(), embed_typeface: true };
    let scenes: Vec<&Scene> = drawings.iter().map(|drawing| &drawing.scene).collect();
    write_each(&scenes, &options).iter().map(String::len).sum::<usize>() + prints.len()
}

/// The five drawings of the four-cylinder example, no PDF: aimed at under 150 ms.
#[divan::bench(sample_count = 10)]
fn four_cylinder_drawings(bencher: Bencher<'_, '_>) {
    bencher.with_inputs(four_cylinder).bench_local_values(|resolved| five_drawings(&resolved));
}

/// The same, and the drawing book with them and all lists for one paper: aimed at under 1.5 s.
#[cfg(feature = "book")]
#[divan::bench(sample_count = 10)]
fn four_cylinder_drawings_and_book(bencher: Bencher<'_, '_>) {
    use fairlead::draw::Paper;
    use fairlead::packet::book::Book;
    bencher.with_inputs(four_cylinder).bench_local_values(|resolved| {
        let report = resolved.judge(None);
        let papers = resolved.papers(&report);
        let book = Book::of(&papers, Paper::A4).write().unwrap_or_else(|e| panic!("{e}"));
        five_drawings(&resolved) + book.len()
    });
}

/// The five drawings by the number of conductors: aimed at under 3 s for 400.
#[divan::bench(args = [100, 400], sample_count = 5)]
fn drawings(bencher: Bencher<'_, '_>, size: usize) {
    let (_folder, path) = on_disk(size);
    bencher.with_inputs(|| resolved(&path)).bench_local_values(|resolved| five_drawings(&resolved));
}

/// The whole of `build` for the four-cylinder example, but for the disk.
#[divan::bench(sample_count = 10)]
fn four_cylinder_packet(bencher: Bencher<'_, '_>) {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("harness-specs/four-cylinder.yaml");
    bencher.bench_local(|| {
        let resolved = resolved(&path);
        let report = resolved.judge(None);
        black_box(resolved.packet(&report).unwrap_or_else(|e| panic!("{e}")));
    });
}

/// The smallest circle around 60 wires of eight sizes: aimed at under 50 ms.
#[divan::bench(args = [10, 60, 400])]
fn pack_mixed_wires(bencher: Bencher<'_, '_>, count: usize) {
    const SIZES: [f64; 8] = [1.1, 1.3, 1.8, 2.1, 3.4, 4.2, 1.0, 1.5];
    let diameters: Vec<Length> =
        (0..count).map(|i| Length::from_mm(SIZES[(7 * i + i / 3) % SIZES.len()])).collect();
    bencher.bench_local(|| black_box(pack(&diameters)));
}
