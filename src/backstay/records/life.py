"""The life of an anchor: how far it is, and which fact may follow which.

The state is worked out from the facts in the order in which they happened. Each kind of fact has
the states it may follow; one that comes from elsewhere is a misfit. Some misfits cannot be, and are
always refused; others do happen on a site, and are recorded where a reason is stated.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import NamedTuple

from backstay.records.entries import State
from backstay.records.facts import Decision, SubmittalDecision


class Event(NamedTuple):
    """One fact in the life of an anchor.

    id: of the entry first recorded for it; decision: of a verdict or a submittal; test: number of the test that a verdict is on, or that begins or closes;
    has_readings: whether that test has any; exception: stated for it.
    """

    id: int
    kind: str
    happened: datetime
    test: int | None = None
    decision: Decision | SubmittalDecision | None = None
    has_readings: bool = False
    exception: str = ""


@dataclass(frozen=True, slots=True)
class Misfit:
    """A fact that does not fit. never: it cannot be, whatever is stated."""

    id: int
    words: str
    never: bool = False


@dataclass(frozen=True, slots=True)
class Life:
    """How far an anchor is, since when, and what does not fit."""

    state: State
    since: datetime
    misfits: tuple[Misfit, ...]


FITS: Mapping[str, tuple[frozenset[State], str]] = {
    "submittal": (
        frozenset({"planned", "submittal", "not accepted", "repaired"}),
        "a submittal comes before the hole",
    ),
    "drilled": (
        frozenset({"submittal", "not accepted", "repaired"}),
        "a hole is drilled once, after a submittal that was accepted",
    ),
    "grouted": (
        frozenset({"drilled", "grouted", "not accepted", "repaired"}),
        "grout follows the hole, or a test that was not passed",
    ),
    "test": (
        frozenset({"grouted", "stressed", "not accepted", "repaired"}),
        "a test follows the grout, or a test that was not passed",
    ),
    "locked off": (
        frozenset({"accepted", "lifted off"}),
        "an anchor is locked off after it is accepted, or again after a lift-off",
    ),
    "lifted off": (
        frozenset({"locked off", "lifted off"}),  # loads are watched by lift-offs for years
        "a lift-off follows a lock-off",
    ),
    "load": (frozenset({"locked off", "lifted off"}), "a load is read after the lock-off"),
    "repaired": (
        frozenset(
            {"drilled", "grouted", "stressed", "not accepted", "accepted", "locked off", "lifted off"}
        ),
        "a repair is of work that was done",
    ),
}  # fmt: skip
"""For each kind of fact: the states that it may follow, and the rule in words."""
_BECOMES: Mapping[str, State] = {
    "drilled": "drilled", "grouted": "grouted", "test": "stressed",
    "locked off": "locked off", "lifted off": "lifted off", "repaired": "repaired",
    "replaced": "replaced",
}  # fmt: skip
_AFTER_REPLACED = frozenset({"verdict", "lifted off", "load", "test closed"})
LIVES = frozenset({*FITS, "planned", "test closed", "verdict", "replaced"})
"""Kinds of fact that make the life of an anchor; the others may come at any time."""


def life(events: Iterable[Event]) -> Life:
    """Return the life that some facts make: at least that the anchor was planned."""
    ordered = sorted(events, key=_when)
    course = _Course(since=ordered[0].happened)
    for event in ordered:
        course.take(event)
    return Life(course.state, course.since, tuple(course.misfits))


def _when(event: Event) -> tuple[datetime, int]:
    return event.happened, event.id


@dataclass(slots=True)
class _Course:
    """The life so far, while facts are taken in the order in which they happened."""

    since: datetime
    state: State = "planned"
    misfits: list[Misfit] = field(default_factory=list)
    last_test: int | None = None
    closed: set[int | None] = field(default_factory=set)
    judged: set[int | None] = field(default_factory=set)
    revise: bool = False

    def take(self, event: Event) -> None:
        """Take the next fact: note whether it fits, and go on to the state that it leads to."""
        words = self._never(event)
        if words:
            self.misfits.append(Misfit(event.id, words, never=True))
        elif words := self._unusual(event):
            self.misfits.append(Misfit(event.id, words))
        state = self._next(event)
        if state is not None:
            self.state, self.since = state, event.happened

    def _never(self, event: Event) -> str:
        if self.state == "replaced" and event.kind not in _AFTER_REPLACED:
            return "it has been replaced"
        if event.kind != "verdict":
            return ""
        if event.test not in self.closed:
            return f"test {event.test} is not closed; an open test has no verdict"
        if event.decision == "accepted" and not event.has_readings:
            return f"test {event.test} has no reading"
        return ""

    def _unusual(self, event: Event) -> str:
        rule = FITS.get(event.kind)
        if rule is not None and self.state not in rule[0]:
            return f"it is {self.state}, and {rule[1]}"
        if event.kind == "drilled" and self.revise:
            return "its submittal is to be revised"
        if event.kind == "verdict" and event.test in self.judged:
            return f"test {event.test} has a verdict already"
        return ""

    def _next(self, event: Event) -> State | None:
        """Return the state that a fact leads to, None where it leaves the state as it is."""
        kind = event.kind
        if kind == "submittal":
            self.revise = event.decision == "revise"
            return "submittal" if self.state in ("planned", "submittal") else None
        if kind == "test closed":
            self.closed.add(event.test)
        elif kind == "verdict":
            self.judged.add(event.test)
            if self.state == "stressed" and event.test == self.last_test:
                return "accepted" if event.decision == "accepted" else "not accepted"
        elif kind == "test":
            self.last_test = event.test
        return None if self.state == "replaced" else _BECOMES.get(kind)
