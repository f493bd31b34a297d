"""The wall below subgrade: lateral load, vertical load and the cantilever stage, one embedment."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, inf

from backstay.basis import Basis
from backstay.checks import Check
from backstay.ground import Profile
from backstay.model.project import Section
from backstay.model.sequence import bench_depth
from backstay.pressure.diagram import Diagram
from backstay.trace import Step, remark, trace
from backstay.wall.cantilever import CantileverStage, cantilever_stage
from backstay.wall.toe import ROUNDING, ToeDesign, design_toe
from backstay.wall.vertical import Shaft, VerticalDesign, design_vertical


@dataclass(frozen=True, slots=True)
class FootLoads:
    """What the wall brings to the ground below subgrade.

    reaction: at subgrade, kN/m; anchor_vertical: kN per metre of wall; facing_weight: kPa of wall
    face; local: diagrams of surcharges that do not cover the whole surface, for the cantilever;
    staged_embedment: what the stages of the dig ask of an automatic toe (m).
    """

    reaction: float
    anchor_vertical: float
    facing_weight: float
    local: tuple[Diagram, ...]
    staged_embedment: float = 0.0


@dataclass(frozen=True, slots=True)
class Foot:
    """The wall below subgrade: width that bears and embedment (m), and what was checked there.

    required: embedment that every check together needs, inf where none suffices.
    """

    width: float
    embedment: float
    required: float
    toe: ToeDesign
    vertical: VerticalDesign
    cantilever: CantileverStage
    steps: tuple[Step, ...]

    @property
    def checks(self) -> tuple[Check, ...]:
        """Return the checks of toe, vertical load and cantilever stage."""
        return (*self.toe.checks, *self.vertical.checks, *self.cantilever.checks)


def dig_level(section: Section) -> float:
    """Return the depth dug to before the first row is stressed (m)."""
    return bench_depth(section, 1)


def local_surcharges(section: Section, diagrams: Sequence[Diagram]) -> tuple[Diagram, ...]:
    """Return the diagrams of surcharges other than uniform and traffic loads."""
    return tuple(
        diagram
        for surcharge, diagram in zip(section.surcharges, diagrams, strict=True)
        if surcharge.kind not in ("uniform", "traffic")
    )


def design_foot(
    section: Section,
    ground: Profile,
    *,
    shaft: Shaft,
    width: float,
    spacing: float,
    stiffness: float,
    toe: float | None,
    loads: FootLoads,
    basis: Basis,
    isolated: bool,
) -> Foot:
    """Check the wall below subgrade, or choose its embedment to satisfy every one of its checks.

    shaft, width, stiffness: of one pile (EI, kNm2), or of one metre; toe: depth (m), or None to
    choose it. An embedment that no depth satisfies leaves its check failing.
    """
    H = ground.H
    dug = dig_level(section)

    def cantilever(D: float) -> CantileverStage:
        return cantilever_stage(
            section, ground, dig_level=dug, pile_width=width, spacing=spacing,
            stiffness=stiffness, basis=basis, toe=H + D, isolated=isolated,
            surcharges=loads.local,
        )  # fmt: skip

    def vertical(D: float) -> VerticalDesign:
        return design_vertical(
            ground, shaft=shaft, embedment=D, spacing=spacing,
            anchor_vertical=loads.anchor_vertical, facing_weight=loads.facing_weight, basis=basis,
            of="pile" if isolated else "wall",
        )  # fmt: skip

    def lateral(depth: float | None) -> ToeDesign:
        return design_toe(
            section, ground, reaction=loads.reaction, pile_width=width, spacing=spacing,
            toe=depth, basis=basis, isolated=isolated,
        )  # fmt: skip

    bottom = lateral(toe)
    D = bottom.embedment
    load = vertical(D)
    if toe is None:
        D = _deep_enough(D, load.embedment_required)
    stage = cantilever(D)
    needs = {
        "the lateral load of the toe": bottom.embedment_required,
        "the vertical load": load.embedment_required,
        "the cantilever stage": dug + stage.embedment_required - H,
    }
    if toe is None and loads.staged_embedment > 0.0:
        needs["the stages of the dig"] = loads.staged_embedment
        if (deeper := _deep_enough(D, loads.staged_embedment)) > D:
            D = deeper
            stage = cantilever(D)
    if toe is None and (deeper := _deep_enough(D, needs["the cantilever stage"])) > D:
        D = deeper
        stage = cantilever(D)
    with trace() as t:
        if bottom.embedment < D:
            bottom, load = lateral(H + D), vertical(D)
            why = max((w for w in needs if needs[w] < inf), key=lambda w: needs[w])
            remark(f"The toe goes to {{length:{D:.4f}}} below subgrade for {why}.")
    return Foot(width, D, max(needs.values()), bottom, load, stage, t.steps)


def _deep_enough(D: float, needed: float) -> float:
    """Return an embedment rounded up to what is needed, or D where that is enough or hopeless."""
    return D if needed <= D + 1e-9 or needed == inf else ceil(needed / ROUNDING - 1e-6) * ROUNDING
