"""The wall with one anchor down-rated: analysed through its stages, and designed again as it stands.

Two bounds. Alone: the pile at the anchor gets no help along the wall, as where every pile has its
own anchors; its row holds the down-rated load there and no more. Shared: the anchors beside it and
the anchor itself carry their spacings together, as behind a wall or a waler that spreads loads.
For a pile alone statics of the design pressure are held as well, unless the engineer has chosen
that the staged analysis stands for them: between the wall with the row and the wall without it, by
the share that is lacking (both are in equilibrium with the pressure, and so is what lies between).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from backstay.anchors import AnchorDesign, RowLoads, row_loads
from backstay.anchors.anchor import anchor_load
from backstay.basis import basis
from backstay.checks import Check
from backstay.design import SectionDesign
from backstay.errors import DesignError
from backstay.model.project import Project, Section
from backstay.model.wall import SoldierPiles
from backstay.stressing.down_rating import DownRated
from backstay.trace import untraced
from backstay.wall.demand import StagedActions, wall_actions
from backstay.wall.design import EVERY_PILE, design_wall
from backstay.wall.result import WallDesign
from backstay.wall.staged import StagedInput, StagedResult, analyse
from backstay.wall.staged.comparison import greatest, greatest_load, greatest_moment, greatest_shear

Bound = Literal["alone", "shared"]
WORDS: dict[Bound, str] = {
    "alone": "this pile alone", "shared": "shared with the anchors beside it",
}  # fmt: skip
BENDING = ("wall.pile-bending", "wall.pile-combined", "wall.continuous-bending")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Carried:
    """The wall with one anchor down-rated, by one bound. Loads kN per anchor, kNm, kN.

    soft, mean, stiff: through the stages; loads: of each row, None where it does not stand;
    neighbour: of either anchor beside it, None where the bound gives it none; moment, shear: the
    greatest of the staged analysis and of statics; statics: loads of the rows by statics of the
    design pressure, empty where these give none; wall: designed again, as built, for them.
    """

    bound: Bound
    soft: StagedResult
    mean: StagedResult
    stiff: StagedResult
    loads: tuple[float | None, ...]
    neighbour: float | None
    moment: float
    shear: float
    statics: tuple[float, ...]
    wall: WallDesign

    @property
    def results(self) -> tuple[StagedResult, StagedResult, StagedResult]:
        """Return the three analyses, soft to stiff."""
        return self.soft, self.mean, self.stiff

    def load(self, row: int) -> float | None:
        """Return the greatest load of an anchor of a row (from 1), by analysis and statics."""
        found = [self.loads[row - 1], self.statics[row - 1] if self.statics else None]
        return greatest(found)


def governing_bound(section: Section, anchor: AnchorDesign) -> Bound:
    """Return which bound is the safe one: piles with their own anchors stand alone."""
    wall = section.wall
    own = isinstance(wall, SoldierPiles) and anchor.spacing <= EVERY_PILE * wall.spacing
    return "alone" if own else "shared"


def as_built(part: SectionDesign) -> Section:
    """Return the section with every choice that was left open put as it was designed.

    Raises DesignError where a choice cannot be put so.
    """
    section, wall = part.section, part.wall
    changes: dict[str, object] = {"toe": section.elevation(wall.toe)}
    if isinstance(section.wall, SoldierPiles):
        changes["section"] = wall.section_name
    rows = tuple(
        row.model_copy(
            update={
                "tendon": row.tendon.model_copy(
                    update={"product": a.tendon.product, "strands": a.tendon.strands}
                ),
                "bond": row.bond.model_copy(
                    update={
                        "length": a.bond_length, "grouting": a.grouting,
                        "hole_diameter": a.hole_diameter,
                    }
                ),
                "unbonded_length": a.unbonded_length, "design_load": a.design_load,
                "lock_off": a.lock_off_load / a.design_load,
            }
        )
        for row, a in zip(section.anchors, part.anchors, strict=True)
    )  # fmt: skip
    return section.model_copy(
        update={"wall": section.wall.model_copy(update=changes), "anchors": rows}
    )


def limited(
    given: StagedInput, row: int, rated: DownRated, bound: Bound, neighbours: int = 2
) -> StagedInput:
    """Return the stages with the anchors of a row (from 1) limited by one bound.

    neighbours: anchors beside it in the row, two but for the first and the last of a row.
    """
    a = row - 1
    share = given.anchor_share[a]
    lock, cap = rated.lock_off / share, rated.load / share
    k, locks, caps = given.a_k.copy(), given.a_lock.copy(), given.a_cap.copy()
    state = given.a_state.copy()
    if bound == "alone" or neighbours == 0:
        locks[:, a] = np.minimum(locks[:, a], lock)
        caps[:, a] = np.minimum(caps[:, a], cap)
        if rated.load <= 0.0:
            state[:, a] = 0
    else:
        weak = np.minimum(locks[:, a], lock)
        n = float(neighbours)
        k[:, a] *= n / (n + 1.0)
        locks[:, a] = (n * locks[:, a] + weak) / (n + 1.0)
        caps[:, a] = (n * caps[:, a] + weak) / (n + 1.0)
    return replace(given, a_k=k, a_lock=locks, a_cap=caps, a_state=state)


def carried(
    part: SectionDesign,
    project: Project,
    row: int,
    rated: DownRated,
    bound: Bound,
    neighbours: int = 2,
) -> Carried:
    """Return the wall with an anchor of a row (from 1) down-rated, by one bound.

    neighbours: anchors beside it in the row, two but for the first and the last of a row.
    """
    with untraced():
        runs = [
            analyse(limited(result.input, row, rated, bound, neighbours), mesh_error="left out")
            for result in part.staged.results
        ]
    soft, mean, stiff = runs
    loads = tuple(greatest_load(mean, a.row) for a in part.anchors)
    neighbour = None
    average = loads[row - 1]
    if bound == "shared" and average is not None and neighbours:
        weak = min(rated.lock_off, part.anchors[row - 1].lock_off_load)
        neighbour = ((neighbours + 1) * average - weak) / neighbours
    wall, without = part.wall, None
    if bound == "alone" and part.staged.carry != "staged":
        without = _without(part, row)
    moment = greatest([wall.design_moment, *(greatest_moment(r) for r in runs)]) or 0.0
    shear = greatest([wall.design_shear, *(greatest_shear(r) for r in runs)]) or 0.0
    statics: tuple[float, ...] = ()
    reaction = part.loads.reaction
    if without is not None:
        lost = rated.share
        statics = tuple(
            (1.0 - lost) * a.required_load + lost * more
            for a, more in zip(part.anchors, without.loads, strict=True)
        )
        moment = max(
            moment, wall.spacing * ((1.0 - lost) * without.moment_now + lost * without.moment)
        )
        shear = max(shear, wall.spacing * ((1.0 - lost) * without.shear_now + lost * without.shear))
        reaction = (1.0 - lost) * part.loads.reaction + lost * without.reaction
    again = _again(part, project, row, rated, loads, statics, (moment, shear, reaction))
    return Carried(
        bound=bound, soft=soft, mean=mean, stiff=stiff, loads=loads, neighbour=neighbour,
        moment=moment, shear=shear, statics=statics, wall=again,
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class _Without:
    """The wall without one row, by statics.

    loads: along the anchors (kN, nil for the row); moment, shear: greatest, per metre of wall;
    moment_now, shear_now: with the row; reaction: at subgrade (kN/m).
    """

    loads: tuple[float, ...]
    moment: float
    shear: float
    moment_now: float
    shear_now: float
    reaction: float


def _without(part: SectionDesign, row: int) -> _Without | None:
    """Return the wall without a row under the same design pressure, None where no other row is."""
    left = [a for a in part.anchors if a.row != row]
    if not left:
        return None
    H, pressures = part.ground.H, part.pressures
    try:
        with untraced():
            loads = row_loads([a.z for a in left], H, pressures.design)
            actions = wall_actions(pressures.envelope.diagram, pressures.design, loads, H)
            now = wall_actions(pressures.envelope.diagram, pressures.design, part.loads, H)
            along = {
                a.row: anchor_load(load.horizontal, a.spacing, a.inclination, a.skew)
                for a, load in zip(left, loads.rows, strict=True)
            }
    except DesignError:
        return None
    return _Without(
        loads=tuple(along.get(a.row, 0.0) for a in part.anchors),
        moment=max(actions.closed_form.greatest_moment, actions.continuous.greatest_moment),
        shear=actions.shear,
        moment_now=max(now.closed_form.greatest_moment, now.continuous.greatest_moment),
        shear_now=now.shear, reaction=loads.reaction,
    )  # fmt: skip


def _again(
    part: SectionDesign,
    project: Project,
    row: int,
    rated: DownRated,
    loads: Sequence[float | None],
    statics: Sequence[float],
    asked: tuple[float, float, float],
) -> WallDesign:
    """Return the wall as built, designed again for what it now carries."""
    moment, shear, reaction = asked
    anchors = []
    for a in part.anchors:
        found = [a.design_load, loads[a.row - 1] or 0.0, *(statics[a.row - 1 : a.row] or ())]
        load = rated.load if a.row == row else max(found)
        anchors.append(replace(a, design_load=load, vertical=a.vertical * load / a.design_load))
    changed: RowLoads = replace(part.loads, reaction=max(reaction, part.loads.reaction))
    with untraced():
        return design_wall(
            as_built(part), part.ground, part.pressures, changed, tuple(anchors), project.service,
            basis(project.basis), staged=StagedActions(moment, shear, part.staged.carry == "staged"),
        )  # fmt: skip


def moment_limit(wall: WallDesign) -> float:
    """Return the moment at which the wall is used up, in proportion to its checks of bending (kNm)."""
    use = max((c.utilisation for c in wall.checks if c.id in BENDING), default=0.0)
    return wall.design_moment / use if use > 0.0 else float("inf")


def strength_checks(wall: WallDesign) -> tuple[Check, ...]:
    """Return the checks of a wall that its anchors' loads change."""
    kept = ("wall.pile-", "wall.continuous-", "wall.toe-", "wall.vertical-", "wall.head-")
    return tuple(c for c in wall.checks if c.id.startswith(kept))
