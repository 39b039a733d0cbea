//! A room in; something kept for each raster point in it that a search comes to. Points are kept in square tiles, made when
//! the first of their points is come to, so that a search pays for where it looks and not for the size of the room.

/// A raster point: column and row.
pub(super) type Cell = (i64, i64);

/// Side of a tile in raster points.
const SIDE: usize = 16;

pub(super) struct Raster<T> {
    min: Cell,
    /// Columns and rows.
    size: [usize; 2],
    /// Row by row.
    tiles: Vec<Option<Box<[T]>>>,
}

impl<T: Clone + Default> Raster<T> {
    /// From one raster point to another one, both included.
    pub fn new(min: Cell, max: Cell) -> Raster<T> {
        let count = |low: i64, high: i64| usize::try_from(high - low + 1).unwrap_or(0);
        let size = [count(min.0, max.0), count(min.1, max.1)];
        let tiles = vec![None; size[0].div_ceil(SIDE) * size[1].div_ceil(SIDE)];
        Raster { min, size, tiles }
    }

    /// What is kept for a point, the default at first; None outside the room.
    pub fn at(&mut self, cell: Cell) -> Option<&mut T> {
        let along =
            |at: i64, from: i64, count: usize| usize::try_from(at - from).ok().filter(|at| *at < count);
        let x = along(cell.0, self.min.0, self.size[0])?;
        let y = along(cell.1, self.min.1, self.size[1])?;
        let tile = self.tiles.get_mut(y / SIDE * self.size[0].div_ceil(SIDE) + x / SIDE)?;
        let points = tile.get_or_insert_with(|| vec![T::default(); SIDE * SIDE].into());
        points.get_mut(y % SIDE * SIDE + x % SIDE)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_point_of_the_room_is_kept_once() {
        let (min, max) = ((-20, 7), (30, 40));
        let mut raster: Raster<i64> = Raster::new(min, max);
        let all = || (min.0..=max.0).flat_map(|x| (min.1..=max.1).map(move |y| (x, y)));
        for (n, cell) in all().enumerate() {
            *raster.at(cell).unwrap() = n as i64;
        }
        for (n, cell) in all().enumerate() {
            assert_eq!(raster.at(cell), Some(&mut (n as i64)));
        }
        for outside in [(-21, 7), (31, 7), (0, 6), (0, 41)] {
            assert_eq!(raster.at(outside), None);
        }
        assert_eq!(Raster::<i64>::new((5, 5), (4, 9)).at((5, 5)), None, "no room at all");
    }
}
