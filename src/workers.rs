//! Independent pieces of work in; what they make, in the order of the pieces and not of their ends, out.
//!
//! So many cores are used as there are, and how many there are changes nothing but the time.

use std::num::NonZero;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

/// Does two things, side by side where there is a core for each.
pub fn both<A, B: Send>(one: impl FnOnce() -> A, other: impl FnOnce() -> B + Send) -> (A, B) {
    if cores() == 1 {
        return (one(), other());
    }
    thread::scope(|scope| {
        let other = scope.spawn(other);
        let one = one();
        (one, joined(other))
    })
}

/// Does `work` for each number below `count`. A core takes the next number as soon as it is done with one, so a long piece
/// of work holds up no others.
pub fn each<T: Send>(count: usize, work: impl Fn(usize) -> T + Sync) -> Vec<T> {
    let helpers = cores().min(count).saturating_sub(1);
    if helpers == 0 {
        return (0..count).map(work).collect();
    }
    let next = AtomicUsize::new(0);
    let share = || {
        let mut made = Vec::new();
        loop {
            let n = next.fetch_add(1, Ordering::Relaxed);
            if n >= count {
                return made;
            }
            made.push((n, work(n)));
        }
    };
    let mut made = thread::scope(|scope| {
        let others: Vec<_> = (0..helpers).map(|_| scope.spawn(share)).collect();
        let mut made = share();
        made.extend(others.into_iter().flat_map(joined));
        made
    });
    made.sort_unstable_by_key(|(n, _)| *n);
    made.into_iter().map(|(_, made)| made).collect()
}

fn cores() -> usize {
    thread::available_parallelism().map_or(1, NonZero::get)
}

/// What a worker made; where it panicked, so does the caller.
fn joined<T>(worker: thread::ScopedJoinHandle<'_, T>) -> T {
    worker.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_made_stands_in_the_order_of_the_work() {
        // The first pieces take the longest.
        let work = |n: usize| (0..(200 - n) * 1000).fold(n, |sum, i| std::hint::black_box(sum ^ i ^ i));
        assert_eq!(each(200, work), (0..200).collect::<Vec<_>>());
        assert_eq!(each(0, work), Vec::<usize>::new());
    }

    #[test]
    fn both_halves_come_back() {
        assert_eq!(both(|| 1, || "two"), (1, "two"));
    }
}
