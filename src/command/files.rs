//! Files that are read whole, and written whole or not at all.

use std::fs::{self, File, OpenOptions};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

use crate::command::Trouble;

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

/// Refuses an output that is one of the files read.
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

/// A file under way: written beside its place, which it takes only when it is whole. A device or a pipe is written
/// into; a file that is there keeps its mode, its owner and the link that leads to it.
pub(super) struct WholeFile {
    place: PathBuf,
    /// What is written until it is whole; none for a device or a pipe.
    part: Option<PathBuf>,
    file: Option<File>,
}

impl WholeFile {
    pub(super) fn create(place: &Path) -> Result<Self, Trouble> {
        let name = place.file_name().map(|name| name.to_string_lossy().into_owned());
        if name.is_none() || place.is_dir() {
            return Err(Trouble::Refused(format!("{}: a folder. Name a file in it.", place.display())));
        }
        let there = fs::metadata(place);
        if there.as_ref().is_ok_and(|there| !there.is_file()) {
            let file = OpenOptions::new().write(true).open(place).map_err(|error| refused(place, &error))?;
            return Ok(Self { place: place.to_owned(), part: None, file: Some(file) });
        }
        // the file that a link leads to is replaced, not the link
        let target = if there.is_ok() { place.canonicalize() } else { Ok(place.to_owned()) };
        let target = target.map_err(|error| refused(place, &error))?;
        let name = target.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
        let folder =
            target.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
        remove_leftovers(folder, &format!(".{name}.part-"));
        let part = folder.join(format!(".{name}.part-{}", std::process::id()));
        let file = File::create(&part).map_err(|error| refused(place, &error))?;
        Ok(Self { place: target, part: Some(part), file: Some(file) })
    }

    /// Puts the file into its place.
    pub(super) fn keep(mut self) -> Result<(), Trouble> {
        let kept = match (self.file.take(), &self.part) {
            (Some(file), Some(part)) => file.sync_all().and_then(|()| put_in_place(part, &self.place)),
            (Some(mut file), None) => file.flush(),
            (None, _) => Ok(()),
        };
        kept.map_err(|error| {
            let _ = self.part.as_ref().map(fs::remove_file);
            refused(&self.place, &error)
        })
    }
}

/// Puts a whole file in the place of another, whose mode and owner stay.
fn put_in_place(part: &Path, place: &Path) -> io::Result<()> {
    let Ok(there) = fs::metadata(place) else { return fs::rename(part, place) };
    if owner_kept(part, &there) {
        fs::set_permissions(part, there.permissions())?;
        return fs::rename(part, place);
    }
    // the owner cannot be given to a new file: its content is put into the old one
    fs::copy(part, place)?;
    fs::remove_file(part)
}

/// Gives a file the owner of another; false where that is not allowed.
fn owner_kept(part: &Path, there: &fs::Metadata) -> bool {
    #[cfg(unix)]
    {
        use std::os::unix::fs::{MetadataExt, chown};
        let own = fs::metadata(part).map(|own| (own.uid(), own.gid()));
        own.is_ok_and(|own| own == (there.uid(), there.gid()))
            || chown(part, Some(there.uid()), Some(there.gid())).is_ok()
    }
    #[cfg(not(unix))]
    {
        let _ = (part, there);
        true
    }
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
        if self.file.take().is_some() {
            let _ = self.part.as_ref().map(fs::remove_file);
        }
    }
}

/// Removes what killed runs left beside a place.
fn remove_leftovers(folder: &Path, start: &str) {
    let Ok(entries) = fs::read_dir(folder) else { return };
    for entry in entries.flatten() {
        let name = entry.file_name();
        let Some(process) = name.to_str().and_then(|name| name.strip_prefix(start)) else { continue };
        let runs = Path::new("/proc").is_dir() && Path::new("/proc").join(process).exists();
        if process.parse::<u32>().is_ok() && Path::new("/proc").is_dir() && !runs {
            let _ = fs::remove_file(entry.path());
        }
    }
}

/// Writes a text to a file, whole or not at all.
pub(super) fn write(path: &Path, text: &str) -> Result<(), Trouble> {
    let mut file = WholeFile::create(path)?;
    file.write_all(text.as_bytes()).map_err(|error| refused(path, &error))?;
    file.keep()
}
