//! Many pieces of work on all cores, their results in order, a bounded number under way.

use std::io;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, SyncSender, sync_channel};
use std::time::Duration;

/// Pieces that one worker takes at once: handing over costs little against so many.
const TOGETHER: usize = 8;
/// Hand-overs under way for every worker. Where one piece takes long, the others go on until
/// this many wait for it.
const WAITING: usize = 4;

/// A group of pieces on its way to a worker, and where its results go.
type Group<T, R> = (Vec<T>, SyncSender<Vec<R>>);

/// Works every item on `workers` threads and hands the results to `take` in the order of the
/// items; calls `idle` every so often while nothing is ready.
///
/// # Errors
///
/// What `take` says; the work stops then.
pub(super) fn in_order<T: Send, R: Send>(
    mut items: impl Iterator<Item = T> + Send,
    workers: usize,
    work: impl Fn(T) -> R + Sync,
    mut take: impl FnMut(R) -> io::Result<()>,
    mut idle: impl FnMut() -> io::Result<()>,
) -> io::Result<()> {
    if workers == 1 {
        // Handing over to another thread would only cost.
        return items.try_for_each(|item| take(work(item)));
    }
    let window = workers * WAITING;
    let (to_workers, groups) = sync_channel::<Group<T, R>>(window);
    let (to_writer, results) = sync_channel::<Receiver<Vec<R>>>(window);
    let groups = Mutex::new(groups);
    let failed = AtomicBool::new(false);
    std::thread::scope(|scope| {
        scope.spawn(move || feed(items, &to_workers, &to_writer));
        for _ in 0..workers {
            scope.spawn(|| {
                while let Some((group, back)) = next(&groups) {
                    // What is still queued is taken out, so that the feeder sees the end.
                    if !failed.load(Ordering::Relaxed) {
                        let done = group.into_iter().map(&work).collect();
                        // Nobody waits for it where the writer has failed meanwhile.
                        let _ = back.send(done);
                    }
                }
            });
        }
        let end = write(&results, &mut take, &mut idle);
        failed.store(end.is_err(), Ordering::Relaxed);
        // The feeder stops at a channel that nobody reads.
        drop(results);
        end
    })
}

fn write<R>(
    results: &Receiver<Receiver<Vec<R>>>,
    take: &mut impl FnMut(R) -> io::Result<()>,
    idle: &mut impl FnMut() -> io::Result<()>,
) -> io::Result<()> {
    while let Some(group) = wait(results, idle)? {
        let Some(group) = wait(&group, idle)? else { break };
        group.into_iter().try_for_each(&mut *take)?;
    }
    Ok(())
}

fn feed<T, R>(
    mut items: impl Iterator<Item = T>,
    to_workers: &SyncSender<Group<T, R>>,
    to_writer: &SyncSender<Receiver<Vec<R>>>,
) {
    loop {
        let group: Vec<T> = items.by_ref().take(TOGETHER).collect();
        if group.is_empty() {
            return;
        }
        let (back, result) = sync_channel(1);
        if to_writer.send(result).is_err() || to_workers.send((group, back)).is_err() {
            return;
        }
    }
}

fn next<T>(queue: &Mutex<Receiver<T>>) -> Option<T> {
    queue.lock().ok()?.recv().ok()
}

/// The next of a channel; `None` at its end.
fn wait<T>(
    channel: &Receiver<T>,
    idle: &mut impl FnMut() -> io::Result<()>,
) -> io::Result<Option<T>> {
    const EVERY: Duration = Duration::from_millis(200);
    loop {
        match channel.recv_timeout(EVERY) {
            Ok(one) => return Ok(Some(one)),
            Err(RecvTimeoutError::Disconnected) => return Ok(None),
            Err(RecvTimeoutError::Timeout) => idle()?,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::AtomicUsize;

    #[test]
    fn results_come_in_order_and_few_are_under_way() {
        let (started, most) = (AtomicUsize::new(0), AtomicUsize::new(0));
        let mut seen = vec![];
        let items = (0..5000_usize).inspect(|_| {
            started.fetch_add(1, Ordering::SeqCst);
        });
        let work = |item: usize| {
            if item.is_multiple_of(701) {
                std::thread::sleep(Duration::from_millis(5));
            }
            item * 2
        };
        let take = |result| {
            seen.push(result);
            let ahead = started.load(Ordering::SeqCst) - seen.len();
            most.fetch_max(ahead, Ordering::SeqCst);
            Ok(())
        };
        assert!(in_order(items, 4, work, take, || Ok(())).is_ok());
        assert_eq!(seen, (0..5000).map(|item| item * 2).collect::<Vec<_>>());
        let bound = TOGETHER * (2 * 4 * WAITING + 4 + 3);
        assert!(most.into_inner() <= bound, "no more than {bound} under way");
    }

    #[test]
    fn a_writer_that_fails_ends_the_work() {
        let done = AtomicUsize::new(0);
        let work = |_| done.fetch_add(1, Ordering::SeqCst);
        let take = |_| Err(io::ErrorKind::BrokenPipe.into());
        let endless = std::iter::repeat(());
        let end = in_order(endless, 2, work, take, || Ok(()));
        assert!(end.is_err_and(|error| error.kind() == io::ErrorKind::BrokenPipe));
    }
}
