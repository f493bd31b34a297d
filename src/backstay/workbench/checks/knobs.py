"""Single values of a project that may cure a failing check, each with what it could be instead.

Which value bears on which check is common practice; whether it cures is found by designing again
(`cures`). Values move away from what they are now in steps that a drawing would state.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from math import ceil, floor, radians

from backstay.anchors import AnchorDesign
from backstay.checks import Check
from backstay.data.sections import steel_shape, steel_shapes
from backstay.design import Part, SectionDesign
from backstay.model.document import Path
from backstay.model.wall import SoldierPiles
from backstay.quantity import QUANTITIES, Quantity, UnitSystem
from backstay.stability.slope_design import SlopeDesign
from backstay.workbench.checks.bearing import BEARING

STEPS: dict[str, tuple[float, float]] = {
    "length": (0.1, 0.5), "small length": (10.0, 0.5), "angle": (1.0, 1.0), "force": (5.0, 1.0),
    "share of the design load": (0.05, 0.05),
}  # fmt: skip
"""Steps of what is tried, in the shown unit: SI, US."""
LONGER, DEEPER = 25.0, 12.0
"""Greatest lengths (m) by which anchors are made longer, and walls deeper."""
STEEPEST = radians(45.0)
LEAST_SPACING = 1.0
_WAYS = {"up": 1, "down": -1}

Option = float | int | str


@dataclass(frozen=True, slots=True)
class Knob:
    """A value and what it could be instead, the nearest first; numbers in internal units.

    words: what it is called; now: what it is, None where the project leaves it open.
    """

    path: Path
    words: str
    quantity: Quantity | None
    now: Option | None
    options: tuple[Option, ...]

    def text(self, value: Option | None, units: UnitSystem) -> str:
        """Return a value of it in words."""
        if value is None:
            return "not given"
        if self.quantity is None or isinstance(value, str):
            return str(value)
        number, unit = self.quantity.number(value, units), self.quantity.unit(units).label
        round_ = number.rstrip("0").rstrip(".") if "." in number else number
        return f"{round_}{unit}" if unit in ("°", "%", "") else f"{round_} {unit}"


def knobs_for(part: Part, path: Path, check: Check, units: UnitSystem) -> Iterator[Knob]:
    """Yield the values that bear on a check, the likeliest first.

    path: of the part in the project file; units: in which steps are round.
    """
    names = next((found for start, found in BEARING if check.id.startswith(start)), ())
    maker = _Maker(part, path, units, _rows(check.where))
    for name in names:
        kind, _, way = name.partition(" ")
        made = _BOTH_WAYS[kind](maker, _WAYS[way]) if way else _ONE_WAY[kind](maker)
        yield from (knob for knob in made if knob.options)


def longer_rows(part: Part, path: Path, check: Check, units: UnitSystem) -> tuple[Knob, ...]:
    """Return the unbonded lengths that reach ground that stays, where the analysis found them.

    One option each, rounded up: they do together what the check asks.
    """
    found = None
    if isinstance(part, SectionDesign) and check.id.startswith("stability.deep-sliding"):
        found = part.deep_sliding.lengthened
    elif isinstance(part, SectionDesign) and check.id.startswith("stability.overall"):
        found = part.overall.lengthened if part.overall else None
    elif isinstance(part, SlopeDesign) and check.id.startswith("slope.") and part.slips:
        found = part.slips.lengthened
    maker, knobs = _Maker(part, path, units, None), []
    for a, place, row in maker.anchors:
        more = found.added.get(a.row, 0.0) if found else 0.0
        if more > 0.0:
            now = a.unbonded_length
            options = maker.stepped("length", now + more - 1e-6, now + more + 1.0)[:1]
            words = f"unbonded length of {row}"
            knobs.append(
                Knob((*place, "unbonded_length"), words, QUANTITIES["length"], now, options)
            )
    return tuple(knobs)


def _rows(where: str) -> list[int] | None:
    """Return the rows of anchors that a place names, None where it names none."""
    named = re.match(r"rows? (\d+(?:(?:, | and )\d+)*)", where)
    return [int(n) for n in re.findall(r"\d+", named[1])] if named else None


@dataclass(frozen=True, slots=True)
class _Maker:
    """Makes knobs of one part. rows: those that a check is of, None for all."""

    part: Part
    path: Path
    units: UnitSystem
    rows: list[int] | None

    @property
    def anchors(self) -> list[tuple[AnchorDesign, Path, str]]:
        """Return the anchors concerned: each with the place of its values, and what they are called."""
        if isinstance(self.part, SlopeDesign):
            return [(r.anchor, (*self.path, "anchors"), "all rows") for r in self.part.rows[:1]]
        return [
            (a, (*self.path, "anchors", a.row - 1), f"row {a.row}")
            for a in self.part.anchors
            if self.rows is None or a.row in self.rows
        ]

    def stepped(self, name: str, now: float, to: float) -> tuple[float, ...]:
        """Return rounded values from beyond `now` to `to` (internal units)."""
        quantity = QUANTITIES[name]
        step = STEPS[name][0 if self.units is UnitSystem.SI else 1]
        first, last = (quantity.shown(v, self.units) / step for v in (now, to))
        if last > first:
            counts = range(floor(first + 1e-6) + 1, floor(last + 1e-6) + 1)
        else:
            counts = range(ceil(first - 1e-6) - 1, ceil(last - 1e-6) - 1, -1)
        return tuple(quantity.internal(n * step, self.units) for n in counts)

    def knob(self, path: Path, words: str, name: str, now: float, to: float) -> Knob:
        """Return the knob of a number."""
        return Knob(path, words, QUANTITIES[name], now, self.stepped(name, now, to))


def _unbonded(m: _Maker, way: int) -> Iterator[Knob]:
    for a, path, row in m.anchors:
        now = a.unbonded_length
        to = now + LONGER if way > 0 else a.unbonded_least
        yield m.knob((*path, "unbonded_length"), f"unbonded length of {row}", "length", now, to)


def _bond(m: _Maker, way: int) -> Iterator[Knob]:
    for a, path, row in m.anchors:
        to = a.bond_length + LONGER if way > 0 else 0.5 * a.bond_length
        words = f"bond length of {row}"
        yield m.knob((*path, "bond", "length"), words, "length", a.bond_length, to)


def _inclination(m: _Maker, way: int) -> Iterator[Knob]:
    for a, path, row in m.anchors:
        to = STEEPEST if way > 0 else 0.0
        words = f"inclination of {row}"
        yield m.knob((*path, "inclination"), words, "angle", a.inclination, to)


def _elevation(m: _Maker, way: int) -> Iterator[Knob]:
    if isinstance(m.part, SectionDesign):
        for a, path, row in m.anchors:
            now = m.part.section.elevation(a.z)
            words = f"elevation of {row}"
            yield m.knob((*path, "elevation"), words, "length", now, now + way * 3.0)


def _design_load(m: _Maker, way: int) -> Iterator[Knob]:
    for a, path, row in m.anchors:
        if way < 0 and a.design_load <= a.required_load:
            continue
        to = 2.0 * max(a.design_load, a.required_load) if way > 0 else a.required_load
        words = f"design load of {row}"
        yield m.knob((*path, "design_load"), words, "force", a.design_load, to)


def _lock_off(m: _Maker, way: int) -> Iterator[Knob]:
    for a, path, row in m.anchors:
        now, share = a.lock_off_load / a.design_load, "share of the design load"
        words = f"lock-off of {row}"
        yield m.knob((*path, "lock_off"), words, share, now, 1.0 if way > 0 else 0.5)


def _strands(m: _Maker) -> Iterator[Knob]:
    for a, path, row in m.anchors:
        if a.tendon.kind == "strand":
            now = a.tendon.strands
            words = f"number of strands of {row}"
            more = tuple(range(now + 1, now + 13))
            yield Knob((*path, "tendon", "strands"), words, None, now, more)


def _hole(m: _Maker) -> Iterator[Knob]:
    for a, path, row in m.anchors:
        now = a.hole_diameter
        words = f"drill hole of {row}"
        yield m.knob((*path, "bond", "hole_diameter"), words, "small length", now, now + 0.2)


def _grouting(m: _Maker) -> Iterator[Knob]:
    order = ("gravity", "low pressure", "high pressure", "post-grouted")
    for a, path, row in m.anchors:
        better = order[order.index(a.grouting) + 1 :]
        yield Knob((*path, "bond", "grouting"), f"grouting of {row}", None, a.grouting, better)


def _protection(m: _Maker) -> Iterator[Knob]:
    order = ("none", "class II", "class I")
    for a, path, row in m.anchors:
        better = order[order.index(a.protection) + 1 :]
        yield Knob((*path, "protection"), f"protection of {row}", None, a.protection, better)


def _every(m: _Maker) -> Iterator[Knob]:
    if isinstance(m.part, SectionDesign) and isinstance(m.part.section.wall, SoldierPiles):
        for a, path, row in m.anchors:
            now = m.part.section.anchors[a.row - 1].every
            words = f"anchors of {row} at every how many piles"
            yield Knob((*path, "every"), words, None, now, tuple(range(now - 1, 0, -1)))


def _spacing(m: _Maker) -> Iterator[Knob]:
    if isinstance(m.part, SlopeDesign):
        words, path = "spacing of the anchors", (*m.path, "anchors", "spacing")
        for one in m.part.rows[:1]:
            yield m.knob(path, words, "length", one.anchor.spacing, LEAST_SPACING)
    elif isinstance(m.part.section.wall, SoldierPiles):
        now = m.part.section.wall.spacing
        words = "spacing of the piles"
        yield m.knob((*m.path, "wall", "spacing"), words, "length", now, LEAST_SPACING)
    else:
        for a, path, row in m.anchors:
            words = f"spacing of {row}"
            yield m.knob((*path, "spacing"), words, "length", a.spacing, LEAST_SPACING)


def _toe(m: _Maker) -> Iterator[Knob]:
    if isinstance(m.part, SectionDesign):
        now = m.part.section.elevation(m.part.wall.toe)
        path = (*m.path, "wall", "toe")
        yield m.knob(path, "elevation of the toe", "length", now, now - DEEPER)


def _pile(m: _Maker) -> Iterator[Knob]:
    """Heavier sections of the table, of the kind that stands there, the lightest first."""
    if not isinstance(m.part, SectionDesign) or not isinstance(m.part.section.wall, SoldierPiles):
        return
    now = steel_shape(m.part.wall.section_name)
    alike = (s for s in steel_shapes(now.standard) if s.kind == now.kind and s.mass > now.mass)
    names = tuple(s.name for s in sorted(alike, key=lambda s: s.mass))
    yield Knob((*m.path, "wall", "section"), "section of the piles", None, now.name, names)


def _pile_hole(m: _Maker) -> Iterator[Knob]:
    wall = m.part.section.wall if isinstance(m.part, SectionDesign) else None
    if isinstance(wall, SoldierPiles) and wall.installation == "drilled" and wall.hole_diameter:
        now = wall.hole_diameter
        path = (*m.path, "wall", "hole_diameter")
        yield m.knob(path, "diameter of the pile holes", "length", now, now + 0.9)


def _lagging(m: _Maker) -> Iterator[Knob]:
    lagging = m.part.wall.lagging if isinstance(m.part, SectionDesign) else None
    if lagging is not None and lagging.thickness is not None:
        now, path = lagging.thickness, (*m.path, "wall", "lagging", "thickness")
        yield m.knob(path, "thickness of the lagging", "small length", now, now + 0.25)


def _over_excavation(m: _Maker, way: int) -> Iterator[Knob]:
    if isinstance(m.part, SectionDesign):
        now = m.part.section.cut.over_excavation
        to = now + 2.0 if way > 0 else 0.3
        path = (*m.path, "cut", "over_excavation")
        yield m.knob(path, "depth dug below a row before it is stressed", "length", now, to)


def _cut_length(m: _Maker) -> Iterator[Knob]:
    now = m.part.section.cut.length if isinstance(m.part, SectionDesign) else None
    if now is not None:
        path = (*m.path, "cut", "length")
        yield m.knob(path, "length of cut that is open at a time", "length", now, 3.0)


def _pad(m: _Maker) -> Iterator[Knob]:
    pad = m.part.slope.pad if isinstance(m.part, SlopeDesign) else None
    if pad is not None:
        path = (*m.path, "pad", "side")
        yield m.knob(path, "side of the pads", "length", pad.side, 2.0 * pad.side)


_BOTH_WAYS: dict[str, Callable[[_Maker, int], Iterator[Knob]]] = {
    "unbonded": _unbonded, "bond": _bond, "inclination": _inclination, "elevation": _elevation,
    "load": _design_load, "lock-off": _lock_off, "over-excavation": _over_excavation,
}  # fmt: skip
_ONE_WAY: dict[str, Callable[[_Maker], Iterator[Knob]]] = {
    "strands": _strands, "hole": _hole, "grouting": _grouting, "protection": _protection,
    "every": _every, "spacing": _spacing, "toe": _toe, "pile": _pile, "pile-hole": _pile_hole,
    "lagging": _lagging, "cut-length": _cut_length, "pad": _pad,
}  # fmt: skip
