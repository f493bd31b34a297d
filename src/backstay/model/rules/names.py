"""Names that must stand in a table: sections, steels, timbers, strands and bars."""

from __future__ import annotations

from collections.abc import Iterator
from difflib import get_close_matches

from backstay.model.document import Path
from backstay.model.fields import listed
from backstay.model.rules.rule import Breach


def unknown_name(
    path: Path, name: str, table: str, *, extra: tuple[str, ...] = ()
) -> Iterator[Breach]:
    """Yield a breach if a name is not in its table, with the nearest names suggested."""
    known = _names(table)
    if not known or name in known:
        return
    folded = {_folded(k): k for k in known}
    if _folded(name) in folded and table != "sections":
        return
    near = [folded[k] for k in get_close_matches(_folded(name), list(folded), n=3, cutoff=0.6)]
    short = listed((*known, *extra)) if len(known) <= 12 else ""
    yield Breach(
        path, f"this is not in the table of {table}", short,
        f"did you mean {listed(tuple(near))}?" if near else "",
    )  # fmt: skip


def _folded(name: str) -> str:
    return name.casefold().replace(" ", "").replace("×", "x")


def _names(table: str) -> tuple[str, ...]:
    return ()


def shape_size(section: str) -> tuple[float, float] | None:
    """Return depth and flange width (m) of a rolled section, or None if it has no row."""
    return None
