"""Checks of the staged analysis: the wall stands, the toe, the anchors, the ground behind them."""

from __future__ import annotations

from collections.abc import Sequence

from backstay.anchors import AnchorDesign
from backstay.basis import Basis
from backstay.checks import Check, Sense
from backstay.cite import STATICS, Citation, common_practice
from backstay.quantity import QUANTITIES
from backstay.trace import Stated, Step
from backstay.wall.staged.comparison import greatest_deflection, greatest_load
from backstay.wall.staged.result import StagedResult, StageResult

_FORCE = QUANTITIES["force"]
_GROUND = ("soft ground", "mean ground", "stiff ground")
_PASSIVE_BEHIND = common_practice(
    "the ground behind resists the pull of a stressed anchor with the safety of the toe"
)
_ACCIDENT = common_practice("an anchor holds, once, what its acceptance test proved")


def stands_check(results: Sequence[StagedResult], steps: tuple[Step, ...]) -> Check:
    """Return the check that the wall stands at every stage, in soft, mean and stiff ground.

    What counts are the stages that it does not reach standing, in the analysis with most of them: none
    is allowed.
    """
    worst = min(results, key=lambda r: sum(s.status == "stands" for s in r.stages))
    ground = _GROUND[list(results).index(worst)]
    needed = worst.input.stages
    stand = sum(s.status == "stands" for s in worst.stages)
    remedy = note = ""
    if worst.failed is not None:
        failed = worst.failed
        remedy = failed.remedy
        note = (
            f"stage {failed.stage} ({failed.title}), {ground}: {failed.mechanism}, at "
            f"{{length:{failed.depth:.6g}}} below the top of wall"
        )
    return Check(
        "wall.staged-equilibrium", "Stages of the dig at which the wall does not stand",
        float(needed - stand), 0.0, QUANTITIES["count"], STATICS, Sense.AT_MOST, "", steps, remedy,
        note or f"stands at all {needed} stages, in soft, mean and stiff ground",
    )  # fmt: skip


def toe_check(result: StagedResult, basis: Basis, steps: tuple[Step, ...]) -> Check | None:
    """Return the check of the greatest share of the resistance in front of the toe that is called upon."""
    standing = [s for s in result.stages if s.status == "stands"]
    if not standing:
        return None
    worst = max(standing, key=lambda s: s.toe_use)
    limit = 1.0 / basis.toe_lateral_safety.value
    return Check(
        "wall.staged-toe", "Share of the ground's resistance in front of the toe called upon",
        worst.toe_use, limit, QUANTITIES["percent"], basis.toe_lateral_safety.cite, Sense.AT_MOST,
        f"stage {worst.number}",
        (
            *steps,
            Stated("m", f"Pressure in front below the dig over its limit, {worst.title}", worst.toe_use,
                   QUANTITIES["percent"], "resultant of the pressure over the resultant of its limit"),
            Stated("m_all", "Share allowed", limit, QUANTITIES["percent"],
                   f"1 / {basis.toe_lateral_safety.value:g}", basis.toe_lateral_safety.cite),
        ),
        "a deeper toe, a shallower dig below the row above, or a stiffer row just above subgrade"
        if worst.toe_use > limit else "",
        worst.title,
    )  # fmt: skip


def anchor_checks(
    results: Sequence[StagedResult], anchors: Sequence[AnchorDesign], steps: tuple[Step, ...]
) -> list[Check]:
    """Return, per row, the check of the greatest load in mean ground against the design load.

    The range over soft and stiff ground is stated beside it.
    """
    found: list[Check] = []
    mean = results[1]
    for anchor in anchors:
        load = greatest_load(mean, anchor.row)
        if load is None:
            continue
        spread = [v for r in results if (v := greatest_load(r, anchor.row)) is not None]
        found.append(
            Check(
                "anchor.staged-load", "Greatest load over the stages against the design load", load,
                anchor.design_load, _FORCE, Citation("staged analysis", "mean ground", "formula"),
                Sense.AT_MOST, f"row {anchor.row}",
                (
                    *steps,
                    *(Stated("P", f"Greatest load of row {anchor.row}, {name}", value, _FORCE,
                             "along the anchor, over all stages but accidents")
                      for name, value in zip(_GROUND, spread, strict=False)),
                ),
                f"a design load of {{force:{load:.6g}}} for row {anchor.row}, or a lower lock-off"
                if load > anchor.design_load * (1 + 1e-9) else "",
                f"between {{force:{min(spread):.6g}}} and {{force:{max(spread):.6g}}} in soft to stiff ground",
            )
        )  # fmt: skip
    return found


def overstress_checks(
    result: StagedResult, anchors: Sequence[AnchorDesign], basis: Basis, steps: tuple[Step, ...]
) -> list[Check]:
    """Return, per row, the check that the ground behind can push back when the row is stressed.

    The pressure behind, from the top of wall to as far below the row as the row lies deep (not below the
    dig), is held against the passive pressure there, in the stage that stresses the row.
    """
    found: list[Check] = []
    limit = 1.0 / basis.toe_lateral_safety.value
    for anchor in anchors:
        stage = _stressing(result, anchor.row)
        if stage is None:
            continue
        low = min(2.0 * anchor.z, max(stage.dig, anchor.z))
        pressure, passive = _behind(stage, low)
        if passive <= 0.0:
            continue
        share = pressure / passive
        found.append(
            Check(
                "anchor.staged-overstress", "Pressure behind a stressed row over the passive pressure there",
                share, limit, QUANTITIES["percent"], _PASSIVE_BEHIND, Sense.AT_MOST, f"row {anchor.row}",
                (
                    *steps,
                    Stated("P_b", "Pressure behind, from the top of wall down", pressure,
                           QUANTITIES["force per length"], f"resultant to {{length:{low:.6g}}}, stage {stage.number}"),
                    Stated("P_p", "Passive resistance over the same depth", passive,
                           QUANTITIES["force per length"], f"resultant to {{length:{low:.6g}}}"),
                ),
                "a lower lock-off, or stress in steps as the dig goes on: you cannot pull harder than "
                "the ground can push back" if share > limit else "",
                stage.title,
            )
        )  # fmt: skip
    return found


def accident_checks(
    result: StagedResult, anchors: Sequence[AnchorDesign], steps: tuple[Step, ...]
) -> list[Check]:
    """Return, per accident, the check that the neighbours of a failed anchor hold what its test proved."""
    found: list[Check] = []
    for accident in result.accidents:
        anchor = anchors[accident.row - 1]
        bound = (
            f"{{force:{accident.neighbours_bound:.6g}}} if nothing went to other rows or the ground"
        )
        row = (
            "the wall would stand without the whole row"
            if accident.stands_without_row
            else "the wall would not stand without the whole row"
        )
        found.append(
            Check(
                "anchor.staged-accident", "Load of the neighbours when one anchor of a row fails",
                accident.neighbours, anchor.test_load, _FORCE, _ACCIDENT, Sense.AT_MOST,
                f"stage {accident.stage}, row {accident.row}",
                (
                    *steps,
                    Stated("P_0", "Load of each anchor before the failure", accident.before, _FORCE,
                           "along the anchor"),
                    Stated("P_n", "Load of either neighbour after it", accident.neighbours, _FORCE,
                           "the analysis with two anchors carrying three spacings"),
                    Stated("P_t", "Test load", anchor.test_load, _FORCE, "what the acceptance test proves"),
                ),
                f"a test load of at least {{force:{accident.neighbours:.6g}}}, or a waler that spreads the load"
                if accident.neighbours > anchor.test_load else "",
                f"{bound}; {row}",
            )
        )  # fmt: skip
    return found


def deflection_check(
    results: Sequence[StagedResult], target: float | None, steps: tuple[Step, ...]
) -> Check | None:
    """Return the check of the greatest deflection in mean ground against the engineer's target."""
    found = greatest_deflection(results[1])
    if target is None or found is None:
        return None
    spread = [v for r in results if (v := greatest_deflection(r)) is not None]
    small = QUANTITIES["small length"]
    return Check(
        "wall.staged-deflection", "Deflection of the wall over the stages", found, target, small,
        common_practice("the engineer's target"), Sense.AT_MOST, "",
        (*steps, Stated("w", "Greatest deflection, mean ground", found, small, "over all stages")),
        "stress the first row higher up or earlier, dig less below it, or a stiffer wall"
        if found > target else "",
        f"between {{small length:{min(spread):.6g}}} and {{small length:{max(spread):.6g}}}",
    )  # fmt: skip


def _stressing(result: StagedResult, row: int) -> StageResult | None:
    """Return the stage that stands in which a row is stressed."""
    states = result.input.a_state[:, row - 1]
    for stage in result.stages:
        if stage.status == "stands" and int(states[stage.number - 1]) == 1:
            return stage
    return None


def _behind(stage: StageResult, low: float) -> tuple[float, float]:
    """Return the resultants of pressure behind and of its passive limit from the top to a depth."""
    h = stage.z[1:] - stage.z[:-1]
    weight = 0.5 * h.repeat(2)
    near = stage.depth_g <= low
    return (
        float((stage.p_retained * weight)[near].sum()),
        float((stage.passive_retained * weight)[near].sum()),
    )
