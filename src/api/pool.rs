//! Threads for long computations, so that the workers stay free for others.
//!
//! A computation takes a *place* before it is given to the threads, and nobody waits for a place: a
//! caller that is refused at once can go elsewhere. So as many computations as there are places run
//! or wait, and never more. A place is given back when the computation has really ended, not when
//! its caller has left.

use std::collections::VecDeque;
use std::fmt;
use std::num::NonZeroUsize;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread;

use tokio::sync::{OwnedSemaphorePermit, Semaphore, oneshot};

use crate::domain::stop::Stop;

/// The stack of a thread, in bytes. Searches go deep, and a stack that is too small ends the whole
/// program, which no other limit does; the system gives memory only to what is used of it.
const STACK: usize = 64 << 20;

type Job = Box<dyn FnOnce() + Send>;

/// The right to have one computation run or wait.
#[derive(Debug)]
pub struct Place(#[expect(dead_code, reason = "held, never read")] OwnedSemaphorePermit);

/// The computation panicked, or its threads are gone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Broken;

/// Threads and places. The threads end when the pool is dropped.
pub struct Pool {
    queue: Arc<Queue>,
    places: Arc<Semaphore>,
    total: usize,
}

impl fmt::Debug for Pool {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Pool({} of {} taken)", self.taken(), self.total)
    }
}

impl Pool {
    /// A pool whose threads have a name and first do something of their own.
    pub fn new(name: &str, threads: NonZeroUsize, places: NonZeroUsize, first: fn()) -> Self {
        let queue = Arc::new(Queue::default());
        for _ in 0..threads.get() {
            let queue = Arc::clone(&queue);
            let thread = thread::Builder::new()
                .name(name.to_owned())
                .stack_size(STACK);
            let started = thread.spawn(move || {
                first();
                while let Some(job) = queue.take() {
                    job();
                }
            });
            if let Err(error) = started {
                tracing::error!(%error, name, "a thread for computations cannot be started");
            }
        }
        Self {
            queue,
            places: Arc::new(Semaphore::new(places.get())),
            total: places.get(),
        }
    }

    /// A place, if one is free.
    pub fn place(&self) -> Option<Place> {
        let place = Arc::clone(&self.places).try_acquire_owned();
        place.ok().map(Place)
    }

    /// How many places are taken.
    pub fn taken(&self) -> usize {
        self.total.saturating_sub(self.places.available_permits())
    }

    /// How many places there are.
    pub fn places(&self) -> usize {
        self.total
    }

    /// Runs a computation and gives `place` (a [`Place`], or a share of one) back. Whoever stops waiting for it asks it to stop; one that was not begun by
    /// then never is.
    ///
    /// # Errors
    /// When it panics.
    pub async fn run<P, T, F>(&self, place: P, work: F) -> Result<T, Broken>
    where
        P: Send + 'static,
        T: Send + 'static,
        F: FnOnce(&Stop) -> T + Send + 'static,
    {
        let waiting = Waiting(Stop::on_request());
        let stop = waiting.0.clone();
        let (send, receive) = oneshot::channel();
        self.queue.put(Box::new(move || {
            let result = if stop.is_asked() {
                None
            } else {
                catch_unwind(AssertUnwindSafe(|| work(&stop))).ok()
            };
            // First the place, so that a caller with its answer finds it free.
            drop(place);
            let _ = send.send(result);
        }));
        receive.await.ok().flatten().ok_or(Broken)
    }
}

impl Drop for Pool {
    fn drop(&mut self) {
        self.queue.close();
    }
}

/// Asks for the end when nobody waits any more.
struct Waiting(Stop);

impl Drop for Waiting {
    fn drop(&mut self) {
        self.0.ask();
    }
}

/// What the threads have to do.
#[derive(Default)]
struct Queue {
    jobs: Mutex<Jobs>,
    changed: Condvar,
}

#[derive(Default)]
struct Jobs {
    waiting: VecDeque<Job>,
    closed: bool,
}

impl Queue {
    fn jobs(&self) -> MutexGuard<'_, Jobs> {
        self.jobs.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn put(&self, job: Job) {
        self.jobs().waiting.push_back(job);
        self.changed.notify_one();
    }

    /// The next job, once there is one; `None` when there will be no more.
    fn take(&self) -> Option<Job> {
        let mut jobs = self.jobs();
        loop {
            if let Some(job) = jobs.waiting.pop_front() {
                return Some(job);
            }
            if jobs.closed {
                return None;
            }
            let woken = self.changed.wait(jobs);
            jobs = woken.unwrap_or_else(PoisonError::into_inner);
        }
    }

    fn close(&self) {
        self.jobs().closed = true;
        self.changed.notify_all();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::mpsc;
    use std::time::Duration;

    fn pool(threads: usize, places: usize) -> Pool {
        let number = |n| NonZeroUsize::new(n).unwrap();
        Pool::new("test", number(threads), number(places), || {})
    }

    fn block_on<T>(future: impl Future<Output = T>) -> T {
        actix_web::rt::System::new().block_on(future)
    }

    #[test]
    fn gives_what_the_computation_gives() {
        let pool = pool(2, 2);
        let place = pool.place().unwrap();
        assert_eq!(block_on(pool.run(place, |_| 42)), Ok(42));
        assert_eq!(pool.taken(), 0);
    }

    #[test]
    fn has_as_many_places_as_were_asked_for() {
        let pool = pool(1, 2);
        let held = [pool.place(), pool.place()];
        assert!(held.iter().all(Option::is_some) && pool.place().is_none());
        drop(held);
        assert!(pool.place().is_some());
    }

    #[test]
    fn a_panic_ends_one_computation_and_not_the_thread() {
        let pool = pool(1, 1);
        let panics = pool.run(pool.place().unwrap(), |_| panic!("on purpose"));
        assert_eq!(block_on(panics), Err::<(), _>(Broken));
        let place = pool.place().unwrap();
        assert_eq!(block_on(pool.run(place, |_| 1)), Ok(1));
    }

    #[test]
    fn who_leaves_asks_the_computation_to_stop_and_the_place_is_free_when_it_has() {
        let pool = pool(1, 1);
        let (begun, wait_begun) = mpsc::channel();
        let (ended, wait_ended) = mpsc::channel();
        let place = pool.place().unwrap();
        let work = pool.run(place, move |stop| {
            begun.send(()).unwrap();
            while !stop.is_asked() {
                thread::sleep(Duration::from_millis(1));
            }
            ended.send(()).unwrap();
        });
        let short = Duration::from_millis(50);
        block_on(async {
            assert!(tokio::time::timeout(short, work).await.is_err());
        });
        wait_begun.recv().unwrap();
        wait_ended.recv().unwrap();
        let freed = (0..1000).any(|_| {
            thread::sleep(Duration::from_millis(1));
            pool.place().is_some()
        });
        assert!(freed);
    }

    #[test]
    fn the_threads_end_with_the_pool() {
        let pool = pool(1, 1);
        let queue = Arc::downgrade(&pool.queue);
        drop(pool);
        let gone = (0..1000).any(|_| {
            thread::sleep(Duration::from_millis(1));
            queue.strong_count() == 0
        });
        assert!(gone);
    }
}
