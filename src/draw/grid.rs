//! Rectangles in; those near a given rectangle out. A bin grid, so that measuring a drawing costs about as
//! much as it has items.

use std::collections::{BTreeMap, BTreeSet};

use super::geometry::{Area, Mm, Point, mm};

/// Side of a bin: about a label's length.
const BIN: Mm = mm(16.0);

/// Things sorted by where they are; each is known by its number.
#[derive(Debug, Default)]
pub struct Grid {
    bins: BTreeMap<(i64, i64), Vec<usize>>,
}

impl Grid {
    /// Puts the thing `number` everywhere `area` reaches.
    pub fn add(&mut self, number: usize, area: Area) {
        for bin in bins(area) {
            self.bins.entry(bin).or_default().push(number);
        }
    }

    /// Puts a straight piece along its way only: a long slanted line has a large rectangle with little in it.
    pub fn add_piece(&mut self, number: usize, from: Point, to: Point, reach: Mm) {
        if from.x == to.x || from.y == to.y {
            return self.add(number, Area::between(from, to).grown(reach));
        }
        let parts = (from.distance(to).um() / BIN.um() + 1).max(1);
        let at =
            |i: i64| Point::new(from.x + (to.x - from.x) * i / parts, from.y + (to.y - from.y) * i / parts);
        let mut passed = BTreeSet::new();
        for i in 0..parts {
            // A micrometre more, for what the division left out.
            passed.extend(bins(Area::between(at(i), at(i + 1)).grown(reach + Mm::from_um(1))));
        }
        for bin in passed {
            self.bins.entry(bin).or_default().push(number);
        }
    }

    /// Numbers of the things that may touch `area`, in rising order, each once.
    pub fn near(&self, area: Area) -> BTreeSet<usize> {
        self.in_reach(area).collect()
    }

    /// The same in no order, some of them several times.
    pub fn in_reach(&self, area: Area) -> impl Iterator<Item = usize> {
        bins(area).filter_map(|bin| self.bins.get(&bin)).flatten().copied()
    }
}

fn bins(area: Area) -> impl Iterator<Item = (i64, i64)> {
    let index = |at: Mm| at.um().div_euclid(BIN.um());
    let columns = index(area.min.x)..=index(area.max.x);
    let rows = index(area.min.y)..=index(area.max.y);
    columns.flat_map(move |x| rows.clone().map(move |y| (x, y)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_a_slanted_piece_wherever_it_passes() {
        let mut grid = Grid::default();
        let (from, to) = (Point::new(mm(-40.0), mm(7.0)), Point::new(mm(310.0), mm(220.0)));
        grid.add_piece(7, from, to, mm(0.2));
        for i in 0..=100 {
            let at = Point::new(from.x + (to.x - from.x) * i / 100, from.y + (to.y - from.y) * i / 100);
            assert!(grid.near(Area::between(at, at).grown(mm(0.01))).contains(&7), "{at:?}");
        }
        let beside = Point::new(mm(-40.0), mm(220.0));
        assert!(grid.near(Area::between(beside, beside)).is_empty());
    }
}
