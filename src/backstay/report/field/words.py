"""How the field papers put things into words: verdicts, days, sources, text that a person typed."""

from __future__ import annotations

import re
from datetime import date, datetime
from typing import TYPE_CHECKING, Any

from backstay import __version__
from backstay.cite import Citation
from backstay.quantity import UnitSystem
from backstay.report.prose import MEMORY_MARK, prose, typeset
from backstay.stressing.judge import Decision
from backstay.tables import sentence

if TYPE_CHECKING:
    from backstay.model.project import ProjectData

VERDICT: dict[Decision, str] = {
    "accepted": "accepted", "not accepted": "not accepted", "hold on": "test not over: hold on",
    "go on": "test not over: go on", "cannot be judged": "cannot be judged",
}  # fmt: skip
FOOTER = f"Backstay {__version__} · the tool advises, the engineer of record decides"
MARK_NOTE = f"{MEMORY_MARK} from memory: confirm against the document before relying on it."
_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f\ufffe\uffff]")
_LONG = 70


def said(text: str, units: UnitSystem) -> str:
    """Return text with its quantities in a unit system; text typed by a person stays as it is."""
    return prose(plain(text), units)


def sentence_of(text: str, units: UnitSystem) -> str:
    """Return text as a sentence in a unit system."""
    return sentence(said(text, units))


def plain(text: str) -> str:
    """Return what a person typed without control characters, which no page can show."""
    return _CONTROL.sub(" ", text)


def short(text: str, most: int = _LONG) -> str:
    """Return what a person typed, cut where it would not fit on a line."""
    text = " ".join(plain(text).split())
    return text if len(text) <= most else text[: most - 1].rstrip() + "…"


def source(citation: Citation) -> str:
    """Return a citation in short, with the mark where it was not re-read."""
    where = f", {citation.clause}" if citation.clause else ""
    if citation.provenance == "common practice":
        return typeset(
            f"common practice: {citation.clause}" if citation.clause else "common practice"
        )
    mark = f"\u00a0{MEMORY_MARK}" if citation.provenance == "memory" else ""
    return typeset(f"{citation.document}{where}") + mark


def day(when: date | datetime | None) -> str:
    """Return a day as ``2026-03-02``, a dash where it is not known."""
    if when is None:
        return "–"
    return (when.date() if isinstance(when, datetime) else when).isoformat()


def moment(when: datetime | None) -> str:
    """Return a day with hour and minute, a dash where it is not known."""
    return "–" if when is None else when.strftime("%Y-%m-%d %H:%M")


def heading(project: ProjectData | None, units: UnitSystem) -> dict[str, Any]:
    """Return what every field paper has: project, paper, footer."""
    return {
        "project": plain(project.name) if project else "",
        "number": short(project.number) if project else "",
        "location": short(project.location) if project else "",
        "author": (short(project.engineer) if project else "") or "Backstay",
        "paper": "a4" if units is UnitSystem.SI else "us-letter",
        "footer": FOOTER,
        "note": MARK_NOTE,
    }
