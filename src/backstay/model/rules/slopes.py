"""Rules of slopes, and that a project describes something at all."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise
from math import radians

from backstay.model.ground import UndrainedStrength
from backstay.model.rules.names import unknown_name
from backstay.model.rules.rows import row_sizes, row_tendon
from backstay.model.rules.rule import Breach, Say, twice
from backstay.model.rules.strata import friction_in_range, unit_weights
from backstay.model.slope import Slope, SlopePoint, SlopeStratum
from backstay.model.slope_face import ConcreteWaler, SteelWaler
from backstay.model.slope_loads import SlopeLine, SlopeStrip
from backstay.quantity import UnitSystem

NOTHING = Breach(
    ("sections",), "nothing is described to be designed",
    "at least one entry of sections (walls), or of slopes",
)  # fmt: skip
OFF_THE_FACE = 0.5
"""Distance (m) of a head from the surveyed ground up to which it counts as on it."""
STEEPEST = radians(60)


def slope_rules(slopes: Sequence[Slope], units: UnitSystem) -> list[Breach]:
    """Return every breach of a rule in the slopes of a project."""
    found = [
        Breach(("slopes", i, "name"), f"another slope is called {name} already")
        for i, name in twice([slope.name for slope in slopes])
    ]
    for i, slope in enumerate(slopes):
        found += rules_of_slope(slope, i, units)
    return found


def rules_of_slope(slope: Slope, index: int, units: UnitSystem) -> list[Breach]:
    """Return every breach of a rule in one slope of the list."""
    say = Say(units)
    rules: tuple[Callable[[Slope, Say], Iterator[Breach]], ...] = (
        _ground, _water, _strata, _weights(units), _surface, _loads, _piles, _heads, _anchors, _face,
    )  # fmt: skip
    return [b.under(("slopes", index)) for rule in rules for b in rule(slope, say)]


def _rightward(points: Sequence[SlopePoint], name: str, *, faces: bool) -> Iterator[Breach]:
    for k in range(1, len(points)):
        back = points[k].x - points[k - 1].x
        if back < 0.0 or (back == 0.0 and not faces):
            yield Breach(
                (name, k, "x"), "points run from left to right, each farther than the one before"
            )


def _ground(slope: Slope, say: Say) -> Iterator[Breach]:
    yield from _rightward(slope.profile, "profile", faces=True)
    if slope.height < 0.1:
        yield Breach(("profile",), "this ground is level: there is no slope to tie back")
    crack = slope.tension_crack
    if crack is not None and crack.depth >= slope.height:
        yield Breach(
            ("tension_crack", "depth"), "a crack is not deeper than the slope is high",
            f"less than {say.length(slope.height)}",
        )  # fmt: skip


def _water(slope: Slope, say: Say) -> Iterator[Breach]:  # noqa: ARG001 - the common face of rules
    for name in ("water", "design_water"):
        line = getattr(slope, name)
        yield from _rightward(line, name, faces=False)
        if len(line) == 1:
            yield Breach((name,), "one point makes no line", "two points or more")
    grid = slope.pore_pressures
    if grid is None:
        return
    for name in ("x", "elevations"):
        values = getattr(grid, name)
        for k in range(1, len(values)):
            if values[k] <= values[k - 1]:
                yield Breach(("pore_pressures", name, k), "each is greater than the one before it")
    if len(grid.pressure) != len(grid.elevations):
        yield Breach(
            ("pore_pressures", "pressure"), f"{len(grid.pressure)} rows for {len(grid.elevations)} elevations",
            "one row for each elevation",
        )  # fmt: skip
    for k, row in enumerate(grid.pressure):
        if len(row) != len(grid.x):
            yield Breach(
                ("pore_pressures", "pressure", k), f"{len(row)} values for {len(grid.x)} places",
                "one value for each x",
            )  # fmt: skip


def _strata(slope: Slope, say: Say) -> Iterator[Breach]:  # noqa: ARG001
    for i, name in twice([s.name for s in slope.strata]):
        yield Breach(("strata", i, "name"), f"another stratum is called {name} already")
    for k, s in enumerate(slope.strata):
        given = (s.top is not None) + bool(s.top_line)
        if k and given != 1:
            yield Breach(
                ("strata", k, "top"), "a stratum below the first needs its top, given once",
                "top where it is level, else top_line with two points or more",
            )  # fmt: skip
        if not k and given:
            yield Breach(
                ("strata", 0, "top"), "the first stratum begins at the ground's surface",
                hint="leave its top out",
            )  # fmt: skip
        if len(s.top_line) == 1:
            yield Breach(("strata", k, "top_line"), "one point makes no line", "two points or more")
        yield from (b.under(("strata", k)) for b in _rightward(s.top_line, "top_line", faces=False))
        if s.slides == "yes" and not (s.friction_angle or s.cohesion or _undrained(s)):
            yield Breach(
                ("strata", k, "friction_angle"), "ground that may slide needs a strength",
                "friction_angle, cohesion or undrained_strength; or slides: no for sound rock",
            )  # fmt: skip
        if s.anisotropy is not None and s.undrained_strength is None:
            yield Breach(
                ("strata", k, "anisotropy"), "these are factors on an undrained strength, which is missing"
            )  # fmt: skip
    if all(s.slides == "no" for s in slope.strata):
        yield Breach(("strata",), "nothing of this ground slides", "slides: yes for some stratum")


def _undrained(stratum: SlopeStratum) -> bool:
    """Say whether a stratum has an undrained strength anywhere."""
    su = stratum.undrained_strength
    if isinstance(su, UndrainedStrength):
        return su.at_top > 0.0 or su.gradient > 0.0
    return bool(su)


def _weights(units: UnitSystem) -> Callable[[Slope, Say], Iterator[Breach]]:
    def rule(slope: Slope, say: Say) -> Iterator[Breach]:
        for k, s in enumerate(slope.strata):
            for found in (unit_weights(s, units, say), friction_in_range(s)):
                yield from (b.under(("strata", k)) for b in found)

    return rule


def _surface(slope: Slope, say: Say) -> Iterator[Breach]:  # noqa: ARG001
    known = slope.slip_surface
    circle = known.centre is not None and known.radius is not None
    half = (known.centre is None) != (known.radius is None)
    if half or circle == bool(known.points) or len(known.points) == 1:
        yield Breach(
            ("slip_surface",), "the slip surface is not given in one way",
            "centre and radius of a circle, or two points or more",
        )  # fmt: skip
    yield from (b.under(("slip_surface",)) for b in _rightward(known.points, "points", faces=False))


def _loads(slope: Slope, say: Say) -> Iterator[Breach]:
    left, right = slope.profile[0].x, slope.profile[-1].x
    reach = f"{say.length(left)} to {say.length(right)}"
    for i, name in twice([load.name for load in slope.surcharges]):
        yield Breach(("surcharges", i, "name"), f"another surcharge is called {name} already")
    for k, load in enumerate(slope.surcharges):
        if isinstance(load, SlopeStrip):
            if load.to_x <= load.from_x:
                yield Breach(
                    ("surcharges", k, "to_x"), "a strip ends to the right of where it begins"
                )
            elif load.to_x <= left or load.from_x >= right:
                yield Breach(
                    ("surcharges", k, "from_x"),
                    "this load stands beyond the surveyed ground",
                    reach,
                )
        elif isinstance(load, SlopeLine) and not left <= load.x <= right:
            yield Breach(
                ("surcharges", k, "x"), "this load stands beyond the surveyed ground", reach
            )


def _piles(slope: Slope, say: Say) -> Iterator[Breach]:
    left, right = slope.profile[0].x, slope.profile[-1].x
    for k, pile in enumerate(slope.piles):
        if pile.bottom >= pile.top:
            yield Breach(("piles", k, "bottom"), "the bottom of a pile must be below its top")
        if not left <= pile.x <= right:
            yield Breach(
                ("piles", k, "x"), "this row of piles stands beyond the surveyed ground",
                f"{say.length(left)} to {say.length(right)}",
            )  # fmt: skip


def levels_at(points: Sequence[SlopePoint], x: float) -> tuple[float, float]:
    """Return the lowest and the highest level of a line at x: they differ at a vertical face."""
    found: list[float] = []
    for a, b in pairwise(points):
        if a.x <= x <= b.x:
            if b.x == a.x:
                found += [a.elevation, b.elevation]
            else:
                found.append(a.elevation + (b.elevation - a.elevation) * (x - a.x) / (b.x - a.x))
    return (min(found), max(found)) if found else (points[-1].elevation,) * 2


def _heads(slope: Slope, say: Say) -> Iterator[Breach]:
    heads = slope.anchors.heads
    left, right = slope.profile[0].x, slope.profile[-1].x
    for k, head in enumerate(heads):
        where = ("anchors", "heads", k)
        if not left <= head.x <= right:
            yield Breach((*where, "x"), "this head lies beyond the surveyed ground")
            continue
        low, high = levels_at(slope.profile, head.x)
        off = max(low - head.elevation, head.elevation - high)
        if off > OFF_THE_FACE:
            side = "below" if head.elevation < low else "above"
            yield Breach(
                (*where, "elevation"), f"this head lies {say.length(off)} {side} the surveyed ground",
                f"{say.length(low)}" if low == high else f"{say.length(low)} to {say.length(high)}",
            )  # fmt: skip
        if k and head.elevation >= heads[k - 1].elevation - 0.005:
            yield Breach(
                (*where, "elevation"), f"heads are listed from the top down, and row {k + 1} is not below row {k}",
                f"less than {say.length(heads[k - 1].elevation)}",
            )  # fmt: skip


def _anchors(slope: Slope, say: Say) -> Iterator[Breach]:
    given = slope.anchors
    if given.spacing_greatest < given.spacing_least:
        yield Breach(("anchors", "spacing_greatest"), "this is less than spacing_least")
    if not 10.0 <= given.greatest_load <= 10_000.0:
        yield Breach(
            ("anchors", "greatest_load"), "this size does not occur",
            f"{say('force', 10.0)} to {say('force', 10_000.0)}", "check the unit",
        )  # fmt: skip
    if isinstance(given.inclination, float) and given.inclination > STEEPEST:
        yield Breach(
            ("anchors", "inclination"), "this is too steep for an anchor", "0 to 60 deg, or best",
            "it is measured from the horizontal, downward",
        )  # fmt: skip
    for found in (row_sizes(given, say), row_tendon(given)):
        yield from (b.under(("anchors",)) for b in found)
    for k, s in enumerate(slope.strata):
        if s.bond is not None and (s.bond.stress is None) == (s.bond.transfer is None):
            yield Breach(
                ("strata", k, "bond"), "give one of stress and transfer",
                "stress (bond stress) or transfer (load per length)",
            )  # fmt: skip


def _face(slope: Slope, say: Say) -> Iterator[Breach]:  # noqa: ARG001
    pad, waler = slope.pad, slope.waler
    if pad is not None and waler is not None:
        yield Breach(("waler",), "the anchors bear on pads or on a beam, not on both",
                     hint="leave one of pad and waler out")  # fmt: skip
    if pad is not None and pad.effective_depth >= pad.thickness:
        yield Breach(("pad", "effective_depth"), "the reinforcement would lie outside the pad")
    if pad is not None and pad.plate >= pad.side:
        yield Breach(("pad", "plate"), "the plate is not smaller than the pad")
    if isinstance(waler, ConcreteWaler) and waler.effective_depth >= waler.thickness:
        yield Breach(("waler", "effective_depth"), "the reinforcement would lie outside the beam")
    if isinstance(waler, SteelWaler):
        yield from unknown_name(("waler", "section"), waler.section, "steel_shape")
        yield from unknown_name(("waler", "steel"), waler.steel, "steel_grade")
        yield from _single_channel(waler)


def _single_channel(waler: SteelWaler) -> Iterator[Breach]:
    from backstay.data import steel_shape  # loaded where a beam of steel is named

    try:
        channel = steel_shape(waler.section).channel
    except LookupError:
        return
    if channel and waler.arrangement == "single":
        yield Breach(
            ("waler", "arrangement"),
            "a single channel twists under the anchors",
            "double, or another section",
        )
