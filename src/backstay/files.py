"""Writing files so that none is ever partial."""

from __future__ import annotations

import errno
import os
import stat
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Literal

Written = Literal["PDF", "workbook", "zip archive"]
_BEGINS: dict[Written, bytes] = {"PDF": b"%PDF-", "workbook": b"PK", "zip archive": b"PK"}
"""First bytes of what is written, as the formats publish them."""
_DATABASE = b"SQLite format 3\0"
"""First bytes of an SQLite file, as its file format publishes them."""


class MisplacedError(OSError):
    """Output would take the place of a folder, of an input, or of a file of another kind."""


def output_at(path: Path, kind: Written, *inputs: Path) -> Path:
    """Return where to write a file of a kind. Raises MisplacedError, and nothing is written.

    Written over is only what was written so before: a slip of the name takes no project, field book,
    table or photograph away. inputs: files that are read, which are named where they are meant.
    """
    if path.is_dir():
        raise MisplacedError(errno.EEXIST, f"{path} is a folder; name a file in it")
    if not path.parent.is_dir():
        raise MisplacedError(errno.ENOENT, f"{path.parent}: there is no such folder")
    if not path.exists():
        return path
    if any(one.exists() and path.samefile(one) for one in inputs):
        raise MisplacedError(
            errno.EEXIST, f"{path} is what is read, and is not written over; name another file"
        )
    if not path.is_file():  # a pipe or a device takes whatever it is given
        return path
    with open(path, "rb") as stream:
        begins = stream.read(len(_BEGINS[kind]))
    if begins not in (b"", _BEGINS[kind]):
        raise MisplacedError(
            errno.EEXIST,
            f"{path} is there and is no {kind}; it is left as it is, name another file",
        )
    return path


def folder_for(path: Path) -> Path:
    """Return a folder to write to, made where it is not there. Raises MisplacedError for a file."""
    if path.exists() and not path.is_dir():
        raise MisplacedError(errno.EEXIST, f"{path} is a file; name a folder")
    path.mkdir(parents=True, exist_ok=True)
    return path


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
