"""Files that are whole or absent: written beside the wanted place, renamed at the end."""

from __future__ import annotations

import contextlib
import errno
import os
import stat
from contextlib import contextmanager
from pathlib import Path
from typing import IO, TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator


class WholeFile:
    """A file under way, named `.NAME.part-PID` in the folder of the wanted one.

    `keep` puts it in the wanted place, `drop` takes it away. It is locked for as long as it is under way, so
    that a later run can tell what a killed one left (no lock: it is removed) from what another writes.
    """

    def __init__(self, wanted: Path) -> None:
        # a link keeps pointing where it points
        self.wanted = wanted.resolve()
        # a device or a pipe is no file that another could take the place of
        self._as_is = self.wanted.exists() and not (self.wanted.is_file() or self.wanted.is_dir())
        if self._as_is:
            self.beside = self.wanted
            with self.faults_named():
                self.file: IO[bytes] = open(self.wanted, "wb")  # noqa: SIM115 (closed by keep or drop)
            return
        self.beside = self.wanted.with_name(f".{self.wanted.name}.part-{os.getpid()}")
        if self.wanted.is_dir():
            raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), str(wanted))
        self._clear_leftovers()
        with self.faults_named():
            self.file = open(self.beside, "xb")  # noqa: SIM115 (closed by keep or drop)
        _lock(self.file)
        self._take_on()

    @contextmanager
    def faults_named(self) -> Iterator[None]:
        """Faults of the disk name the wanted file."""
        try:
            yield
        except OSError as error:
            if error.errno is None or error.filename not in (None, str(self.beside)):
                raise
            raise OSError(error.errno, os.strerror(error.errno), str(self.wanted)) from error

    def flush(self) -> None:
        """Puts what was written on the disk, so that a lack of room shows before anything is replaced."""
        with self.faults_named():
            self.file.flush()
            if not self._as_is:
                os.fsync(self.file.fileno())

    def keep(self) -> None:
        """Puts the file in the wanted place, in one step."""
        self.flush()
        with self.faults_named():
            self.file.close()
            if self._as_is:
                return
            os.replace(self.beside, self.wanted)
        if os.name == "posix":
            # the name too must outlast a power cut; some file systems cannot do that
            with contextlib.suppress(OSError):
                folder = os.open(self.wanted.parent, os.O_RDONLY)
                try:
                    os.fsync(folder)
                finally:
                    os.close(folder)

    def drop(self) -> None:
        """Removes the file, if it is not kept."""
        with contextlib.suppress(OSError):
            self.file.close()
        if not self._as_is:
            self.beside.unlink(missing_ok=True)

    def _take_on(self) -> None:
        """Gives the file mode and owner of the one whose place it takes, where the system lets it."""
        with contextlib.suppress(OSError):
            before = self.wanted.stat()
            if hasattr(os, "fchown"):
                with contextlib.suppress(OSError):
                    os.fchown(self.file.fileno(), before.st_uid, before.st_gid)
            os.chmod(self.beside, stat.S_IMODE(before.st_mode))

    def _clear_leftovers(self) -> None:
        for leftover in self.wanted.parent.glob(f".{_literal(self.wanted.name)}.part-*"):
            with contextlib.suppress(OSError), open(leftover, "rb") as file:
                if _lock(file):
                    leftover.unlink()


@contextmanager
def written_whole(wanted: Path) -> Iterator[IO[bytes]]:
    """A file to write into, which replaces the wanted one if nothing goes wrong."""
    whole = WholeFile(wanted)
    try:
        with whole.faults_named():
            yield whole.file
        whole.keep()
    finally:
        whole.drop()


def same_file(one: str | os.PathLike[str], other: str | os.PathLike[str]) -> bool:
    """Whether two paths lead to one file that is there; what cannot be a path is none."""
    try:
        return os.path.samefile(one, other)
    except (OSError, ValueError):
        return False


def _literal(name: str) -> str:
    return "".join(f"[{c}]" if c in "*?[" else c for c in name)


def _lock(file: IO[bytes]) -> bool:
    """Locks a file under way; False where another has it or there are no locks."""
    try:
        import fcntl
    except ImportError:  # on Windows a leftover stays until somebody deletes it
        return False
    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True
