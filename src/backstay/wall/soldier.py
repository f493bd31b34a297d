"""Soldier piles: the section, given or the lightest that does, and how far it reaches down.

Pile and toe depend on one another: the width of the pile bears on the ground below, and the
cantilever stage that the ground resists bends the pile. A given section needs one round; an
automatic one is chosen again until the choice stands.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil, pi

from backstay.basis import Basis, Factor
from backstay.errors import DesignError
from backstay.ground import Profile
from backstay.model.project import Section, Service
from backstay.model.wall import SoldierPiles
from backstay.pressure import DesignPressures
from backstay.trace import untraced
from backstay.wall.demand import WallActions, pile_demand
from backstay.wall.foot import Foot, FootLoads, design_foot
from backstay.wall.lagging import LaggingDesign, design_lagging
from backstay.wall.member import Member, Steel
from backstay.wall.pile import PileDemand, PileDesign, PileRules, lightest_pile, verify_pile
from backstay.wall.rolled import family_members, family_of, given_member, steel_of
from backstay.wall.vertical import Shaft, drilled_shaft, driven_shaft

CONCRETE = 23.5
"""Unit weight of the filling of a hole, kN/m3 (150 pcf), common practice."""
HOLE_ROUNDING = 0.05
ROUNDS = 6
"""Greatest number of times an automatic section is chosen again."""


@dataclass(frozen=True, slots=True)
class SoldierPileDesign:
    """The pile, what acts on it, its foot, the lagging between piles, and its hole (m)."""

    pile: PileDesign
    material: Steel
    demand: PileDemand
    foot: Foot
    lagging: LaggingDesign
    hole: float | None


@dataclass(frozen=True, slots=True)
class _Task:
    """All that stays the same while sections are tried."""

    section: Section
    wall: SoldierPiles
    ground: Profile
    pressures: DesignPressures
    actions: WallActions
    loads: FootLoads
    anchor_hole: float
    service: Service
    basis: Basis
    bending: Factor

    def rules(self, member: Member) -> PileRules:
        wall = self.wall
        width = None if wall.anchor_opening == "bracket" else wall.opening_width or self.anchor_hole
        hole = wall.hole_diameter if wall.installation == "drilled" else None
        material = steel_of(wall, member, self.basis, self.bending)
        return PileRules(material, wall.anchor_opening, width, hole)

    def demand(self, round_: _Round | None) -> PileDemand:
        stage = round_.foot.cantilever if round_ else None
        return pile_demand(
            self.actions, spacing=self.wall.spacing, H=self.ground.H,
            anchor_vertical=self.loads.anchor_vertical,
            facing_weight=round_.lagging.weight if round_ else 0.0,
            cantilever=(stage.moment, stage.shear) if stage else (0.0, 0.0),
        )  # fmt: skip

    def try_(self, member: Member) -> _Round:
        wall = self.wall
        hole = _hole(wall, member)
        concreted = hole is not None and wall.hole_filling == "structural concrete"
        width = hole if hole is not None and concreted else member.width
        lagging = design_lagging(
            self.section, self.ground, self.pressures, self.service, self.basis,
            clear_span=_clear_span(wall, member),
        )  # fmt: skip
        foot = design_foot(
            self.section, self.ground, shaft=_shaft(member, hole), width=width,
            spacing=wall.spacing, stiffness=steel_of(wall, member, self.basis, self.bending).E
            * member.count * member.I_x,
            toe=None if wall.toe == "auto" else self.section.depth(wall.toe),
            loads=replace(self.loads, facing_weight=lagging.weight), basis=self.basis, isolated=True,
        )  # fmt: skip
        return _Round(member, lagging, foot)


@dataclass(frozen=True, slots=True)
class _Round:
    """One section that was tried, with what follows from it."""

    member: Member
    lagging: LaggingDesign
    foot: Foot


def design_soldier_piles(
    section: Section,
    wall: SoldierPiles,
    ground: Profile,
    pressures: DesignPressures,
    actions: WallActions,
    loads: FootLoads,
    anchor_hole: float,
    service: Service,
    basis: Basis,
    bending: Factor,
) -> SoldierPileDesign:
    """Verify the given section, or choose the lightest, together with its foot and lagging.

    anchor_hole: widest drill hole of the anchors (m); bending: allowable share of the yield
    stress, temporary or permanent. Raises DesignError where no section can be tried.
    """
    task = _Task(
        section, wall, ground, pressures, actions, loads, anchor_hole, service, basis, bending
    )
    if wall.section != "auto":
        return _verified(task, task.try_(given_member(wall)))
    candidates = family_members(wall, wall.family)
    if not candidates:
        pairs = "" if wall.arrangement == "double" else "; channels come in pairs alone"
        raise DesignError(
            f"no sections of {', '.join(wall.family)} in the tables that go with {wall.steel}{pairs}",
            "soldier pile",
        )
    tried: _Round | None = None
    for _ in range(ROUNDS):
        demand = task.demand(tried)
        # What acts only grows from round to round, so a section that still passes is still lightest.
        if tried is not None and _passes(tried.member, demand, task):
            break
        member = lightest_pile(candidates, demand, task.rules) or _strongest(candidates, task)
        if tried is not None and member.name == tried.member.name:
            break
        tried = task.try_(member)
    if tried is None:
        raise DesignError("no section was tried", "soldier pile")
    return _verified(task, tried)


def _passes(member: Member, demand: PileDemand, task: _Task) -> bool:
    with untraced():
        return verify_pile(member, demand, task.rules(member)).passes


def _verified(task: _Task, tried: _Round) -> SoldierPileDesign:
    demand = task.demand(tried)
    rules = task.rules(tried.member)
    pile = verify_pile(tried.member, demand, rules)
    if not pile.passes:
        pile = verify_pile(tried.member, demand, rules, _remedy(task, demand, pile))
    hole = _hole(task.wall, tried.member)
    return SoldierPileDesign(pile, rules.material, demand, tried.foot, tried.lagging, hole)


def _remedy(task: _Task, demand: PileDemand, pile: PileDesign) -> str:
    """Return what would help: the lightest section that does, of the same family if it can be."""
    wall, member = task.wall, pile.member
    carries = f"{member.title} carries {{moment:{pile.strength.moment:.4f}}}"
    for families in ((family_of(member.name),), wall.family):
        better = lightest_pile(family_members(wall, families), demand, task.rules)
        if better is not None:
            return f"{carries}; {better.title} would do"
    return (
        f"{carries}; no section of {', '.join(wall.family)} does it all: "
        "close the spacing of piles, add a row of anchors, or give a wider hole"
    )


def _strongest(candidates: Sequence[Member], task: _Task) -> Member:
    """Return the section with the largest modulus that fits the hole, to show how far it falls short."""
    fitting = [m for m in candidates if (hole := task.rules(m).hole) is None or m.diagonal <= hole]
    return max(fitting or candidates, key=lambda m: m.S_x)


def _hole(wall: SoldierPiles, member: Member) -> float | None:
    """Return the diameter of the hole (m): given, or what the section needs; None if driven."""
    if wall.installation == "driven":
        return None
    return (
        wall.hole_diameter
        or ceil((member.diagonal + HOLE_ROUNDING) / HOLE_ROUNDING) * HOLE_ROUNDING
    )


def _shaft(member: Member, hole: float | None) -> Shaft:
    """Return the pile as the ground below sees it; filling counts over the whole length."""
    if hole is None:
        return driven_shaft(member.d, member.width, member.weight)
    filling = CONCRETE * max(0.0, pi * hole**2 / 4 - member.count * member.A)
    return drilled_shaft(hole, member.weight + filling)


def _clear_span(wall: SoldierPiles, member: Member) -> float:
    clear = wall.spacing - member.width
    if clear <= 0.0:
        raise DesignError("the piles touch: the spacing is not wider than a pile", "soldier pile")
    return clear
