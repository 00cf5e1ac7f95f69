//! Tasks in turn, or on threads.

/// Threads that are asked of the machine at most.
#[cfg(feature = "threads")]
const MOST_THREADS: usize = 256;

/// Runs tasks on so many threads, 0 for as many as the machine has; each keeps its scratch from task to task.
#[cfg(feature = "threads")]
pub(super) fn run_tasks<T: Send, S: Default>(tasks: Vec<T>, threads: usize, run: impl Fn(T, &mut S) + Sync) {
    use rayon::prelude::*;
    // No more threads than tasks; a machine that rejects them still gets its results.
    let threads = threads.min(tasks.len()).min(MOST_THREADS);
    let pool = (threads != 1 && tasks.len() > 1)
        .then(|| rayon::ThreadPoolBuilder::new().num_threads(threads).build().ok())
        .flatten();
    match pool {
        Some(pool) => pool.install(|| {
            tasks.into_par_iter().for_each_init(S::default, |scratch, task| run(task, scratch));
        }),
        None => run_in_turn(tasks, run),
    }
}

#[cfg(not(feature = "threads"))]
pub(super) fn run_tasks<T, S: Default>(tasks: Vec<T>, _threads: usize, run: impl Fn(T, &mut S)) {
    run_in_turn(tasks, run);
}

fn run_in_turn<T, S: Default>(tasks: Vec<T>, run: impl Fn(T, &mut S)) {
    let mut scratch = S::default();
    for task in tasks {
        run(task, &mut scratch);
    }
}

/// What each item gives, in the order of the items, on as many threads as the machine has.
#[cfg(feature = "report")]
pub(crate) fn each_in_order<T: Send, R: Send>(items: Vec<T>, run: impl Fn(T) -> R + Sync) -> Vec<R> {
    let mut results: Vec<Option<R>> = items.iter().map(|_| None).collect();
    let tasks: Vec<_> = items.into_iter().zip(results.iter_mut()).collect();
    run_tasks(tasks, 0, |(item, result), _: &mut ()| *result = Some(run(item)));
    results.into_iter().flatten().collect()
}
