"""The drill log of an anchor: in a few lines for its page, and whole as a table."""

from __future__ import annotations

from backstay.quantity import QUANTITIES, UnitSystem
from backstay.records.facts import Drilled
from backstay.report.field.words import plain, short
from backstay.tables import Table, Writer

_STRATA, _LONG = 6, 90


def log_lines(hole: Drilled | None, units: UnitSystem) -> list[list[str]]:
    """Return what was drilled and met, each line with its label; none where nothing is recorded."""
    if hole is None:
        return []
    length = QUANTITIES["length"]
    drilled = f"{length.text(hole.length, units)} long, {QUANTITIES['small length'].text(hole.diameter, units)}"
    if hole.inclination is not None:
        drilled += f", inclined {QUANTITIES['angle'].text(hole.inclination, units)}"
    if hole.casing is not None:
        drilled += f", cased to {length.text(hole.casing, units)}"
    if hole.method:
        drilled += f", {short(hole.method, 50)}"
    lines = [["Hole", drilled]]
    if hole.strata:
        met = "; ".join(_stratum(hole, i, units) for i in range(min(len(hole.strata), _STRATA)))
        more = len(hole.strata) - _STRATA
        lines.append(["Strata", met + (f"; and {more} more" if more > 0 else "")])
    lines += [
        [label, short(words, 2 * _LONG)]
        for label, words in (("Water", hole.water), ("Losses of flush", hole.losses))
        if words.strip()
    ]
    return lines


def _stratum(hole: Drilled, i: int, units: UnitSystem) -> str:
    one, length = hole.strata[i], QUANTITIES["length"]
    words = f"{length.number(one.top, units)} to {length.text(one.bottom, units)} "
    words += short(one.description or one.kind or "not described", _LONG)
    if one.water.strip():
        words += f", water: {short(one.water, 60)}"
    if one.loss.strip():
        words += f", loss: {short(one.loss, 60)}"
    return words


def log_table(hole: Drilled | None, units: UnitSystem) -> Table | None:
    """Return every stratum of a drill log, along the hole; None where none is recorded."""
    if hole is None or not hole.strata:
        return None
    w = Writer(units)
    rows = tuple(
        (
            w.fixed(s.top, "length", 2), w.fixed(s.bottom, "length", 2), plain(s.description),
            plain(s.kind), plain(s.water), plain(s.loss),
        )
        for s in hole.strata
    )  # fmt: skip
    head = (
        w.head("From", "length"), w.head("To", "length"), "Ground", "Kind", "Water", "Loss of flush",
    )  # fmt: skip
    return Table("Drill log, along the hole", head, rows, "rrllll")
