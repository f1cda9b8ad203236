//! A cache for all threads: each answer is made once and then reused.

use std::collections::BTreeMap;
use std::sync::{Mutex, MutexGuard, PoisonError};

/// Answers by their key, for all threads. Two threads that ask for the same key at once may both make the answer; it is the same.
#[derive(Debug)]
pub struct Memo<K, V>(Mutex<BTreeMap<K, V>>);

impl<K, V> Default for Memo<K, V> {
    fn default() -> Self {
        Memo(Mutex::default())
    }
}

impl<K: Ord, V: Clone> Memo<K, V> {
    /// The answer to `key`, made if it is not known yet. Nothing is locked while it is made.
    pub fn of(&self, key: K, make: impl FnOnce() -> V) -> V {
        if let Some(known) = locked(&self.0).get(&key) {
            return known.clone();
        }
        let made = make();
        locked(&self.0).insert(key, made.clone());
        made
    }
}

/// Locks, even after another thread panicked with the lock: it left only whole answers.
pub fn locked<T>(lock: &Mutex<T>) -> MutexGuard<'_, T> {
    lock.lock().unwrap_or_else(PoisonError::into_inner)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_answer_is_made_once() {
        let memo = Memo::default();
        let made = std::cell::Cell::new(0);
        let ask = |key: u32| {
            memo.of(key, || {
                made.set(made.get() + 1);
                2 * key
            })
        };
        assert_eq!(([ask(3), ask(3), ask(4), ask(3)], made.get()), ([6, 6, 8, 6], 2));
    }
}
