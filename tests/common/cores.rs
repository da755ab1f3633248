//! Work that is shared among the cores.

use std::sync::atomic::{AtomicUsize, Ordering};

use super::calculator::with_room;

/// Does the same with every one of many. Each core takes the next that nobody has taken, and keeps for
/// itself what it needs to work, which `start` makes. What comes of them is in no order.
pub fn on_all_cores<T: Sync, Own, Found: Send>(
    all: &[T],
    start: impl Fn() -> Own + Sync,
    work: impl Fn(&mut Own, &T) -> Found + Sync,
) -> Vec<Found> {
    let next = AtomicUsize::new(0);
    let one_core = || {
        let (mut own, mut found) = (start(), Vec::new());
        while let Some(one) = all.get(next.fetch_add(1, Ordering::Relaxed)) {
            found.push(work(&mut own, one));
        }
        found
    };
    let cores = std::thread::available_parallelism().map_or(1, usize::from).min(all.len());
    let found: Vec<Found> = std::thread::scope(|scope| {
        let workers: Vec<_> = (0..cores).map(|_| scope.spawn(|| with_room(one_core))).collect();
        let done = workers.into_iter().map(|worker| worker.join());
        done.flat_map(|one| one.unwrap_or_else(|panic| std::panic::resume_unwind(panic))).collect()
    });
    assert_eq!(found.len(), all.len());
    found
}
