//! The same work on many things, on all cores; results in the things' order, whoever finished first.

use std::num::NonZero;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

/// What `work` gives for every item, in their order.
pub(crate) fn each<T: Sync, R: Send>(items: &[T], work: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let workers = thread::available_parallelism().map_or(1, NonZero::get).min(items.len());
    if workers < 2 {
        return items.iter().map(work).collect();
    }
    let next = AtomicUsize::new(0);
    let take = || {
        let mut done = Vec::new();
        loop {
            let at = next.fetch_add(1, Ordering::Relaxed);
            let Some(item) = items.get(at) else { return done };
            done.push((at, work(item)));
        }
    };
    let mut done = thread::scope(|scope| {
        let others: Vec<_> = (1..workers).map(|_| scope.spawn(take)).collect();
        let mut done = take();
        for other in others {
            match other.join() {
                Ok(more) => done.extend(more),
                Err(panic) => std::panic::resume_unwind(panic),
            }
        }
        done
    });
    done.sort_by_key(|(at, _)| *at);
    done.into_iter().map(|(_, result)| result).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn results_come_in_the_order_of_their_items() {
        let items: Vec<u64> = (0..500).collect();
        let slow_first = |item: &u64| {
            thread::sleep(std::time::Duration::from_micros(if item.is_multiple_of(7) { 200 } else { 0 }));
            item * item
        };
        assert_eq!(each(&items, slow_first), items.iter().map(|item| item * item).collect::<Vec<_>>());
        assert!(each(&[] as &[u64], |item| *item).is_empty());
    }

    #[test]
    #[should_panic(expected = "seven")]
    fn a_panic_is_passed_on() {
        each(&[1, 7, 3], |item| assert!(*item != 7, "seven"));
    }
}
