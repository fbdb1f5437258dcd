//! Work on many pieces at once: photos of a folder, bands of one photo.

use std::{
    num::NonZeroUsize,
    sync::{
        Mutex,
        atomic::{AtomicUsize, Ordering},
    },
    thread,
};

/// More hands would only hold more photos in memory at once.
const MOST_HANDS: usize = 4;

/// Does the work for each item, as many at once as the machine has hands, and gives the answers in
/// the items' order.
///
/// # Panics  when the work does.
pub fn side_by_side<T: Sync, R: Send>(items: &[T], work: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let hands = thread::available_parallelism().map_or(1, NonZeroUsize::get);
    let hands = hands.min(MOST_HANDS).min(items.len());
    if hands < 2 {
        return items.iter().map(work).collect();
    }
    let next = AtomicUsize::new(0);
    let answers: Mutex<Vec<(usize, R)>> = Mutex::new(Vec::with_capacity(items.len()));
    thread::scope(|scope| {
        for _ in 0..hands {
            scope.spawn(|| {
                loop {
                    let at = next.fetch_add(1, Ordering::Relaxed);
                    let Some(item) = items.get(at) else { return };
                    let answer = work(item);
                    answers.lock().expect("no hand panics while it holds it").push((at, answer));
                }
            });
        }
    });
    let mut answers = answers.into_inner().expect("every hand is done");
    answers.sort_by_key(|(at, _)| *at);
    answers.into_iter().map(|(_, answer)| answer).collect()
}

#[cfg(test)]
mod tests {
    use super::side_by_side;

    #[test]
    fn answers_come_in_the_order_of_the_items() {
        let items: Vec<u32> = (0..300).collect();
        let doubled = side_by_side(&items, |item| 2 * item);
        assert!(doubled.iter().zip(&items).all(|(two, one)| *two == 2 * one), "{doubled:?}");
        assert!(side_by_side(&[] as &[u32], |item| *item).is_empty(), "nothing to do");
    }
}
