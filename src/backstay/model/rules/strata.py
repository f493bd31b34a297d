"""Rules of the strata: how they meet, and the numbers each of them needs."""

from __future__ import annotations

from collections.abc import Iterator
from math import degrees, radians

from backstay.model.ground import Stratum, UndrainedStrength
from backstay.model.project import Service
from backstay.model.rules.names import unknown_name
from backstay.model.rules.rule import Breach, Say, rule, twice
from backstay.model.slope import SlopeStratum
from backstay.model.wall import ContinuousWall, SoldierPiles
from backstay.quantity import QUANTITIES, UnitSystem

TOLERANCE = 0.005
"""Elevations closer than this (m) are the same."""
UNIT_WEIGHTS = (10.0, 30.0)
GREATEST_CLAY_STRENGTH = 1000.0
"""kPa; stronger is rock, or a mistaken unit."""


@rule
def strata_meet(top: float, strata: tuple[Stratum, ...], say: Say) -> Iterator[Breach]:
    """Require that the first stratum reaches the ground's surface, and each begins where the last one ends."""
    if strata[0].top < top - TOLERANCE:
        yield Breach(
            ("ground", "strata", 0, "top"),
            f"the first stratum begins below the top of the ground, so that "
            f"{say.length(top - strata[0].top)} of ground is not described",
            f"{say.length(top)}, the top of the ground",
        )
    for i in range(1, len(strata)):
        above, below = strata[i - 1], strata[i]
        where = ("ground", "strata", i, "top")
        if below.top >= above.top - TOLERANCE:
            yield Breach(
                where,
                f"strata are listed from the top down, and this top is not below the top of "
                f"{above.name}, {say.length(above.top)}",
            )
        elif above.bottom is not None and below.top > above.bottom + TOLERANCE:
            yield Breach(
                where, f"this overlaps {above.name}, which reaches down to {say.length(above.bottom)}",
                f"{say.length(above.bottom)}, or no bottom for {above.name}",
            )  # fmt: skip
        elif above.bottom is not None and below.top < above.bottom - TOLERANCE:
            yield Breach(
                where, f"this leaves a gap below {above.name}, which ends at {say.length(above.bottom)}",
                f"{say.length(above.bottom)}, or no bottom for {above.name}",
            )  # fmt: skip
    for i, stratum in enumerate(strata):
        if stratum.bottom is not None and stratum.bottom >= stratum.top - TOLERANCE:
            yield Breach(
                ("ground", "strata", i, "bottom"), "the bottom of a stratum must be below its top"
            )


@rule
def strata_have_names(strata: tuple[Stratum, ...]) -> Iterator[Breach]:
    """Require that names tell strata apart."""
    for i, name in twice([s.name for s in strata]):
        yield Breach(("ground", "strata", i, "name"), f"another stratum is called {name} already")


@rule
def ground_reaches_the_toe(
    strata: tuple[Stratum, ...], subgrade: float, wall: SoldierPiles | ContinuousWall, say: Say
) -> Iterator[Breach]:
    """Require that the ground is described below the cut, and to the toe of the wall if that is given."""
    bottom = strata[-1].bottom
    if bottom is None:
        return
    needed = subgrade if wall.toe == "auto" else min(subgrade, wall.toe)
    if bottom > needed - TOLERANCE:
        what = "the cut" if wall.toe == "auto" else "the toe of the wall"
        yield Breach(
            ("ground", "strata", len(strata) - 1, "bottom"),
            f"the ground must be described below {what}, {say.length(needed)}",
            hint="leave the bottom of the last stratum out if it goes on",
        )


@rule
def unit_weights(stratum: Stratum | SlopeStratum, units: UnitSystem, say: Say) -> Iterator[Breach]:
    """Require that unit weights are those of ground, and ground is not lighter when saturated."""
    low, high = UNIT_WEIGHTS
    sound = True
    for key in ("moist_unit_weight", "saturated_unit_weight"):
        value = getattr(stratum, key)
        if not low <= value <= high:
            sound = False
            yield Breach(
                (key,), "no ground weighs this",
                f"{say('unit weight', low)} to {say('unit weight', high)}",
                _other_unit(value, units),
            )  # fmt: skip
    if sound and stratum.saturated_unit_weight < stratum.moist_unit_weight:
        yield Breach(
            ("saturated_unit_weight",), "saturated ground is not lighter than moist ground",
            f"at least the moist unit weight, {say('unit weight', stratum.moist_unit_weight)}",
        )  # fmt: skip


def _other_unit(value: float, units: UnitSystem) -> str:
    """Say so if the number would be a unit weight in the other system."""
    quantity = QUANTITIES["unit weight"]
    other = UnitSystem.SI if units is UnitSystem.US else UnitSystem.US
    number = quantity.shown(value, units)
    if UNIT_WEIGHTS[0] <= quantity.internal(number, other) <= UNIT_WEIGHTS[1]:
        label = quantity.unit(other).label.replace("³", "3")
        return f"if {number:g} is meant in {label}, write {number:g} {label}"
    return ""


@rule
def friction_in_range(stratum: Stratum | SlopeStratum) -> Iterator[Breach]:
    """Require that angles of friction are those of ground."""
    phi = stratum.friction_angle
    if phi is None:
        return
    greatest = 65.0 if stratum.kind == "rock" else 50.0
    if phi > radians(greatest):
        yield Breach(
            ("friction_angle",), f"no {_said(stratum)} has such an angle of friction",
            f"at most {greatest:g} deg",
        )  # fmt: skip
    elif stratum.kind == "granular" and phi < radians(15):
        hint = "write degrees, not radians" if 0 < degrees(phi) < 1.0 else ""
        yield Breach(
            ("friction_angle",), "granular ground has a greater angle of friction", "15 to 50 deg",
            hint,
        )  # fmt: skip


def _said(stratum: Stratum | SlopeStratum) -> str:
    return "granular ground" if stratum.kind == "granular" else stratum.kind


@rule
def drained_strength(stratum: Stratum, service: Service) -> Iterator[Breach]:
    """Require that granular ground and rock need a drained strength; so does clay behind a permanent wall."""
    if stratum.friction_angle is not None:
        return
    if stratum.kind in ("granular", "rock"):
        yield Breach(
            ("friction_angle",), f"{_said(stratum)} needs its angle of friction: its strength is drained",
            "an angle in degrees",
        )  # fmt: skip
    elif service.life == "permanent":
        yield Breach(
            ("friction_angle",),
            "behind a permanent wall clay drains in time, so that its drained strength is needed as well",
            "an angle in degrees (and cohesion, if it can be relied on)",
        )


@rule
def undrained_strength(stratum: Stratum, say: Say) -> Iterator[Breach]:
    """Require that clay needs an undrained strength; granular ground and rock have none."""
    su = stratum.undrained_strength
    where = ("undrained_strength",)
    if stratum.kind in ("granular", "rock"):
        if su is not None:
            yield Breach(
                where, f"{_said(stratum)} has no undrained strength",
                hint="give friction_angle and cohesion, or another kind of ground",
            )  # fmt: skip
        return
    if su is None:
        yield Breach(
            where, f"{stratum.kind} needs its undrained strength",
            "a stress, or at_top and gradient where it changes with depth",
        )  # fmt: skip
        return
    at_top = su.at_top if isinstance(su, UndrainedStrength) else su
    gradient = su.gradient if isinstance(su, UndrainedStrength) else 0.0
    if at_top <= 0.0 and gradient <= 0.0:
        yield Breach(where, "clay without strength cannot be designed for", "a stress above 0")
    if at_top > GREATEST_CLAY_STRENGTH:
        yield Breach(
            where, "no clay is this strong", f"at most {say('stress', GREATEST_CLAY_STRENGTH)}",
            'check the unit; if it is rock, its kind is "rock"',
        )  # fmt: skip


@rule
def strength_stays_positive(strata: tuple[Stratum, ...], say: Say) -> Iterator[Breach]:
    """Require that an undrained strength that falls with depth does not fall below zero in its stratum."""
    for i, stratum in enumerate(strata):
        su = stratum.undrained_strength
        if not isinstance(su, UndrainedStrength) or su.gradient >= 0.0:
            continue
        where = ("ground", "strata", i, "undrained_strength", "gradient")
        bottom = strata[i + 1].top if i + 1 < len(strata) else stratum.bottom
        if bottom is None:
            yield Breach(
                where, "strength that falls with depth needs a stratum with a bottom",
                hint="give the bottom of this stratum, or the stratum below",
            )  # fmt: skip
        elif su.at_top + su.gradient * (stratum.top - bottom) <= 0.0:
            depth = su.at_top / -su.gradient
            yield Breach(where, f"the strength would be used up {say.length(depth)} below its top")


@rule
def bond_is_one_number(stratum: Stratum) -> Iterator[Breach]:
    """Require that a known bond is given as a stress or as a load per length."""
    bond = stratum.bond
    if bond is not None and (bond.stress is None) == (bond.transfer is None):
        yield Breach(
            ("bond",),
            "give one of stress and transfer",
            "stress (bond stress) or transfer (load per length)",
        )


@rule
def bond_class_is_known(stratum: Stratum) -> Iterator[Breach]:
    """Require that the bond class is a row of one of the presumptive tables."""
    if stratum.bond_class is not None:
        yield from unknown_name(
            ("bond_class",), stratum.bond_class, "bond_stress_of", "bond_transfer_of"
        )
