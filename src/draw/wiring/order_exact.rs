//! The costs of setting each of a few things before each other one in; the order with the least sum of costs, out.
//!
//! Exact, by dynamic programming over the sets of what is already placed: O(2ⁿ n²) for n things. Where several orders cost
//! the same, the one that leaves more of the given order as it is at its beginning. Source: Held and Karp (1962).

/// Most things for which this is quick.
pub(super) const MOST: usize = 8;

/// The best order of `count` things, which is at most [`MOST`]; `cost(a, b)` is that of `a` before `b`.
pub(super) fn best_order(count: usize, cost: impl Fn(usize, usize) -> u64) -> Vec<usize> {
    let count = count.min(MOST);
    let all = (1_usize << count) - 1;
    // What it costs to set a thing before all that are not yet placed.
    let next = |placed: usize, thing: usize| -> u64 {
        (0..count).filter(|b| *b != thing && placed & (1 << b) == 0).map(|b| cost(thing, b)).sum()
    };
    // Least cost of all that is left, by what is placed.
    let mut left = vec![0_u64; all + 1];
    for placed in (0..all).rev() {
        let free = (0..count).filter(|t| placed & (1 << t) == 0);
        left[placed] = free.map(|t| next(placed, t) + left[placed | (1 << t)]).min().unwrap_or(0);
    }
    let mut out = Vec::with_capacity(count);
    let mut placed = 0;
    while placed != all {
        let is_best =
            |t: &usize| placed & (1 << t) == 0 && next(placed, *t) + left[placed | (1 << t)] == left[placed];
        let Some(thing) = (0..count).find(is_best) else { break };
        out.push(thing);
        placed |= 1 << thing;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::super::anew::Dice;
    use super::*;

    fn sum(order: &[usize], costs: &[Vec<u64>]) -> u64 {
        let pairs = order.iter().enumerate().flat_map(|(i, a)| order[i + 1..].iter().map(move |b| (*a, *b)));
        pairs.map(|(a, b)| costs[a][b]).sum()
    }

    /// Every order, by exchanging each place with each later one.
    fn least(order: &mut Vec<usize>, from: usize, costs: &[Vec<u64>]) -> u64 {
        if from == order.len() {
            return sum(order, costs);
        }
        let mut best = u64::MAX;
        for i in from..order.len() {
            order.swap(from, i);
            best = best.min(least(order, from + 1, costs));
            order.swap(from, i);
        }
        best
    }

    #[test]
    fn no_order_costs_less() {
        let mut dice = Dice(0x2545_F491_4F6C_DD1D);
        for count in 1..=6 {
            for _ in 0..40 {
                let costs: Vec<Vec<u64>> =
                    (0..count).map(|_| (0..count).map(|_| dice.roll(7) as u64).collect()).collect();
                let order = best_order(count, |a, b| costs[a][b]);
                assert_eq!(sum(&order, &costs), least(&mut (0..count).collect(), 0, &costs), "{costs:?}");
            }
        }
    }

    #[test]
    fn what_costs_nothing_stays_as_it_is() {
        assert_eq!(best_order(5, |_, _| 3), [0, 1, 2, 3, 4]);
        assert_eq!(best_order(0, |_, _| 3), [0; 0]);
    }
}
