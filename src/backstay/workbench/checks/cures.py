"""Cures of a failing check: the single values that make it pass without making another fail.

Each is found by designing again with the value changed: outward from what it is, in steps that widen,
then back between the last that fails and the first that cures. What is offered has been designed once
more, from the text of the project as it would be written.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from threading import Event
from time import monotonic
from typing import Literal

from pydantic import BaseModel

from backstay.checks import Check, Verdict
from backstay.design import Design, SectionDesign, SlipSurfaces, design
from backstay.errors import DesignError, ProjectError
from backstay.model.changes import Change, changed
from backstay.model.document import Path
from backstay.model.project import Project
from backstay.model.reading import read_text
from backstay.quantity import UnitSystem
from backstay.stability.slope_design import SlopeDesign
from backstay.workbench.checks.knobs import Knob, Option, knobs_for, longer_rows
from backstay.workbench.checks.listing import Key, Row, rows_of
from backstay.workbench.writing_back import set_at, written_value

TIME_LIMIT = 30.0
"""Seconds after which no more values are tried."""
SEARCH_TIMES = 3.0
"""How many times longer the trials of such a check may take: each is a search."""
Outcome = Literal["fails", "passes", "cures"]
"""Of a value: the check fails, passes while others fail that did not, or passes alone."""
SEARCHED = ("stability.overall", "slope.smaller", "slope.slips")
"""Checks, by the beginning of their identifiers, that only a search of slip surfaces can answer."""


@dataclass(frozen=True, slots=True)
class Cure:
    """A value that cures, or the lengths of several rows together. before, after: designs without and with it, for what else changes."""

    knob: Knob
    value: Option
    changes: tuple[Change, ...]
    before: Design
    after: Design

    def words(self, units: UnitSystem) -> str:
        """Return what is set: ``bond length of row 1: 12.5 m (now 9.0 m)``."""
        now, then = self.knob.text(self.knob.now, units), self.knob.text(self.value, units)
        return f"{self.knob.words}: {then} (now {now})"


@dataclass(frozen=True, slots=True)
class Near:
    """A value with which the check passes, but others fail that did not: named."""

    words: str
    fails: tuple[str, ...]


@dataclass(slots=True)
class Search:
    """How far a search has come; what it has tried and found. Another thread may look on, and stop it."""

    limit: float = TIME_LIMIT
    stop: Event = field(default_factory=Event)
    trying: str = ""
    tried: list[str] = field(default_factory=list)
    designs: int = 0
    found: list[Cure] = field(default_factory=list)
    near: list[Near] = field(default_factory=list)
    """Of values that do not cure: the nearest with which the check itself would pass."""
    ended: str = ""
    """In the end: "done", "stopped" or "out of time"."""
    _until: float = 0.0

    def begin(self, times: float) -> None:
        """Start the clock; times: how many times the limit it may run."""
        self._until = monotonic() + times * self.limit

    @property
    def over(self) -> bool:
        """Say whether it is to end before all is tried."""
        return self.stop.is_set() or monotonic() > self._until


def find_cures(text: str, name: str, key: Key, units: UnitSystem, search: Search) -> None:
    """Look for the single values that cure a check of a project; `search` takes what is found.

    text, name: of the project file; units: in which values are round, and are written.
    Raises ProjectError or DesignError where the project cannot be designed as it stands.
    """
    searched = key.id.startswith(SEARCHED)
    search.begin(SEARCH_TIMES if searched else 1.0)
    project = read_text(text, name)
    slips: SlipSurfaces = "search" if searched else "leave out"
    before = design(project, slip_surfaces=slips)
    check = _check(before, key)
    if check is None or check.verdict is not Verdict.FAIL:
        search.ended = "done"
        return
    trial = _Trial(project, text, name, key, before, slips, units, search)
    path = _part_path(before, key.part)
    part = before.parts[key.part]
    longer = longer_rows(part, path, check, units)
    if len(longer) > 1 or (longer and searched):
        search.trying = "the lengths that the search of surfaces has found"
        together = trial.lengths(longer)
        search.found += [together] if together else []
        search.tried.append(" and ".join(knob.words for knob in longer))
    elif searched:
        search.tried.append("longer anchors, which do not reach the target")
    for knob in knobs_for(part, path, check, units):
        if search.over:
            break
        search.trying = knob.words
        cure = trial.cure(knob)
        if cure is not None:
            search.found.append(cure)
        if not search.over:
            search.tried.append(knob.words)
    search.trying = ""
    search.ended = (
        "stopped" if search.stop.is_set() else "out of time" if search.over else "done"
    )  # fmt: skip


def _part_path(design: Design, part: int) -> Path:
    walls = len(design.sections)
    return ("sections", part) if part < walls else ("slopes", part - walls)


def _check(done: Design, key: Key) -> Check | None:
    return next((row.check for row in rows_of(done) if row.key == key), None)


def _failing(done: Design) -> list[Row]:
    return [row for row in rows_of(done) if row.check.verdict is Verdict.FAIL]


def cured(before: Design, after: Design, key: Key) -> bool:
    """Say whether a check passes that failed, and nothing fails that did not."""
    return passes(after, key) and not newly_failing(before, after, key)


def passes(done: Design, key: Key) -> bool:
    """Say whether a check passes.

    One that has gone, or that is left to the contractor, does not. Where its place follows from the
    analysis, and it is elsewhere now, none of its kind may fail.
    """
    its = [row for row in rows_of(done) if (row.key.part, row.key.id) == (key.part, key.id)]
    here = [row for row in its if row.key == key] or its
    return bool(here) and all(row.check.verdict is Verdict.PASS for row in here)


def newly_failing(before: Design, after: Design, key: Key) -> list[Row]:
    """Return the checks that fail after and did not before, but for the one of the key."""
    known = {row.key for row in _failing(before)} | {key}
    return [row for row in _failing(after) if row.key not in known]


_NONE: tuple[int, Near | None] = (1_000_000, None)


@dataclass(slots=True)
class _Trial:
    """Tries values of one project; only the part that a value is of is designed, until one is found."""

    project: Project
    text: str
    name: str
    key: Key
    before: Design
    slips: SlipSurfaces
    units: UnitSystem
    search: Search
    nearest: tuple[int, Near | None] = _NONE

    def cure(self, knob: Knob) -> Cure | None:
        """Return the nearest value of a knob that cures, or None."""
        self.nearest = _NONE
        at = _nearest(len(knob.options), lambda i: self._judge(knob, knob.options[i]))
        if at is None:
            if self.nearest[1] is not None:
                self.search.near.append(self.nearest[1])
            return None
        value = knob.options[at]
        own = self.project.units
        written = (
            value
            if isinstance(value, str)
            else written_value(value, knob.quantity, self.units, own)
        )
        change = set_at(self.text, knob.path, written)
        return self._confirmed(knob, value, (change,))

    def _confirmed(self, knob: Knob, value: Option, changes: tuple[Change, ...]) -> Cure | None:
        """Return changes as a cure if the project that they would write is cured by them."""
        self.search.designs += 1
        try:
            project = read_text(changed(self.text, changes), self.name)
            after = design(project, slip_surfaces=self.slips)
        except (ProjectError, DesignError):
            return None
        good = cured(self.before, after, self.key)
        return Cure(knob, value, changes, self.before, after) if good else None

    def lengths(self, knobs: Sequence[Knob]) -> Cure | None:
        """Return the lengths that a search of surfaces has found, all set together, if they cure."""
        own, changes, text = self.project.units, [], self.text
        for knob in knobs:
            written = written_value(float(knob.options[0]), knob.quantity, self.units, own)
            changes.append(set_at(text, knob.path, written))
            text = changed(text, changes[-1:])
        whole = Knob(
            knobs[0].path,
            " and ".join(knob.words for knob in knobs),
            None,
            " and ".join(knob.text(knob.now, self.units) for knob in knobs),
            (),
        )
        values = " and ".join(knob.text(knob.options[0], self.units) for knob in knobs)
        return self._confirmed(whole, values, tuple(changes))

    def _judge(self, knob: Knob, value: Option) -> Outcome | None:
        """Return what a value does; None where there is no more time to find out."""
        if self.search.over:
            return None
        self.search.designs += 1
        project = replaced(self.project, knob.path, value)
        kind, index = str(knob.path[0]), int(knob.path[1])
        held: dict[str, object] = {"sections": (), "slopes": ()}
        held[kind] = (getattr(project, kind)[index],)
        try:
            after = design(project.model_copy(update=held), slip_surfaces=self.slips)
        except (DesignError, ArithmeticError, ValueError):
            return "fails"  # what is not even checked before it is tried may be beyond any design
        part = Design(self.before.project, self.before.basis, *self._with(after, kind, index))
        if not passes(part, self.key):
            return "fails"
        fails = newly_failing(self.before, part, self.key)
        if fails:
            self._remember(knob, value, fails)
        return "passes" if fails else "cures"

    def _remember(self, knob: Knob, value: Option, fails: Sequence[Row]) -> None:
        """Keep the nearest value of a knob with which the check passes and others fail."""
        at = knob.options.index(value)
        if at < self.nearest[0]:
            named = (f"{row.check.name}, {row.check.where}".rstrip(", ") for row in fails)
            words = f"{knob.words}: {knob.text(value, self.units)}"
            self.nearest = (at, Near(words, tuple(dict.fromkeys(named))))

    def _with(
        self, after: Design, kind: str, index: int
    ) -> tuple[tuple[SectionDesign, ...], tuple[SlopeDesign, ...]]:
        """Return the sections and slopes with one of them designed anew."""
        sections, slopes = list(self.before.sections), list(self.before.slopes)
        if kind == "sections":
            sections[index] = after.sections[0]
        else:
            slopes[index] = after.slopes[0]
        return tuple(sections), tuple(slopes)


def _nearest(count: int, judge: Callable[[int], Outcome | None]) -> int | None:
    """Return the first option that cures, among those tried: outward, then back by halves.

    Where one passes only with others failing, a nearer one may do less harm: the nearest that passes
    is found first. judge: None where there is no more time.
    """
    known: dict[int, Outcome | None] = {}

    def judged(at: int) -> Outcome | None:
        if at not in known:
            known[at] = judge(at)
        return known[at]

    low, found = -1, False
    for high in _outward(count):
        answer = judged(high)
        if answer is None:
            return None
        if answer == "passes" and not found:
            nearest, found = _between(low, high, judged, ("passes", "cures")), True
            if judged(nearest) == "cures":
                return nearest
        if answer == "cures":
            return _between(low, high, judged, ("cures",))
        low = high
    return None


def _between(
    low: int, high: int, judged: Callable[[int], Outcome | None], good: tuple[Outcome, ...]
) -> int:
    """Return by halves the first option after `low` that is good; `high` is."""
    while high - low > 1:
        middle = (low + high) // 2
        answer = judged(middle)
        if answer is None:
            return high  # it is as good, only further away
        low, high = (low, middle) if answer in good else (middle, high)
    return high


def _outward(count: int) -> Iterator[int]:
    """Yield 0, 1, 2, 4, 6, 9, 13 ...: steps that widen by two fifths, and the last."""
    at = 0
    while at < count - 1:
        yield at
        at += max(1, round(0.4 * at))
    if count:
        yield count - 1


def replaced(model: BaseModel, path: Path, value: object) -> Project:
    """Return a project with one value replaced, unchecked: for trials alone."""
    found = _replaced(model, path, value)
    if not isinstance(found, Project):
        raise TypeError("the path does not begin in a project")
    return found


def _replaced(inside: object, path: Path, value: object) -> object:
    if not path:
        return value
    first, rest = path[0], path[1:]
    if isinstance(inside, tuple) and isinstance(first, int):
        return (*inside[:first], _replaced(inside[first], rest, value), *inside[first + 1 :])
    if isinstance(inside, BaseModel) and isinstance(first, str):
        held = getattr(inside, first)
        return inside.model_copy(update={first: _replaced(held, rest, value)})
    raise LookupError(f"there is no {first!r} to replace")
