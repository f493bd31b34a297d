"""What the columns of a table of readings are called on site."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Literal

Role = Literal[
    "number", "anchor", "test", "step", "cycle", "share", "phase", "minute", "gauge", "load", "dial",
    "reference", "at", "remark",
]  # fmt: skip
_WORDS: Mapping[Role, tuple[str, ...]] = {
    "number": ("no", "no.", "nr", "nr.", "#", "number", "reading", "reading no", "reading no."),
    "anchor": ("anchor", "anchor no", "anchor no."),
    "test": ("test", "test no", "test no."),
    "step": ("step", "step no", "step no."),
    "cycle": ("cycle", "cycle no", "cycle no."),
    "share": ("share", "target", "load step", "of design load", "share of design load", "of dl"),
    "phase": ("phase",),
    "minute": ("minute", "minutes", "min", "time", "elapsed", "elapsed time", "hold time", "time held"),
    "gauge": ("gauge", "gauge pressure", "pressure", "jack pressure", "gage", "gage pressure"),
    "load": ("load", "load cell", "cell", "load by cell"),
    "dial": ("dial", "dial gauge", "dial gage", "movement", "displacement", "extension"),
    "reference": ("reference", "reference movement", "movement of reference", "beam"),
    "at": ("at", "clock", "time of day", "read at", "date and time"),
    "remark": ("remark", "remarks", "note", "notes", "comment", "comments"),
}  # fmt: skip
ROLES: dict[str, Role] = {word: role for role, words in _WORDS.items() for word in words}
_HEAD = re.compile(r"(.*?)\s*(?:[(\[]\s*([^()\[\]]*?)\s*[)\]])?\s*")
_LONGEST = 80


def role_of(cell: object) -> tuple[Role | None, str, int]:
    """Return role, unit and number that a head says; no role where it is none that is known."""
    if not isinstance(cell, str) or len(cell) > _LONGEST:
        return None, "", 1
    match = _HEAD.fullmatch(" ".join(cell.split()))
    words, unit = (match[1], match[2] or "") if match else (cell, "")
    plain = words.casefold().strip(" :")
    if plain in ROLES:
        return ROLES[plain], unit, 1
    numbered = re.fullmatch(r"(.+?)\s*(?:no\.? ?)?([1-9]|[a-d])", plain)
    if numbered and ROLES.get(numbered[1]) == "dial":
        mark = numbered[2]
        return "dial", unit, int(mark) if mark.isdigit() else ord(mark) - ord("a") + 1
    return None, unit, 1
