//! Room in the memory: many small sheets are worked at once, and large ones one after another.

use std::sync::{Condvar, Mutex, PoisonError};

/// So many bytes of sheets are worked at once as one sheet may have.
pub(super) struct Room {
    all: u64,
    free: Mutex<u64>,
    freed: Condvar,
}

/// Room that goes back when this is dropped.
pub(super) struct Taken<'a> {
    of: &'a Room,
    bytes: u64,
}

impl Room {
    pub(super) fn new(bytes: u64) -> Room {
        Room { all: bytes, free: Mutex::new(bytes), freed: Condvar::new() }
    }

    /// Waits until there is room; what is larger than all of it takes all of it.
    pub(super) fn take(&self, bytes: u64) -> Taken<'_> {
        let bytes = bytes.min(self.all);
        let free = self.free.lock().unwrap_or_else(PoisonError::into_inner);
        let mut free = self
            .freed
            .wait_while(free, |free| *free < bytes)
            .unwrap_or_else(PoisonError::into_inner);
        *free -= bytes;
        Taken { of: self, bytes }
    }
}

impl Drop for Taken<'_> {
    fn drop(&mut self) {
        *self.of.free.lock().unwrap_or_else(PoisonError::into_inner) += self.bytes;
        self.of.freed.notify_all();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::{AtomicU64, Ordering};

    #[test]
    fn no_more_is_worked_at_once_than_there_is_room_for() {
        let (room, now, most) = (Room::new(100), AtomicU64::new(0), AtomicU64::new(0));
        std::thread::scope(|scope| {
            for worker in 0..8_u64 {
                let (room, now, most) = (&room, &now, &most);
                scope.spawn(move || {
                    for turn in 0..50 {
                        // Up to 160: more than there is.
                        let bytes = 1 + (worker * 7 + turn * 13) % 160;
                        let _taken = room.take(bytes);
                        let bytes = bytes.min(100);
                        most.fetch_max(
                            now.fetch_add(bytes, Ordering::SeqCst) + bytes,
                            Ordering::SeqCst,
                        );
                        std::thread::yield_now();
                        now.fetch_sub(bytes, Ordering::SeqCst);
                    }
                });
            }
        });
        assert!(most.into_inner() <= 100);
        assert_eq!(*room.free.lock().expect("no thread failed"), 100);
    }
}
