//! Files under way when a signal ends the program: they are removed, and what was there before stays.

use std::path::PathBuf;
use std::sync::{Mutex, MutexGuard, PoisonError};

/// Files under way, each with the place that it is to take.
static UNDER_WAY: Mutex<Vec<(PathBuf, PathBuf)>> = Mutex::new(Vec::new());

/// The files under way; no signal ends the program while they are held.
pub(super) fn under_way() -> MutexGuard<'static, Vec<(PathBuf, PathBuf)>> {
    UNDER_WAY.lock().unwrap_or_else(PoisonError::into_inner)
}

/// From now on an interruption removes the files under way, says so, and ends with 128 plus the number of the signal.
#[cfg(unix)]
pub(super) fn watch() {
    use std::io::Write;
    use std::sync::{Arc, Once};

    use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM, SIGXFSZ};
    use signal_hook::iterator::Signals;

    static WATCHED: Once = Once::new();
    WATCHED.call_once(|| {
        // a file that grows past the limit is then a fault of writing, which is told
        let _ = signal_hook::flag::register(SIGXFSZ, Arc::default());
        let heeded = [SIGINT, SIGTERM, SIGHUP].into_iter().filter(|signal| !is_ignored(*signal));
        let Ok(mut signals) = Signals::new(heeded) else { return };
        std::thread::spawn(move || {
            let Some(signal) = signals.forever().next() else { return };
            let parts = under_way();
            for (part, place) in parts.iter() {
                let _ = std::fs::remove_file(part);
                let said = format!("Interrupted: {} is as it was before.", place.display());
                let _ = writeln!(std::io::stderr(), "{said}");
            }
            signal_hook::low_level::exit(128 + signal);
        });
    });
}

/// Whether whoever started the program has it ignore a signal, as `nohup` does, where the system tells.
#[cfg(unix)]
fn is_ignored(signal: i32) -> bool {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let mask = status.lines().find_map(|line| line.strip_prefix("SigIgn:"));
    let mask = mask.and_then(|mask| u64::from_str_radix(mask.trim(), 16).ok()).unwrap_or(0);
    mask >> (signal - 1) & 1 == 1
}

/// Elsewhere the system ends the program, and the next run removes what it leaves.
#[cfg(not(unix))]
pub(super) fn watch() {}
