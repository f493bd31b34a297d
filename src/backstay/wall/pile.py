"""Is one soldier pile strong enough? Bending, shear, axial load with bending, cut sections, hole.

The design moment is the largest of every view of the wall: closed form, continuous beam, the
published 0.1 p L^2, and the cantilever stage. Axial load and moment are combined at their
greatest values, wherever they occur, which errs on the safe side.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Literal

from backstay.checks import Check, Sense
from backstay.cite import AISC360, GEOMETRY, STATICS, Citation, common_practice
from backstay.errors import DesignError
from backstay.quantity import (
    QUANTITIES,
    Force,
    ForcePerLength,
    Inertia,
    Length,
    Moment,
    MomentPerLength,
    SectionModulus,
    SmallLength,
)
from backstay.trace import Stated, Step, formula, heading, remark, state, trace, untraced
from backstay.wall import interaction, steel
from backstay.wall.member import Member, Steel, Strength, member_strength

Stage = Literal["finished", "cantilever"]
Opening = Literal["between pair", "cut through", "bracket"]
COMBINED = Citation(AISC360, "H1.1", "memory")


@formula("M", STATICS)
def pile_moment(M_1: MomentPerLength, s: Length) -> Moment:
    """Moment in one pile.

    M_1: moment per length of wall
    s: spacing of piles
    """
    return M_1 * s


@formula("V", STATICS)
def pile_shear(V_1: ForcePerLength, s: Length) -> Force:
    """Shear in one pile.

    V_1: shear per length of wall
    s: spacing of piles
    """
    return V_1 * s


@formula("P", STATICS)
def pile_axial(
    T_v: ForcePerLength, s: Length, w_l: ForcePerLength, w: ForcePerLength, H: Length
) -> Force:
    """Axial load of one pile at subgrade.

    T_v: vertical components of the anchors per length of wall
    s: spacing of piles
    w_l: weight of lagging and facing on one pile, per depth
    w: weight of the pile per length
    H: height of cut
    """
    return T_v * s + (w_l + w) * H


@formula("I_net", GEOMETRY)
def flanges_less_opening(
    b_f: SmallLength, b_o: SmallLength, t_f: SmallLength, d: SmallLength
) -> Inertia:
    """Inertia of what is left where flanges are cut and the web is slit for a tendon.

    b_f, t_f: width and thickness of flange
    b_o: width cut out of each flange
    d: depth of section
    """
    return 2 * (b_f - b_o) * t_f * ((d - t_f) / 2) ** 2


@formula("S_net", GEOMETRY)
def net_modulus(I_net: Inertia, d: SmallLength) -> SectionModulus:
    """Elastic section modulus of the cut section.

    I_net: inertia of the cut section
    d: depth of section
    """
    return I_net / (d / 2)


@dataclass(frozen=True, slots=True)
class MomentView:
    """One view of the greatest moment in a pile: its title, value (kNm) and stage.

    At the cantilever stage no anchor pulls the pile down yet.
    """

    title: str
    value: float
    stage: Stage = "finished"


@dataclass(frozen=True, slots=True)
class PileDemand:
    """What acts on one pile: kN, kNm, m.

    views: of the greatest moment; shear: greatest; row_moments: at each row, greatest of all
    views; vertical: components of the anchors per metre of wall (kN/m); lagging: weight on one
    pile per metre of depth; span: greatest distance between rows, to subgrade, and of the
    cantilever; spacing: of piles.
    """

    views: tuple[MomentView, ...]
    shear: float
    row_moments: tuple[float, ...]
    vertical: float
    lagging: float
    span: float
    spacing: float
    H: float
    steps: tuple[Step, ...] = ()

    @property
    def moment(self) -> float:
        """Return the greatest moment of all views (kNm)."""
        return max(view.value for view in self.views)

    @property
    def governing(self) -> str:
        """Return the title of the view that governs."""
        return max(self.views, key=lambda view: view.value).title


@dataclass(frozen=True, slots=True)
class PileRules:
    """The steel, and how the tendon and the hole bound the section.

    opening_width: clear way that the tendon needs (m), None where it passes beside the pile;
    hole: diameter of the drilled hole (m), None where the pile is driven.
    """

    material: Steel
    opening: Opening
    opening_width: float | None
    hole: float | None


@dataclass(frozen=True, slots=True)
class PileDesign:
    """A pile that was verified."""

    member: Member
    strength: Strength
    axial: float
    checks: tuple[Check, ...]
    steps: tuple[Step, ...]

    @property
    def passes(self) -> bool:
        """Return whether every check passes."""
        return all(check.utilisation <= 1.0 + 1e-9 for check in self.checks)


def verify_pile(
    member: Member, demand: PileDemand, rules: PileRules, remedy: str = ""
) -> PileDesign:
    """Check one pile. remedy: what to say where a check fails.

    Raises DesignError where the pile cannot be built or its strength cannot be computed.
    """
    if member.clear < 0.0:
        raise DesignError(
            "the flanges of the pair overlap: leave at least "
            f"{{small length:{member.gap - member.clear:.4f}}} between the webs",
            "soldier pile",
        )
    with trace() as strength_trace:
        heading(f"Strength of {member.title}")
        strength = member_strength(member, rules.material, demand.span)
    known = (*demand.steps, *strength_trace.steps)
    M, V = demand.moment, demand.shear
    checks = [
        Check(
            "wall.pile-bending", "bending of the soldier pile", M, strength.moment,
            QUANTITIES["moment"], rules.material.bending.cite, steps=known, remedy=remedy,
            note=f"governed by {demand.governing}; strength by {strength.moment_rule}",
        ),
        Check(
            "wall.pile-shear", "shear in the soldier pile", V, strength.shear,
            QUANTITIES["force"], rules.material.shear.cite, steps=known, remedy=remedy,
            note=f"strength by {strength.shear_rule}",
        ),
    ]  # fmt: skip
    with trace() as combined:
        heading("Axial load and bending together")
        P, U = _combined(member, demand, strength, rules.material.E)
    checks.append(
        Check(
            "wall.pile-combined", "axial load and bending of the soldier pile", U, 1.0,
            QUANTITIES["ratio"], COMBINED, steps=(*known, *combined.steps), remedy=remedy,
        )
    )  # fmt: skip
    checks += _opening_checks(member, demand, rules, remedy)
    if rules.hole is not None:
        checks.append(
            Check(
                "wall.pile-in-hole", "the pile fits its hole", member.diagonal, rules.hole,
                QUANTITIES["length"], common_practice("the hole takes the pile's diagonal"),
                remedy=f"a hole of at least {{length:{member.diagonal:.4f}}}, or a smaller section",
                steps=(
                    Stated("d_pile", "Diagonal of the pile", member.diagonal, QUANTITIES["length"],
                           "square root of depth squared plus width squared"),
                    Stated("d_hole", "Hole", rules.hole, QUANTITIES["length"], "given"),
                ),
            )
        )  # fmt: skip
    return PileDesign(member, strength, P, tuple(checks), (*known, *combined.steps))


def _combined(
    member: Member, demand: PileDemand, strength: Strength, E: float
) -> tuple[float, float]:
    """Return the axial load of the finished wall, and the worse utilisation of both stages."""
    remark("In each stage the greatest axial load and the greatest moment are taken together.")
    finished = worst = 0.0
    stages: tuple[tuple[Stage, float], ...] = (("cantilever", 0.0), ("finished", demand.vertical))
    for stage, vertical in stages:
        moment = max((view.value for view in demand.views if view.stage == stage), default=None)
        if moment is None:
            continue
        remark(f"{stage.capitalize()} wall:")
        P = pile_axial(vertical, demand.spacing, demand.lagging, member.weight, demand.H)
        B_1 = interaction.amplification(P, member.count * member.I_x, demand.span, E)
        if not 0.0 < B_1 < 10.0:
            raise DesignError(f"{member.title} buckles in the plane of bending", "soldier pile")
        p = interaction.axial_share(P, strength.axial)
        m = interaction.moment_share(B_1, moment, strength.moment)
        worst = max(worst, interaction.interaction(p, m))
        finished = P if stage == "finished" else finished
    return finished, worst


def _opening_checks(
    member: Member, demand: PileDemand, rules: PileRules, remedy: str
) -> list[Check]:
    if rules.opening == "bracket":
        return []
    if rules.opening_width is None:
        raise DesignError(
            "the width of the opening for the tendon is not known: state opening_width, or a "
            "hole diameter of the anchors",
            "soldier pile",
        )
    if rules.opening == "between pair":
        if member.count == 1:
            raise DesignError('"between pair" needs arrangement: double', "soldier pile")
        return [
            Check(
                "wall.pile-opening", "clear way between the pair for the anchor", member.clear,
                rules.opening_width, QUANTITIES["small length"], GEOMETRY, Sense.AT_LEAST,
                remedy=f"a gap of {{small length:{rules.opening_width + member.gap - member.clear:.4f}}} "
                "between the webs",
            )
        ]  # fmt: skip
    if member.form != "I" or member.count == 2:
        raise DesignError('"cut through" is covered for a single I section only', "soldier pile")
    with trace() as t:
        heading("Section cut for the tendon")
        remark(
            "The tendon slits the web and cuts both flanges at their middle; the web is left out."
        )
        b_o = state("b_o", "width cut out of each flange", rules.opening_width, "small length")
        if b_o >= member.b_f:
            raise DesignError(
                f"the opening of {{small length:{b_o:.4f}}} leaves nothing of the flange, which is "
                f"{{small length:{member.b_f:.4f}}} wide: a wider section, a smaller hole or "
                "opening_width, a pair of sections, or anchors beside the pile (bracket)",
                "soldier pile",
            )
        I_net = flanges_less_opening(member.b_f, b_o, member.t_f, member.d)
        S_net = net_modulus(I_net, member.d)
        M_net = steel.allowable_stress_moment(
            rules.material.bending.value, rules.material.F_y, S_net
        )
    row, moment = max(enumerate(demand.row_moments, start=1), key=lambda pair: pair[1])
    return [
        Check(
            "wall.pile-opening", "bending of the section cut for the anchor", moment, M_net,
            QUANTITIES["moment"], rules.material.bending.cite, where=f"row {row}",
            steps=(*demand.steps, *t.steps),
            remedy=remedy or "a pair of sections, or cover plates over the cut flanges",
            note="shear at the cut is carried by the side plates of the head connection",
        )
    ]  # fmt: skip


def lightest_pile(
    candidates: Iterable[Member], demand: PileDemand, rules_of: Callable[[Member], PileRules]
) -> Member | None:
    """Return the lightest member that passes every check, or None.

    rules_of: the rules for a member (its yield stress may depend on its thickness).

    A member too weak by its elastic modulus, or too large for the hole, is passed over before
    the full check.
    """
    with untraced():
        for member in sorted(candidates, key=lambda m: (m.mass, -m.S_x)):
            rules = rules_of(member)
            stress = rules.material.bending.value * rules.material.F_y
            if member.count * member.S_x * stress < demand.moment:
                continue
            if rules.hole is not None and member.diagonal > rules.hole:
                continue
            try:
                if verify_pile(member, demand, rules).passes:
                    return member
            except DesignError:
                continue
    return None
