"""Photographs and files: kept by the SHA-256 of their content in a folder, written once.

The name that a file came with is a label in the records and never a path. What a file is, is told
from its content.
"""

from __future__ import annotations

from collections.abc import Iterator
from hashlib import file_digest, sha256
from pathlib import Path
from string import hexdigits

from backstay.files import atomic_create
from backstay.records.facts import Attachment
from backstay.records.refusal import RefusedError, StoreError

MOST_BYTES = 50_000_000
"""Size of the largest file that is taken."""
_SIGNS: tuple[tuple[bytes, int, str], ...] = (
    (b"\xff\xd8\xff", 0, "image/jpeg"),
    (b"\x89PNG\r\n\x1a\n", 0, "image/png"),
    (b"II*\x00", 0, "image/tiff"),
    (b"MM\x00*", 0, "image/tiff"),
    (b"WEBP", 8, "image/webp"),
    (b"ftyphei", 4, "image/heic"),
    (b"ftypmif1", 4, "image/heic"),
    (b"%PDF-", 0, "application/pdf"),
    (b"PK\x03\x04", 0, "application/zip"),
)
"""First bytes, where they stand, and what they tell; spreadsheets of today are zip files."""


class Folder:
    """The folder of files beside a database."""

    def __init__(self, path: Path | None) -> None:
        self._path = path

    @property
    def path(self) -> Path:
        """Return where it is. Raises StoreError where none was named."""
        if self._path is None:
            raise StoreError("name a folder for photographs and files when opening the records")
        return self._path

    def keep(self, content: bytes) -> str:
        """Write a content, forced to the disk, unless it is there; return its SHA-256."""
        digest = sha256(content).hexdigest()
        place = self._place(digest)
        try:
            place.parent.mkdir(parents=True, exist_ok=True)
            atomic_create(place, content)
        except FileExistsError:
            if self.fault(digest, len(content)):  # damaged: what should be there is at hand
                place.unlink()
                return self.keep(content)
        except OSError as error:
            raise StoreError(
                f"{self.path}: the file cannot be kept ({error.strerror or error}). "
                "Nothing of this was recorded; what was confirmed before is safe."
            ) from error
        return digest

    def read(self, digest: str) -> bytes:
        """Return a content, whole. Raises StoreError."""
        try:
            content = self._place(digest).read_bytes()
        except OSError as error:
            raise StoreError(
                f"{self.path}: file {digest} cannot be read ({error.strerror or error})."
            ) from error
        if sha256(content).hexdigest() != digest:
            raise StoreError(f"{self.path}: file {digest} is damaged.")
        return content

    def fault(self, digest: str, size: int) -> str:
        """Return what is wrong with a file that is kept, "" for nothing."""
        try:
            with self._place(digest).open("rb") as stream:
                if file_digest(stream, "sha256").hexdigest() != digest:
                    return f"file {digest} is damaged"
                return "" if stream.tell() == size else f"file {digest} has another size"
        except OSError as error:
            return f"file {digest} cannot be read ({error.strerror or error})"

    def fault_of(self, fact: Attachment) -> str:
        """Return what is wrong with the content of an attachment, "" for nothing."""
        return self.fault(fact.sha256, fact.size)

    def place(self, digest: str) -> Path:
        """Return where a content is kept. Raises RefusedError unless it is a SHA-256."""
        return self._place(digest)

    def kept(self) -> Iterator[str]:
        """Yield the SHA-256 of every file in the folder."""
        if self._path is not None and self._path.is_dir():
            for part in sorted(self._path.iterdir()):
                yield from sorted(p.name for p in part.iterdir() if len(p.name) == 64)

    def _place(self, digest: str) -> Path:
        if len(digest) != 64 or any(d not in hexdigits or d.isupper() for d in digest):
            raise RefusedError(f"this is no SHA-256: {digest!r}")
        return self.path / digest[:2] / digest


def media_of(content: bytes) -> str:
    """Return what a content is: a picture, a PDF, a spreadsheet or text. Raises RefusedError."""
    if not content:
        raise RefusedError("the file is empty")
    if len(content) > MOST_BYTES:
        raise RefusedError(f"the file is larger than {MOST_BYTES // 1_000_000} MB")
    for sign, at, media in _SIGNS:
        if content[at : at + len(sign)] == sign:
            return media
    try:
        text = content.decode("utf-8")
    except UnicodeDecodeError:
        text = "\0"
    if any(ord(letter) < 32 and letter not in "\n\r\t\f" for letter in text):
        raise RefusedError("pictures, PDF, spreadsheets and text are kept; this file is neither")
    return "text/plain"


def path_of(place: object) -> Path:
    """Return a path. Raises RefusedError."""
    if not isinstance(place, str | Path) or not str(place) or "\0" in str(place):
        raise RefusedError(f"this is no path of a file: {place!r}")
    return Path(place)


def content_of(source: bytes | str | Path) -> bytes:
    """Return the content of a file to attach, not more than is taken. Raises RefusedError."""
    if isinstance(source, bytes):
        return source
    try:
        with path_of(source).open("rb") as stream:
            return stream.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise RefusedError(f"{source}: the file cannot be read ({reason})") from None
