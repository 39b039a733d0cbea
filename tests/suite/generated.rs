//! Generated specs: what holds for any harness.

use crate::generator::spec;
use crate::resolve::read;

#[test]
fn the_generator_makes_just_as_many_conductors_as_asked() {
    for (seed, size) in [(1, 2), (1, 3), (2, 4), (3, 17), (4, 43), (5, 44), (6, 100), (7, 333)] {
        let (harness, findings, _) = read(&spec(seed, size));
        assert_eq!(findings, [], "seed {seed}, size {size}");
        assert_eq!(harness.conductors.len(), size, "seed {seed}");
    }
}

#[test]
fn the_same_seed_gives_the_same_text_and_another_one_another() {
    assert_eq!(spec(9, 60), spec(9, 60));
    assert_ne!(spec(9, 60), spec(10, 60));
}

#[test]
fn wire_marks_are_unique() {
    let (harness, _, _) = read(&spec(11, 500));
    let mut marks: Vec<&str> = harness.conductors.iter().map(|c| c.mark.as_str()).collect();
    marks.sort_unstable();
    marks.dedup();
    assert_eq!(marks.len(), 500);
}
