"""The page of an anchor as markup: what was built, how it was tested and judged, its life."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from backstay.fieldbook.entry_words import entry_words, fact_values
from backstay.fieldbook.judged import JudgedTest, judged_tests
from backstay.fieldbook.next_in_life import next_in_life
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.records.anchor_file import AnchorFile
from backstay.records.entries import Entry, RegisterLine
from backstay.records.facts import (
    Attachment,
    Drilled,
    Grouted,
    GroutStrength,
    LiftedOff,
    LoadRead,
    LockedOff,
    Repaired,
    Replaced,
    TendonPlaced,
    VerdictIssued,
)
from backstay.records.store import Records
from backstay.report.field.words import moment
from backstay.stressing.rules import TestRules
from backstay.tables import sentence
from backstay.workbench.markup import joined, tag

MADE = (
    (Drilled, "Drill log"), (TendonPlaced, "Tendon"), (Grouted, "Grouting"),
    (GroutStrength, "Strength of the grout"), (VerdictIssued, "Verdict"),
    (LockedOff, "Lock-off"), (LiftedOff, "Lift-off"), (LoadRead, "Load read later"),
    (Repaired, "Repair"), (Replaced, "Replacement"),
)  # fmt: skip

_JUDGED = frozenset({"stressed", "accepted", "not accepted", "locked off", "lifted off"})
"""States in which the judgement of the last test says what is next."""


@dataclass(frozen=True, slots=True)
class AnchorSeen:
    """An anchor as it stands. before, after: names of its neighbours in the register, "" for none."""

    line: RegisterLine
    file: AnchorFile
    tests: tuple[JudgedTest, ...]
    history: tuple[Entry[Any], ...]
    before: str
    after: str

    @property
    def attached(self) -> tuple[Entry[Attachment], ...]:
        """Return its photographs and files."""
        return self.file.of(Attachment)


def see_anchor(
    records: Records, rules: TestRules, lines: Sequence[RegisterLine], anchor: str
) -> AnchorSeen:
    """Return an anchor as it stands. Raises RefusedError where the register has no such anchor."""
    file = records.anchor(anchor)
    names = [line.anchor for line in lines]
    at = names.index(anchor) if anchor in names else 0
    return AnchorSeen(
        file.line, file, tuple(judged_tests(records, rules, [file.line], every=True)),
        records.history(anchor), names[at - 1] if at else "",
        names[at + 1] if at + 1 < len(names) else "",
    )  # fmt: skip


def next_steps_of(seen: AnchorSeen) -> list[str]:
    """Return what is to be done next, quantities as placeholders."""
    line = seen.line
    if seen.tests and line.state in _JUDGED:
        last = seen.tests[-1]
        steps = [
            *(last.lift_off.next if last.lift_off is not None else ()),
            *last.judgement.next,
        ]
        words = [f"{step.words} ({step.cite})" for step in steps]
        if last.after is not None:
            words += [c.remedy or c.name for c in last.after.failing]
        if line.state == "stressed" and not line.test_open:
            words.insert(0, next_in_life(line))
        if words:
            return list(dict.fromkeys(words))
    return [next_in_life(line)]


def _asked_for(line: RegisterLine, units: UnitSystem) -> Markup:
    """Return what the design asks of an anchor."""
    d = line.design
    force, length, small = (QUANTITIES[n] for n in ("force", "length", "small length"))
    said = [
        ("Place", f"{line.part}, row {line.row}, number {line.number}"
         + (f", pile {line.pile}" if line.pile is not None else "") + (", trial anchor" * line.trial)),
        ("Design load", force.text(d.design_load, units)),
        ("Test load", force.text(d.test_load, units)),
        ("Lock-off load", force.text(d.lock_off_load, units)),
        ("Tendon", d.tendon or "–"),
        ("Free length", length.text(d.free_length, units)),
        ("Bond length", "by contractor" if d.bond_length is None else length.text(d.bond_length, units)),
        ("Hole", f"{small.text(d.hole_diameter, units)} at {QUANTITIES['angle'].text(d.inclination, units)}"),
        ("Ground of the bond", ", ".join(d.ground) or "–"),
        ("Tests planned", ", ".join(d.tests) or "none"),
        ("Service", d.service),
    ]  # fmt: skip
    return tag("div", tag("h2", "Asked for"), pairs(said))


def made(seen: AnchorSeen, units: UnitSystem) -> Markup:
    """Return what was asked for, and everything that was made and done, as it is in force."""
    blocks = [_asked_for(seen.line, units)]
    if seen.file.submittals:
        lines: list[tuple[str, str]] = []
        for paper in seen.file.submittals:
            if paper.fact is not None:
                lines.append((f"Submittal {paper.fact.number}", paper.fact.decision))
                lines += [("Because", reason) for reason in paper.fact.reasons]
        blocks.append(tag("div", tag("h2", "Submittal"), pairs(lines)))
    for kind, title in MADE:
        for entry in seen.file.of(kind):
            blocks.append(tag("div", tag("h2", title), _of(entry, units)))
    return tag("div", blocks, class_="columns")


def _of(entry: Entry[Any], units: UnitSystem) -> Markup:
    fact = entry.fact
    said = [("When", moment(entry.happened)), ("Recorded by", entry.author)]
    said += [(sentence(name), value) for name, value in fact_values(fact, units)]
    if isinstance(fact, VerdictIssued):
        said += [(what, f"{found}, limit {limit}") for what, found, limit in fact.criteria]
    if entry.exception:
        said.append(("Exception", entry.exception))
    log = _strata(fact, units) if isinstance(fact, Drilled) and fact.strata else ""
    return joined([pairs(said), log])


def _strata(hole: Drilled, units: UnitSystem) -> Markup:
    length = QUANTITIES["length"]
    unit = length.unit(units).label
    rows = [
        (
            length.number(s.top, units), length.number(s.bottom, units),
            "; ".join(filter(None, (s.description, s.kind))),
            "; ".join(filter(None, (s.water, s.loss))),
        )
        for s in hole.strata
    ]  # fmt: skip
    return table((f"From ({unit})", f"To ({unit})", "Ground", "Water, loss of flush"), rows, "rrll")


def life(seen: AnchorSeen, units: UnitSystem) -> Markup:
    """Return everything recorded, corrected or not; readings stand with their test."""
    rows = [
        (f"{e.id}", moment(e.happened or e.recorded), e.author, entry_words(e, units))
        for e in seen.history
        if e.kind != "reading"
    ]
    words = [
        tag("p", f"Entry {m.id} was recorded although {m.words}.", class_="quiet")
        for m in seen.file.misfits
    ]
    return joined([table(("Entry", "When", "Who", "What"), rows, "rlll"), joined(words)])


def table(
    heads: Sequence[str], rows: Iterable[Sequence[str | Markup]], align: str, *, short: bool = False
) -> Markup:
    """Return a table; align: l or r for each column."""
    kinds = ["number" if mark == "r" else None for mark in align]
    head = tag(
        "tr", [tag("th", h, scope="col", class_=k) for h, k in zip(heads, kinds, strict=True)]
    )
    body = [
        tag("tr", [tag("td", c, class_=k) for c, k in zip(row, kinds, strict=True)]) for row in rows
    ]
    look = "sheet short" if short else "sheet"
    return tag(
        "div", tag("table", tag("thead", head), tag("tbody", body), class_=look), class_="scrolls"
    )


def pairs(named: Iterable[tuple[str, str]]) -> Markup:
    """Return names with their values."""
    return tag("dl", list(_terms(named)))


def _terms(pairs: Iterable[tuple[str, str]]) -> Iterator[Markup]:
    for name, value in pairs:
        yield joined([tag("dt", name), tag("dd", value)])
