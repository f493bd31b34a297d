"""Slips that the anchored slope may still have: between and above the rows, and around the bonds.

The face is divided at the heads of the rows. In each part the least safe surface that comes out
there is searched, in the ground as described, parted by the known surface with the strength
carried along it, with the anchors it crosses for what they leave. A surface that comes out below
the last row and starts behind the top row goes around all rows; it tells whether the bonds reach
far enough, in the ground as described (the known surface itself is checked by itself).
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from math import inf

import numpy as np

from backstay.checks import Check, safety_check
from backstay.cite import common_practice
from backstay.errors import DesignError
from backstay.model.slope import Slope
from backstay.stability.least_surface import METHOD_NAMES, state_minimum
from backstay.stability.lengthening import Lengthened
from backstay.stability.longer_anchors import Search, Searched, least_added
from backstay.stability.slip.from_slope import slope_model
from backstay.stability.slip.model import Floats, SlipModel
from backstay.stability.slip.options import LEAST_DEPTH, SearchOptions
from backstay.stability.slip.search_result import Minimum, SearchResult
from backstay.stability.slip.terrain import mirrored, terrain
from backstay.stability.slope_anchors import SlopeAnchor, as_forces
from backstay.stability.slope_force import required_force
from backstay.stability.slope_seam import with_seam
from backstay.trace import heading, remark, trace

SMALLER = common_practice("target of smaller slips, as the engineer states it")
AROUND = common_practice("target of slips around the bonds, as the engineer states it")
REACH = 3.0
"""Greatest length added to a row, as a multiple of the height of the slope."""
SPREAD = 5
"""Places over the face of a slip at which what it lacks is put on."""
GENERATIONS, SLICES, DENSITY = 10, 30, 0.5
"""Of the search of a part of the face, which is smaller than the whole slope: a denser one (twice the
density, forty generations, 50 slices) found surfaces less safe by up to 3 % at three times the cost."""


@dataclass(frozen=True, slots=True, eq=False)
class PartOfFace:
    """Slips that come out in one part of the face.

    title: in words; exits, entries: limits (x from, x to, m) of the search; found: the search;
    safety: the least, infinite where nothing slides; lacks: force (kN/m, at the inclination of the
    anchors, spread over the face of the slip) that would bring it to the target.
    """

    title: str
    model: SlipModel
    exits: tuple[float, float]
    entries: tuple[float, float] | None
    found: SearchResult
    safety: float
    lacks: float


@dataclass(frozen=True, slots=True, eq=False)
class AroundBonds:
    """Slips around all rows; title: "" or "earthquake"; safety: infinite where nothing slides."""

    title: str
    model: SlipModel
    target: float
    options: SearchOptions
    found: SearchResult
    safety: float


@dataclass(frozen=True, slots=True, eq=False)
class SlopeSlips:
    """What was searched; lengthened: the lengths that do, None where none is needed or none will."""

    parts: tuple[PartOfFace, ...]
    around: tuple[AroundBonds, ...]
    lengthened: Lengthened | None
    checks: tuple[Check, ...]


def search_slips(
    slope: Slope, rows: Sequence[SlopeAnchor], inclination: float, search: Search,
    known: tuple[Floats, float, float],
) -> SlopeSlips:  # fmt: skip
    """Search every part of the face, and around the rows; in an earthquake too where there is one.

    known: the surface (m, 2) with the cohesion (kPa) and friction (rad) carried along it.
    """
    target = slope.slips_target or slope.target
    ground = with_seam(slope_model(slope, water="to design for"), *known)
    ground = replace(ground, anchors=as_forces(slope, rows))
    parts = [
        _part(ground, title, exits, entries, inclination, target, search)
        for title, exits, entries in parts_of_face(ground, rows)
    ]
    cases = [_around(slope, rows, "", target, search)]
    if slope.earthquake is not None:
        cases.append(_around(slope, rows, "earthquake", slope.earthquake.target, search))
    lengthened = None
    if rows and any(found.safety < found.target for found, _ in cases):
        lengthened = least_added(
            [case for _, case in cases], [r.row for r in rows], search, most=REACH * slope.height
        )
    around = tuple(found for found, _ in cases)
    return SlopeSlips(
        tuple(parts), around, lengthened,
        (*(_check_part(p, target) for p in parts), *(_check_around(a, lengthened, bool(rows)) for a in around)),
    )  # fmt: skip


Limits = tuple[float, float]


def parts_of_face(
    model: SlipModel, rows: Sequence[SlopeAnchor]
) -> list[tuple[str, Limits, Limits | None]]:
    """Return title, exits and entries (x from, x to) of each part of the face, from the top."""
    if not rows:
        return []
    left, right = float(model.surface[0, 0]), float(model.surface[-1, 0])
    toe, crest = (left, right) if model.to_left else (right, left)
    rising = terrain(model.surface if model.to_left else mirrored(model.surface))
    if rising is not None:  # beyond, the ground is level: nothing comes out there
        crest = float(rising.at(np.array([rising.high]))[0, 0]) * (1.0 if model.to_left else -1.0)
    heads = [r.x for r in rows]

    def between(a: float, b: float) -> Limits:
        return (min(a, b), max(a, b))

    found: list[tuple[str, Limits, Limits | None]] = [
        ("above row 1", between(heads[0], crest), None)
    ]
    for i in range(1, len(heads)):
        title = f"between row {i} and row {i + 1}"
        found.append((title, between(heads[i], heads[i - 1]), None))
    found.append((f"below row {len(heads)}", between(toe, heads[-1]), between(toe, heads[0])))
    return [part for part in found if part[1][1] - part[1][0] > 1e-6]


def _part(
    ground: SlipModel, title: str, exits: Limits, entries: Limits | None, inclination: float,
    target: float, search: Search,
) -> PartOfFace:  # fmt: skip
    options = SearchOptions(
        exits=exits,
        entries=entries,
        density=DENSITY,
        minima=3,
        generations=GENERATIONS,
        slices=SLICES,
    )
    found = search(ground, options)
    least = found.critical
    safety = inf if least is None else least.F
    lacks = 0.0
    if least is not None and target > safety:
        lacks = _lacking(ground, least, inclination, target)
    return PartOfFace(title, ground, exits, entries, found, safety, lacks)


def _lacking(model: SlipModel, least: Minimum, inclination: float, target: float) -> float:
    """Return the force (kN/m), spread over the face of a slip, that brings it to the target."""
    surface = least.points if least.circle is None else least.circle
    methods = dict.fromkeys((least.result.method, *(("bishop",) if least.circle else ())))
    for method in methods:
        with suppress(DesignError):
            return required_force(
                model, surface, spread(model, least), inclination, target, method=method
            ).force
    return inf


def spread(model: SlipModel, least: Minimum) -> list[tuple[float, float]]:
    """Return places (x, y) over the face of a slip at which a facing would hold it."""
    shares = (np.arange(SPREAD) + 0.5) / SPREAD
    x = least.out[0] + (least.start[0] - least.out[0]) * shares
    y = np.interp(x, model.surface[:, 0], model.surface[:, 1])
    return [(float(a), float(b)) for a, b in zip(x, y, strict=True)]


def _around(
    slope: Slope, rows: Sequence[SlopeAnchor], title: str, target: float, search: Search
) -> tuple[AroundBonds, Searched]:
    bare = slope_model(slope, shaken=title == "earthquake", water="to design for")
    left, right = float(bare.surface[0, 0]), float(bare.surface[-1, 0])
    options = SearchOptions()
    if rows:
        low, top = rows[-1].x, rows[0].x
        exits = (left, low) if bare.to_left else (low, right)
        entries = (top, right) if bare.to_left else (left, top)
        options = SearchOptions(exits=exits, entries=entries)

    def model(added: dict[int, float]) -> SlipModel:
        return replace(bare, anchors=as_forces(slope, rows, added))

    tied = model({})
    found = search(tied, options)
    safety = inf if found.critical is None else found.critical.F
    return AroundBonds(title, tied, target, options, found, safety), Searched(
        model, target, options, found
    )


def _check_part(part: PartOfFace, target: float) -> Check:
    found, least = part.found, part.found.critical
    with trace() as t:
        heading(f"Smaller slips {part.title}")
        if least is None:
            remark("No slip surface that counts comes out here.")
        else:
            state_minimum(least, found)
    remedy = ""
    if target > part.safety:
        force = (
            f"{{force per length:{part.lacks:.4g}}} more at the inclination of the anchors"
            if part.lacks < inf
            else "more than any force at the inclination of the anchors gives"
        )
        remedy = f"this ground lacks {force}: a facing or mesh that gives it, or a row there"
    return safety_check(
        "slope.smaller-slips", "smaller slips between and above the rows", part.safety, target,
        SMALLER, where=part.title, steps=t.steps, remedy=remedy, note=f"{_searched_words(found)}; the known surface as a weak seam",
    )  # fmt: skip


def _check_around(around: AroundBonds, longer: Lengthened | None, anchored: bool) -> Check:
    found, least = around.found, around.found.critical
    name = "slips around the bonds of all rows" if anchored else "slips of the whole slope"
    with trace() as t:
        heading(f"{name[:1].upper()}{name[1:]}" + (f", {around.title}" if around.title else ""))
        if least is None:
            remark("No slip surface that counts goes around the rows.")
        else:
            state_minimum(least, found)
    remedy = ""
    if around.target > around.safety:
        remedy = (
            "longer anchors do not reach the target: more force, or more rows"
            if anchored
            else "drainage, a flatter face, or anchors for this surface: state it as the known one"
        )
        if longer is not None:
            parts = ", ".join(
                f"row {row} by {{length:{length:.6g}}}" for row, length in longer.added.items()
            )
            remedy = f"lengthen the unbonded part of {parts}"
    return safety_check(
        "slope.around-bonds", name, around.safety, around.target, AROUND, where=around.title,
        steps=t.steps, remedy=remedy, note=_searched_words(found),
    )  # fmt: skip


def _searched_words(found: SearchResult) -> str:
    return (
        f"ground as described, {found.analysed} surfaces, {METHOD_NAMES[found.method]}; slides thinner than "
        f"{{length:{found.least_depth:.3g}}} are left to the facing"
    )


__all__ = [
    "LEAST_DEPTH",
    "AroundBonds",
    "PartOfFace",
    "SlopeSlips",
    "parts_of_face",
    "search_slips",
]
