"""The design of a slope that is tied back: from its known slip surface to anchors and pads.

Strength along the surface is found from its safety as it stands; the anchor force is the one that
brings the weakest strength found to the target, and to that of an earthquake where there is one;
rows of anchors share it, and bear on pads or beams; then smaller slips, and slips around the
bonds, are searched.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf, isfinite

import numpy as np

from backstay.anchors import Schedule, slope_schedule
from backstay.anchors.load_tests import US_COUNTS, TestCounts
from backstay.anchors.quantities import Quantities, anchor_quantities, load_tests
from backstay.anchors.schedule import planned_tests
from backstay.basis import Basis
from backstay.checks import Check, Sense, safety_check
from backstay.cite import common_practice
from backstay.model.project import Service
from backstay.model.slope import Slope
from backstay.quantity import QUANTITIES
from backstay.stability.longer_anchors import Search
from backstay.stability.slip.from_slope import known_surface, slope_model
from backstay.stability.slip.model import SlipModel
from backstay.stability.slip.result import SlipResult
from backstay.stability.slope import (
    Locus,
    Surface,
    analysed,
    back_analysis,
    friction_at,
    friction_of,
    safety,
    with_strength,
)
from backstay.stability.slope_anchors import Layout, SlopeAnchor, as_forces, design_rows, layout
from backstay.stability.slope_face import face_checks
from backstay.stability.slope_force import (
    RequiredForce,
    force_by_inclination,
    least_of,
    required_force,
)
from backstay.stability.slope_slips import SMALLER, SlopeSlips, search_slips
from backstay.trace import Step, heading, remark, state, trace

TARGET = common_practice("target of the anchored slope, as the engineer states it")
SHAKEN = common_practice("pseudo-static target, usually 1.0 to 1.2")


@dataclass(frozen=True, slots=True, eq=False)
class SlopeCase:
    """The known surface in one case: at rest, or in the earthquake.

    model: ground with the strength carried, without anchors; bare: its analysis; required: the
    force for the target; tied: the analysis with the anchors as designed.
    """

    title: str
    target: float
    model: SlipModel
    bare: SlipResult
    required: RequiredForce
    tied: SlipResult


@dataclass(frozen=True, slots=True, eq=False)
class SlopeDesign:
    """A slope tied back.

    surface: the known one; loci: strength that explains the movement; cohesion, friction: along
    the surface, carried; carried: the locus they are from; forces: the governing force over the
    range of inclinations; required: at the one chosen; cases: at rest, and in the earthquake; rows:
    none where the target is reached without; anchored: ground as described with the rows; slips:
    None where the search was left out.
    """

    slope: Slope
    ground: SlipModel
    surface: Surface
    loci: tuple[Locus, ...]
    carried: Locus
    cohesion: float
    friction: float
    forces: tuple[RequiredForce, ...]
    required: RequiredForce
    cases: tuple[SlopeCase, ...]
    layout: Layout
    rows: tuple[SlopeAnchor, ...]
    anchored: SlipModel
    slips: SlopeSlips | None
    schedule: Schedule
    quantities: Quantities
    known_checks: tuple[Check, ...]
    face_checks: tuple[Check, ...]
    slip_checks: tuple[Check, ...]
    strength_steps: tuple[Step, ...]
    force_steps: tuple[Step, ...]

    @property
    def title(self) -> str:
        """Return how the slope is called."""
        return f"slope {self.slope.name}"

    @property
    def checks(self) -> tuple[Check, ...]:
        """Return every check of the slope, in the order of the work."""
        return (
            *self.known_checks,
            *(check for row in self.rows for check in row.anchor.checks),
            *self.face_checks,
            *self.slip_checks,
        )

    @property
    def steps(self) -> tuple[Step, ...]:
        """Return the derivation of strength, force and layout."""
        return (*self.strength_steps, *self.force_steps, *self.layout.steps)


def design_slope(
    slope: Slope,
    service: Service,
    basis: Basis,
    *,
    search: Search | None = None,
    counts: TestCounts = US_COUNTS,
) -> SlopeDesign:
    """Design the anchors of a slope.

    The strength carried is the least that the best estimate, the safety and the water allow at
    the cohesion that the engineer counts on. search: for smaller slips and slips around the bonds;
    without it they are left out, and said so; counts: of load tests. Raises DesignError where no strength or force is found.
    """
    moved = slope_model(slope)
    surface = known_surface(slope.slip_surface)
    with trace() as t:
        heading("Strength along the slip surface")
        loci, carried, c, phi = _strength(slope, moved, surface)
    bare = [
        (title, target, with_strength(slope_model(slope, shaken=shaken, water="to design for"), c, phi))
        for title, target, shaken in _cases(slope)
    ]  # fmt: skip
    with trace() as f:
        heading("Anchor force")
        forces, required, each = _force(slope, surface, bare, basis)
    shared = layout(slope, required.force)
    ground = slope_model(slope, water="to design for")
    line = safety(bare[0][2], surface, slope.method).surface
    rows: tuple[SlopeAnchor, ...] = ()
    if required.force > 0.0 or slope.anchors.design_load is not None:
        rows = design_rows(slope, ground, line, required.inclination, shared, service, basis)
    ties = as_forces(slope, rows)
    cases = tuple(
        SlopeCase(
            title, target, model, safety(model, surface, slope.method), force,
            safety(replace(model, anchors=ties), surface, slope.method),
        )
        for (title, target, model), force in zip(bare, each, strict=True)
    )  # fmt: skip
    steps = (*t.steps, *f.steps)
    known = [_known_check(case, bool(rows), steps) for case in cases]
    if rows:
        known.append(shared.check)
    slips = None
    if search is not None:
        slips = search_slips(slope, rows, required.inclination, search, (line, c, phi))
    anchors = tuple(row.anchor for row in rows)
    planned = planned_tests(slope.run, anchors, counts)
    return SlopeDesign(
        slope=slope, ground=ground, surface=surface, loci=loci, carried=carried, cohesion=c,
        friction=phi, forces=forces, required=required, cases=cases, layout=shared, rows=rows,
        anchored=replace(ground, anchors=ties), slips=slips,
        schedule=slope_schedule(slope.run, anchors, basis, counts),
        quantities=Quantities(
            (*anchor_quantities(anchors, planned), *load_tests(planned)) if rows else ()
        ),
        known_checks=tuple(known),
        face_checks=face_checks(slope, ground, rows, service, basis),
        slip_checks=_left_out(slope) if slips is None else slips.checks,
        strength_steps=t.steps, force_steps=f.steps,
    )  # fmt: skip


def _strength(
    slope: Slope, model: SlipModel, surface: Surface
) -> tuple[tuple[Locus, ...], Locus, float, float]:
    moved = slope.movement
    loci = back_analysis(
        model, surface, safety_now=moved.safety, uncertainty=moved.uncertainty,
        water_change=moved.water_change, method=slope.method,
    )  # fmt: skip
    carried = min(loci, key=lambda x: friction_of(x, moved.slip_cohesion))
    wet = model
    if carried.title.startswith("water") and model.water is not None:
        rise = moved.water_change if carried.title == "water higher" else -moved.water_change
        wet = replace(model, water=model.water + np.array([0.0, rise]))
    pair = friction_at(wet, surface, carried, moved.slip_cohesion, slope.method)
    found = safety(with_strength(wet, pair.c, pair.phi), surface, slope.method).F
    c = state("c", "Cohesion along the surface", pair.c, "stress", method="given")
    phi = state(
        "phi", "Angle of friction along the surface", pair.phi, "angle",
        method=f"back-calculated, {carried.title}: it gives a safety of {found:.4f} as it stands, "
        f"wanted {carried.safety:.4g}",
    )  # fmt: skip
    described = analysed(model, surface, slope.method)
    if described.converged:
        state(
            "F_s", "Safety of the surface with the strength of the strata as described", described.F,
            "ratio", method="for comparison: what it is more than as it stands, the surface is weaker by",
        )  # fmt: skip
    remark(
        f"The least of the {len(loci)} cases tried is carried into the design."
        if len(loci) > 1
        else "Only the best estimate was tried."
    )
    return loci, carried, c, phi


def _cases(slope: Slope) -> list[tuple[str, float, bool]]:
    found = [("", slope.target, False)]
    if slope.earthquake is not None:
        found.append(("earthquake", slope.earthquake.target, True))
    return found


def _force(
    slope: Slope, surface: Surface, cases: list[tuple[str, float, SlipModel]], basis: Basis
) -> tuple[tuple[RequiredForce, ...], RequiredForce, tuple[RequiredForce, ...]]:
    """Return the governing force by inclination, the one chosen, and that of each case there."""
    given = slope.anchors
    heads = [(h.x, h.elevation) for h in given.heads]

    now = [safety(model, surface, slope.method).F for _, _, model in cases]

    def of_case(k: int, i: float, guess: float) -> RequiredForce:
        _, target, model = cases[k]
        return required_force(
            model, surface, heads, i, target, method=slope.method, convention=given.counts,
            guess=guess, now=now[k],
        )  # fmt: skip

    def governing(i: float, guess: float) -> RequiredForce:
        return max((of_case(k, i, guess) for k in range(len(cases))), key=lambda r: r.force)

    forces = force_by_inclination(
        governing, least=basis.inclination_least.value, greatest=basis.inclination_greatest.value
    )
    best = least_of(forces) if given.inclination == "best" else None
    i = best.inclination if best is not None else float(given.inclination)
    if best is not None and best.force > 0.0:
        state("i", "Inclination that asks the least force", i, "angle",
              method=f"{len(forces)} whole degrees between the limits, closer beside the lowest")  # fmt: skip
    each = tuple(of_case(k, i, best.force if best else 0.0) for k in range(len(cases)))
    for (title, target, _), found in zip(cases, each, strict=True):
        state(
            "T", "Anchor force for the target" + (f", {title}" if title else ""), found.force,
            "force per length",
            method=f"safety {target:g}, at {{angle:{i:.6g}}} below horizontal; false position, "
            f"residual {found.residual:.0e} in F",
        )  # fmt: skip
    required = max(each, key=lambda r: r.force)
    if given.inclination != "best":
        least = min((r for r in forces if isfinite(r.force)), key=lambda r: r.force, default=None)
        if least is not None and least.force < required.force * (1 - 1e-3):
            remark(
                f"{{angle:{least.inclination:.6g}}} below horizontal would ask for "
                f"{{force per length:{least.force:.6g}}}."
            )
    return forces, required, each


def _known_check(case: SlopeCase, anchored: bool, steps: tuple[Step, ...]) -> Check:
    quake = case.title == "earthquake"
    with trace() as t:
        heading("The known surface" + (f", {case.title}" if case.title else ""))
        state(
            "F_0", "Safety without anchors", case.bare.F, "ratio", method=case.bare.method.title()
        )
        state(
            "F", "Safety with the anchors as designed", case.tied.F, "ratio",
            method=f"{case.tied.method.title()}; left of equilibrium: force "
            f"{case.tied.residual_force:.0e} of the weight, moment {case.tied.residual_moment:.0e}",
        )  # fmt: skip
    reached = case.target <= case.tied.F * (1 + 1e-9)
    return safety_check(
        "slope.earthquake" if quake else "slope.known-surface",
        ("slope" if not anchored else "anchored slope")
        + (" on the known surface" if not quake else " on the known surface, earthquake"),
        case.tied.F, case.target, SHAKEN if quake else TARGET, steps=(*steps, *t.steps),
        remedy="" if reached else _more(case),
        note="strength back-calculated along the surface" + _faults(case),
    )  # fmt: skip


def _faults(case: SlopeCase) -> str:
    """Say what the solution of a surface that is given, and so is not set aside, leaves to be judged."""
    if not case.tied.flags:
        return ""
    return f"; the solution has a fault to be judged: {', '.join(case.tied.flags)}"


def _more(case: SlopeCase) -> str:
    if case.required.force == inf:
        return "no anchor force within reach gives the target"
    return (
        f"{{force per length:{case.required.force:.6g}}} of anchor force reaches the target: a "
        "higher design load, closer anchors, or longer bond"
    )


def _left_out(slope: Slope) -> tuple[Check, ...]:
    return (
        Check(
            "slope.smaller-slips", "smaller slips, and slips around the bonds", 0.0,
            slope.slips_target or slope.target, QUANTITIES["ratio"], SMALLER, Sense.AT_LEAST,
            open_choice="the search of slip surfaces was left out here: the design is not complete "
            "before it has been made",
        ),
    )  # fmt: skip
