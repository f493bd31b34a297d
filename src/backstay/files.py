"""Writing files so that none is ever partial."""

from __future__ import annotations

import errno
import os
import stat
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

_DATABASE = b"SQLite format 3\0"
"""First bytes of an SQLite file, as its file format publishes them."""


def atomic_write(path: str | Path, content: bytes) -> None:
    """Write a file whole or not at all, and keep the mode of one that is replaced.

    The bytes go to a temporary file in the same folder, are forced to the disk, and only then
    take the name: whoever reads the name sees the old content or the new, whatever happens
    between. Raises OSError; the temporary file is removed. A database is never replaced.
    """
    target = Path(os.path.realpath(path))
    _keep_database(target)
    with _temporary(target, content) as temporary:
        os.replace(temporary, target)
    _force_folder(target.parent)


def atomic_create(path: str | Path, content: bytes) -> None:
    """Write a new file whole or not at all; raise FileExistsError if the name is taken."""
    target = Path(path)
    if os.path.lexists(target):
        raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(target))
    with _temporary(target, content) as temporary:
        try:
            os.link(temporary, target)  # unlike a rename, this never takes a name that exists
        except FileExistsError:
            raise
        except OSError:  # a file system without links: the check above must do
            os.replace(temporary, target)
    _force_folder(target.parent)


@contextmanager
def atomic_path(path: str | Path) -> Iterator[Path]:
    """Give an empty file beside the target to write to; on leaving it takes the name, whole.

    For what is too large to hold in memory. On an error nothing changes and the file is removed.
    A database is never replaced.
    """
    target = Path(os.path.realpath(path))
    _keep_database(target)
    with _temporary(target, b"") as temporary:
        yield Path(temporary)
        with open(temporary, "rb+") as stream:
            os.fsync(stream.fileno())
        os.replace(temporary, target)
    _force_folder(target.parent)


@contextmanager
def _temporary(target: Path, content: bytes) -> Iterator[str]:
    """Give a file with the content, on the disk, in the folder of the target; it goes at the end."""
    handle, temporary = tempfile.mkstemp(
        prefix=f".{target.name}.", suffix=".tmp", dir=target.parent
    )
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        os.chmod(temporary, _mode(target))
        yield temporary
    finally:
        Path(temporary).unlink(missing_ok=True)


def _keep_database(target: Path) -> None:
    """Refuse to write over a database: one slip of the name would take every field record away."""
    try:
        with open(target, "rb") as stream:
            begins = stream.read(len(_DATABASE))
    except OSError:  # not there, or not to be read: what follows says so
        return
    if begins == _DATABASE:
        words = "this is a database, and is not written over; name another file"
        raise FileExistsError(errno.EEXIST, words, str(target))


def _mode(target: Path) -> int:
    try:
        return stat.S_IMODE(target.stat().st_mode)
    except FileNotFoundError:
        mask = os.umask(0)
        os.umask(mask)
        return 0o666 & ~mask


def _force_folder(folder: Path) -> None:
    """Force the change of name to the disk, where the system can."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    except OSError:  # some file systems do not let a folder be forced; the name has changed
        return
    finally:
        os.close(handle)
