//! Files that are read whole, and written whole or not at all.

use std::fs::{self, File};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

use crate::command::{Trouble, interrupt};

/// Longest text that is read, bytes: more than any document or log takes.
const MOST_BYTES: u64 = 512 << 20;

/// What the system says of a file, with the remedy.
pub(super) fn in_words(name: &str, error: &io::Error) -> String {
    use io::ErrorKind as Kind;
    let said = error.to_string();
    let said = said.split(" (os error").next().unwrap_or(&said);
    let remedy = match error.kind() {
        Kind::StorageFull | Kind::QuotaExceeded => ". Make space, or name a folder on another disk.",
        Kind::FileTooLarge => ". Raise the limit on the size of files (ulimit -f).",
        Kind::ReadOnlyFilesystem => ". Name a folder that can be written to.",
        Kind::PermissionDenied => ". Request access to it, or name another file.",
        Kind::NotFound => ". Check the path.",
        Kind::IsADirectory => ". Name a file in it.",
        _ => "",
    };
    format!("{name}: {said}{remedy}")
}

fn refused(path: &Path, error: &io::Error) -> Trouble {
    Trouble::Refused(in_words(&path.display().to_string(), error))
}

/// The text of a file.
pub(super) fn read(path: &Path) -> Result<String, Trouble> {
    let file = File::open(path).map_err(|error| refused(path, &error))?;
    let mut bytes = Vec::new();
    file.take(MOST_BYTES + 1).read_to_end(&mut bytes).map_err(|error| refused(path, &error))?;
    if bytes.len() as u64 > MOST_BYTES {
        return Err(Trouble::Refused(format!("{}: longer than 512 MiB. Cut it in parts.", path.display())));
    }
    let text = String::from_utf8(bytes)
        .map_err(|_| Trouble::Refused(format!("{}: not UTF-8. Save the file as UTF-8.", path.display())))?;
    Ok(text.strip_prefix('\u{feff}').map_or_else(|| text.clone(), str::to_owned))
}

/// Rejects an output that is one of the files read.
pub(super) fn not_an_input(out: &Path, inputs: &[&Path]) -> Result<(), Trouble> {
    let same = |input: &&&Path| {
        let is_file = |path: &Path| fs::metadata(path).is_ok_and(|metadata| metadata.is_file());
        **input == out || is_file(input) && is_file(out) && is_same_file(input, out)
    };
    match inputs.iter().find(same) {
        Some(input) => Err(Trouble::Refused(format!(
            "--out {} is the input {}. Name another file.",
            out.display(),
            input.display()
        ))),
        None => Ok(()),
    }
}

/// Whether two names lead to one file, also by a link.
fn is_same_file(a: &Path, b: &Path) -> bool {
    #[cfg(unix)]
    {
        use std::os::unix::fs::MetadataExt;
        let id = |path: &Path| fs::metadata(path).map(|file| (file.dev(), file.ino())).ok();
        id(a).is_some() && id(a) == id(b)
    }
    #[cfg(not(unix))]
    {
        matches!((a.canonicalize(), b.canonicalize()), (Ok(a), Ok(b)) if a == b)
    }
}

/// A file under way: written beside its place, which it takes only when it is whole.
///
/// It is locked for as long as it is under way, so that a later run can tell what a killed one left from what another
/// writes. A device or a pipe is written into as it is.
pub(super) struct WholeFile {
    place: PathBuf,
    part: Option<PathBuf>,
    file: Option<File>,
}

impl WholeFile {
    pub(super) fn create(named: &Path) -> Result<Self, Trouble> {
        // a link keeps pointing where it points
        let place = named.canonicalize().unwrap_or_else(|_| end_of_links(named));
        let name = place.file_name().map(|name| name.to_string_lossy().into_owned());
        let Some(name) = name.filter(|_| !place.is_dir()) else {
            return Err(Trouble::Refused(format!("{}: a folder. Name a file in it.", named.display())));
        };
        let before = fs::metadata(&place).ok();
        if before.as_ref().is_some_and(|before| !before.is_file()) {
            let file = File::options().write(true).open(&place).map_err(|error| refused(named, &error))?;
            return Ok(Self { place, part: None, file: Some(file) });
        }
        let folder = folder_of(&place);
        remove_leftovers(folder, &format!(".{name}.part-"));
        let part = folder.join(format!(".{name}.part-{}", std::process::id()));
        interrupt::watch();
        let mut parts = interrupt::under_way();
        let file = File::create_new(&part).map_err(|error| refused(named, &error))?;
        parts.push((part.clone(), named.to_owned()));
        drop(parts);
        // some file systems have no locks, or no owners
        let _ = file.try_lock();
        if let Some(before) = before {
            let _ = file.set_permissions(before.permissions());
            #[cfg(unix)]
            {
                use std::os::unix::fs::{MetadataExt, fchown};
                let _ = fchown(&file, Some(before.uid()), Some(before.gid()));
            }
        }
        Ok(Self { place, part: Some(part), file: Some(file) })
    }

    /// Puts the file into its place.
    pub(super) fn keep(mut self) -> Result<(), Trouble> {
        let Some(file) = self.file.take() else { return Ok(()) };
        let Some(part) = self.part.take() else {
            return file.sync_all().or_else(of_a_pipe).map_err(|error| refused(&self.place, &error));
        };
        let synced = file.sync_all();
        drop(file);
        let mut parts = interrupt::under_way();
        let kept = synced.and_then(|()| fs::rename(&part, &self.place)).inspect_err(|_| {
            let _ = fs::remove_file(&part);
        });
        parts.retain(|(known, _)| *known != part);
        drop(parts);
        // the name too is to outlast a power cut, where the file system can do that
        let _ = File::open(folder_of(&self.place)).and_then(|folder| folder.sync_all());
        kept.map_err(|error| refused(&self.place, &error))
    }
}

/// A pipe has nothing to put on a disk.
fn of_a_pipe(error: io::Error) -> io::Result<()> {
    if error.kind() == io::ErrorKind::InvalidInput { Ok(()) } else { Err(error) }
}

/// Links that are followed to a place where nothing is yet.
const MOST_LINKS: usize = 40;

/// Where links lead, though nothing is there yet.
fn end_of_links(named: &Path) -> PathBuf {
    let mut place = named.to_owned();
    for _ in 0..MOST_LINKS {
        let Ok(next) = fs::read_link(&place) else { break };
        place = folder_of(&place).join(next);
    }
    place
}

fn folder_of(place: &Path) -> &Path {
    place.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

impl Write for WholeFile {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.file.as_mut().map_or(Ok(0), |file| file.write(bytes))
    }

    fn flush(&mut self) -> io::Result<()> {
        self.file.as_mut().map_or(Ok(()), File::flush)
    }
}

impl Drop for WholeFile {
    fn drop(&mut self) {
        drop(self.file.take());
        if let Some(part) = self.part.take() {
            let _ = fs::remove_file(&part);
            interrupt::under_way().retain(|(known, _)| *known != part);
        }
    }
}

/// Removes what killed runs left beside a place: what no run has locked.
fn remove_leftovers(folder: &Path, start: &str) {
    let Ok(entries) = fs::read_dir(folder) else { return };
    for entry in entries.flatten() {
        if entry.file_name().to_str().is_some_and(|name| name.starts_with(start)) {
            let locked = File::open(entry.path()).is_ok_and(|file| file.try_lock().is_ok());
            if locked {
                let _ = fs::remove_file(entry.path());
            }
        }
    }
}

/// Writes a text to a file, whole or not at all.
pub(super) fn write(path: &Path, text: &str) -> Result<(), Trouble> {
    let mut file = WholeFile::create(path)?;
    file.write_all(text.as_bytes()).map_err(|error| refused(path, &error))?;
    file.keep()
}
