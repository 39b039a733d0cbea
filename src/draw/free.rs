//! A sheet's drawing area in; where there is still room on it, while one thing after another is put down, out.

use super::geometry::{Area, Extent, Mm, Point, mm};

/// A free strip narrower than this is of no use.
const SLIVER: Mm = mm(20.0);

/// The largest rectangles that are free, each as large as it can be: they overlap. Source: Jylänki, A Thousand Ways to
/// Pack the Bin, 2010, maximal rectangles (from memory).
#[derive(Clone, Debug)]
pub struct Free {
    areas: Vec<Area>,
    gap: Mm,
}

impl Free {
    /// All of these areas, which may overlap. `gap` is kept between any two things.
    pub fn new(areas: Vec<Area>, gap: Mm) -> Free {
        Free { areas, gap }
    }

    /// The free rectangles.
    pub fn areas(&self) -> &[Area] {
        &self.areas
    }

    /// Takes a rectangle out, and the gap around it.
    pub fn cut(&mut self, taken: Area) {
        let taken = taken.grown(self.gap);
        let mut rest = Vec::new();
        for area in std::mem::take(&mut self.areas) {
            if !area.overlaps(taken) {
                rest.push(area);
                continue;
            }
            let pieces = [
                Area { max: Point::new(area.max.x, taken.min.y), ..area },
                Area { max: Point::new(taken.min.x, area.max.y), ..area },
                Area { min: Point::new(taken.max.x, area.min.y), ..area },
                Area { min: Point::new(area.min.x, taken.max.y), ..area },
            ];
            let usable = |p: &Area| p.max.x - p.min.x > SLIVER && p.max.y - p.min.y > SLIVER;
            rest.extend(pieces.into_iter().filter(usable));
        }
        // Those inside another one say nothing new; of two equal ones the first stays.
        for (i, area) in rest.iter().enumerate() {
            let inside =
                |(j, other): (usize, &Area)| other.contains(*area) && (*other != *area || j < i) && j != i;
            if !rest.iter().enumerate().any(inside) {
                self.areas.push(*area);
            }
        }
        self.areas.sort_by_key(|a| (a.min.x, a.min.y));
    }

    /// Takes a place of this size, in the room whose corner `rank` puts first; None where nothing is large enough.
    pub fn put<K: Ord>(&mut self, size: Extent, rank: impl Fn(Point) -> K) -> Option<Point> {
        let rooms = self.areas.iter().filter(|room| room.extent().holds(size));
        let corner = rooms.map(|room| room.min).min_by_key(|corner| rank(*corner))?;
        self.cut(Area::at(corner, size));
        Some(corner)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_put_down_meets_anything_else() {
        let sheet = Area::at(Point::default(), Extent::new(mm(378.0), mm(198.0)));
        let mut free = Free::new(vec![sheet], mm(5.0));
        let sizes = [(184.0, 90.0), (119.0, 34.0), (119.0, 60.0), (184.0, 40.0), (119.0, 34.0), (60.0, 30.0)];
        let mut placed: Vec<Area> = Vec::new();
        for (width, height) in sizes {
            let size = Extent::new(mm(width), mm(height));
            let corner = free.put(size, |at| (at.y, at.x)).expect("room");
            let own = Area::at(corner, size);
            assert!(sheet.contains(own));
            assert!(placed.iter().all(|other| !other.grown(mm(5.0)).overlaps(own)), "{own:?} on {placed:?}");
            placed.push(own);
        }
        assert_eq!(free.put(Extent::new(mm(378.0), mm(90.0)), |at| (at.y, at.x)), None);
    }
}
