"""Standing words of every presenter: cautions, limits, disclaimer."""

from __future__ import annotations

_STRESSING = (
    "Stressing: nobody stands behind the jack or in line with the tendon, and the area behind it is closed off, "
    "while a tendon is loaded. A tendon holds enough energy to kill.",
    "No anchor is stressed before its grout has reached the required strength.",
    "Utilities, basements and neighbouring anchors are located and marked before any hole is drilled.",
)
_CUT = (
    "The cut is never taken below the level given for a stage before the anchors of that stage are "
    "tested, accepted and locked off.",
    "Open excavation: edge protection, safe access, and inspection of lagging and face every day and after rain.",
)

_SLOPE = (
    "A slope that moves: nobody works on it or below it while movement quickens. Movement and water are read before, "
    "during and after the work, with limits at which work stops.",
    "Loading the crest, cutting the toe and letting water in (drilling flush, ponds, broken pipes) can set a slide off.",
)


def cautions(*, walls: bool, slopes: bool) -> tuple[str, ...]:
    """Return the cautions that belong to walls, to slopes, or to both."""
    return (*_STRESSING, *(_CUT if walls else ()), *(_SLOPE if slopes else ()))


def stage_cautions(*, digs: bool, stresses: bool) -> tuple[str, ...]:
    """Return the cautions that belong to a stage of the work that digs, stresses a row, or both."""
    return (*(_CUT[:1] if digs else ()), *((_STRESSING[2], _STRESSING[0]) if stresses else ()))


DISCLAIMER = (
    "This calculation is an aid to a licensed engineer. Local codes, the ground met on site and the judgement "
    "of the engineer of record prevail over it. Values marked from memory are to be confirmed against "
    "the document they name before they are relied on."
)

_WALL_LIMITS = (
    "Design envelopes are empirical. They cover the greatest load on a row at any stage in ordinary conditions; they "
    "are not the pressure at any one stage, and they do not cover swelling, frost, or a creeping slope.",
    "Anchors are laid out by a plane failure surface through the bottom of the cut. Slips that pass behind the bond zones are "
    "searched among circles, planes, wedges, blocks along layers and convex polygons; a less safe surface of another form, or "
    "a few per cent below what the search found, cannot be excluded.",
    "Toe resistance of soldier piles rests on an isolated pile; closely spaced piles are limited to the continuous wall.",
    "Water pressures are hydrostatic or from a linear head loss; artesian pressure and layered flow need a flow analysis.",
    "Movement is estimated from published experience with good workmanship; ground lost through lagging or drilling is not in it.",
    "The deflection of the cantilever stage is an estimate from a fixed-base beam, and not a prediction.",
)

_ALL_LIMITS = ("Bond values only size the bond zone; the load test of every anchor proves it.",)
_SLOPE_LIMITS = (
    "A slope is looked at in one section, as if it were long: what the ends of a slide hold is not counted.",
    "The strength along the slip surface is what explains its movement. It is no better known than the surface, the "
    "water and the safety assumed; the table of cases shows by how much.",
    "Strength is taken as one pair of cohesion and friction along the whole surface, and as lasting: softening, creep and "
    "swelling are judged by the engineer.",
    "Pore pressure follows from the water line, a ratio or the grid stated. Drains, rapid drawdown and rain that "
    "soaks in are stated by other water lines, and are not computed.",
    "An earthquake is a steady force; movement in it, and strength lost by shaking, are not computed.",
    "Smaller slips are those in the section. What may come loose between pads, and slides thinner than searched, are for the "
    "facing.",
    "Pads and beams: bearing without embedment, the beam stiff on ground that presses back evenly.",
)


def limits(*, walls: bool, slopes: bool) -> tuple[str, ...]:
    """Return the limits of the methods used."""
    return (*(_WALL_LIMITS if walls else ()), *(_SLOPE_LIMITS if slopes else ()), *_ALL_LIMITS)
