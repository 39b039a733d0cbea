//! Numbers that look random and are the same on every run: SplitMix64 (Steele, Lea and Flood 2014).

pub struct Random(u64);

impl Random {
    pub fn new(seed: u64) -> Random {
        Random(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// From 0 to `n` - 1; 0 where `n` is 0.
    pub fn below(&mut self, n: usize) -> usize {
        (self.next() % n.max(1) as u64) as usize
    }

    /// From -1 to 1.
    pub fn signed(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 52) as f64 - 1.0
    }

    /// A vector of length 1: a point of the disc, drawn out to its edge.
    pub fn direction(&mut self) -> (f64, f64) {
        for _ in 0..64 {
            let (x, y) = (self.signed(), self.signed());
            let squared = x * x + y * y;
            if squared > 0.01 && squared <= 1.0 {
                let length = squared.sqrt();
                return (x / length, y / length);
            }
        }
        (1.0, 0.0)
    }
}
