"""Keep paths that come from a browser inside the folder of the projects."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection
from pathlib import Path
from urllib.parse import unquote

from backstay.errors import BackstayError

PROJECTS = frozenset({".yaml", ".yml"})
_LONGEST_PART, _LONGEST = 200, 1000
_DEVICE = re.compile(r"(con|prn|aux|nul|clock\$|conin\$|conout\$|(com|lpt)[0-9¹²³])", re.IGNORECASE)
_FORBIDDEN = frozenset('\\:*?"<>|')  # separators, streams and wildcards on one system or another


class UnsafePathError(BackstayError):
    """A path that does not name a file in the folder of the projects; always the same message."""

    def __init__(self) -> None:
        super().__init__("This is not the path of a file in the folder of the projects.")


def safe_path(root: Path, relative: str, *, suffixes: Collection[str] = PROJECTS) -> Path:
    """Give the file that a relative path names inside root, whether it exists or not.

    relative: parts joined by "/", as it came, decoded once. The same names are refused on every
    system, so that a folder of projects can move between them: no part may be empty, begin or end
    with a dot, be the name of a device, or hold a character that some system treats specially.
    Links are followed, and what they lead to must lie inside root and have one of the suffixes
    too. Raises UnsafePathError with one message, that does not tell what exists.
    """
    wanted = {suffix.lower() for suffix in suffixes}
    if not _plain(relative):
        raise UnsafePathError
    try:
        folder = root.resolve(strict=True)
        found = (folder / relative).resolve()
        special = found.exists() and not found.is_file()
    except (OSError, ValueError, RuntimeError):  # a loop of links, a name the system cannot have
        raise UnsafePathError from None
    inside = found != folder and found.is_relative_to(folder)
    known = {Path(relative).suffix.lower(), found.suffix.lower()} <= wanted
    if special or not inside or not known:
        raise UnsafePathError
    return found


def _plain(relative: str) -> bool:
    if not 0 < len(relative) <= _LONGEST or not relative.isprintable():
        return False
    if unquote(relative) != relative:  # encoded twice: somebody further in might decode it again
        return False
    spelled = unicodedata.normalize("NFKC", relative)  # wide and small forms of dots and slashes
    if spelled.count("/") != relative.count("/"):
        return False
    return all(_plain_part(part) for text in (relative, spelled) for part in text.split("/"))


def _plain_part(part: str) -> bool:
    return (
        0 < len(part.encode("utf-8", "surrogatepass")) <= _LONGEST_PART
        and part == part.strip()
        and not part.startswith((".", "~"))
        and not part.endswith(".")
        and not _FORBIDDEN & set(part)
        and not _DEVICE.fullmatch(part.split(".")[0].strip())
    )
