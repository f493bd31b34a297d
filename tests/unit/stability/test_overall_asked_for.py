"""What is searched at each stage of a wall: the cut, the rows, the wall's shear, limits, targets."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from backstay.anchors import AnchorDesign
from backstay.checks import Verdict
from backstay.ground import profile
from backstay.model.project import Section
from backstay.stability.overall import OverallDesign, design_overall, stages_of_work
from backstay.stability.overall_comparison import least_final
from backstay.stability.slip.model import ShearForce, SlipModel
from backstay.stability.slip.options import SearchOptions
from backstay.stability.slip.pile_shear import pile_shear, wall_shear
from backstay.stability.slip.search_result import SearchResult
from backstay.trace import Computed
from tests.unit.anchors.example import BASIS, CLAY, ROW, SAND, TEMPORARY, anchors, section
from tests.unit.report.slips import found

BOTH = {**CLAY, "friction_angle": "26 deg"}
TWO_ROWS = [{**ROW, "elevation": 98.0}, {**ROW, "elevation": 94.0}]
PILES: Any = SimpleNamespace(
    toe=13.0, toe_width=0.6,
    checks=(
        SimpleNamespace(id="wall.pile-shear", capacity=400.0),
        SimpleNamespace(id="wall.pile-bending", capacity=300.0),
    ),
)  # fmt: skip
SEARCH = found()[1]


def answered(*safeties: float, **more: Any) -> SearchResult:
    """Return a search whose minima have these safeties."""
    least = SEARCH.minima[0]
    return replace(SEARCH, minima=tuple(replace(least, F=F, **more) for F in safeties))


def asked(
    answers: list[SearchResult] | None = None,
    *,
    changes: dict[str, Any] | None = None,
    **options: Any,
) -> tuple[OverallDesign, list[tuple[SlipModel, SearchOptions]], Any]:
    """Return the design, each model and options that were searched in order of depth, the section."""
    seen: list[tuple[SlipModel, SearchOptions]] = []

    def search(model: SlipModel, given: SearchOptions) -> SearchResult:
        seen.append((model, given))
        return answers[order(model)] if answers else replace(SEARCH, minima=())

    s = section(
        **({"ground": {"top": 100.0, "strata": [BOTH]}, "anchors": TWO_ROWS} | (changes or {}))
    )
    made = design_overall(s, profile(s), tied(s), PILES, TEMPORARY, BASIS, search=search, **options)
    return made, sorted(seen, key=lambda one: order(one[0])), s


def tied(s: Section) -> tuple[AnchorDesign, ...]:
    """Return rows of anchors locked off well below their design load."""
    return tuple(replace(a, lock_off_load=0.8 * a.design_load) for a in anchors(s))


def order(model: SlipModel) -> int:
    """Return the place of a model among the stages: two digs, the last undrained, and drained."""
    depth = -bottom(model)
    return 0 if depth < 5.0 else 1 if depth < 9.0 else 2 if undrained(model) else 3


def undrained(model: SlipModel) -> bool:
    return model.su is not None and bool(model.su[0] > 0.0)


def bottom(model: SlipModel) -> float:
    """Return the level of the ground in front."""
    return float(model.surface[0, 1])


def test_each_dig_has_the_rows_stressed_before_it_and_the_last_every_row_and_strength() -> None:
    made, _, s = asked(changes={"earthquake": {"kh": 0.12, "kv": 0.05}})
    stages = [x.stage for x in made.stages]
    assert [(x.title, x.rows, x.strength) for x in stages] == [
        ("stage 1", (), "undrained"), ("stage 3", (1,), "undrained"),
        ("final, undrained", (1, 2), "undrained"), ("final, drained", (1, 2), "drained"),
        ("final, earthquake", (1, 2), "undrained"),
    ]  # fmt: skip
    for one in made.stages:
        assert bottom(one.model) == pytest.approx(-one.stage.dug_to)
        assert [a.name for a in one.model.anchors] == [f"row {r}" for r in one.stage.rows]
        shaken = one.stage.title.endswith("earthquake")
        assert (one.model.kh, one.model.kv) == ((0.12, 0.05) if shaken else (0.0, 0.0))
        assert undrained(one.model) is (one.stage.strength == "undrained")
    assert [x.dug_to for x in stages][2:] == [pytest.approx(10.0)] * 3
    assert [x.stage.title for x in asked(stages="final")[0].stages] == [
        "final, undrained", "final, drained",
    ]  # fmt: skip
    assert s.cut.subgrade == 90.0


@pytest.mark.parametrize(
    ("strata", "titles"),
    [
        ([SAND], ["final"]),
        ([CLAY], ["final"]),  # no drained strength to look at
        ([SAND, {**CLAY, "top": 95.0}], ["final"]),
        ([SAND, {**BOTH, "top": 95.0}], ["final, undrained", "final, drained"]),
    ],
)
def test_drained_strength_is_looked_at_where_all_the_ground_has_it(
    strata: list[dict[str, Any]], titles: list[str]
) -> None:
    s = section(ground={"top": 100.0, "strata": strata})
    made = stages_of_work(s, profile(s), "final")
    assert [x.title for x in made] == titles
    undrained = any("undrained_strength" in x for x in strata)
    assert made[0].strength == ("undrained" if undrained else "drained")


def test_the_wall_gives_its_shear_below_each_dig_and_a_check_tells_its_own_alone() -> None:
    made, _, s = asked()
    ground = profile(s)
    for one in made.stages:
        alone = wall_shear(
            s.wall, PILES, ground, dug_to=one.stage.dug_to, strength=one.stage.strength
        )
        assert alone
        assert [shear_of(p) for p in one.model.piles] == [shear_of(p) for p in alone]
        assert max(p.top for p in one.model.piles) == pytest.approx(-one.stage.dug_to)
    for one, check in zip(made.stages, made.checks, strict=True):
        told = [s.value for s in check.steps if isinstance(s, Computed) and s.formula is pile_shear]
        assert told == [p.capacity for p in one.model.piles]


@pytest.mark.parametrize(
    ("stage", "words"),
    [(0, "no anchors act."), (1, "1 row of anchors acts with its design load."),
     (2, "2 rows of anchors act with their design load.")],
)  # fmt: skip
def test_rows_that_act_are_told(stage: int, words: str) -> None:
    assert words in " ".join(str(step) for step in asked()[0].checks[stage].steps)


def test_surfaces_set_aside_are_told_as_tables_tell_them() -> None:
    aside = replace(answered(1.6), set_aside={"m_alpha too small": 3, "overhangs": 0})
    told = " ".join(str(step) for step in asked([aside] * 4)[0].checks[0].steps)
    assert "set aside: 3 mα too small" in told
    assert "m_alpha" not in told


def shear_of(pile: ShearForce) -> tuple[float, float, float]:
    return pile.top, pile.bottom, pile.capacity


@pytest.mark.parametrize("convention", ["active", "passive"])
@pytest.mark.parametrize("force", ["design load", "lock-off load"])
def test_rows_count_with_the_load_and_the_convention_chosen(force: Any, convention: Any) -> None:
    made, seen, s = asked(force=force, convention=convention, stages="final")
    rows = tied(s)
    for model, _ in seen:
        for tie, row in zip(model.anchors, rows, strict=True):
            load = row.design_load if force == "design load" else row.lock_off_load
            assert tie.total == pytest.approx(load / row.spacing)
            assert tie.convention == convention
    assert f"with their {force}" in "".join(str(step) for step in made.steps)


def test_surfaces_come_out_in_front_of_the_wall_or_pass_beneath_the_dig_where_limits_are_given() -> (
    None
):
    for model, options in asked()[1]:
        assert options.exits is not None
        assert options.exits == (model.surface[0, 0], pytest.approx(-0.01))
    given = SearchOptions(exits=(-8.0, -1.0))
    made, seen, _ = asked(options=given)
    for one, (_, options) in zip(made.stages, seen, strict=True):
        assert options.exits == (-8.0, -1.0)
        assert options.beneath == ((0.0, -one.stage.dug_to),)


def test_safety_is_held_against_the_target_of_the_section_or_that_of_the_basis() -> None:
    answers = [answered(2.0), answered(1.6), answered(1.45), replace(SEARCH, minima=())]
    made = asked(answers)[0]
    assert made.target == BASIS.overall_safety.value
    assert [x.safety for x in made.stages] == [2.0, 1.6, 1.45, np.inf]
    assert [c.demand for c in made.checks] == [2.0, 1.6, 1.45, np.inf]
    assert all(c.verdict is Verdict.PASS for c in made.checks)
    assert made.lengthened is None
    final = least_final(made)
    assert final is not None
    assert final.stage.title == "final, undrained"
    own = asked(answers, changes={"targets": {"overall_safety": 1.4}})[0]
    assert [c.capacity for c in own.checks] == [1.4] * 4


def test_a_surface_at_a_limit_of_the_search_is_noted() -> None:
    answers = [answered(2.0), answered(2.1, at_edge=True), answered(2.2), answered(2.3)]
    (note,) = asked(answers)[0].notes
    assert note.startswith("stage 3: ")


def test_the_least_final_state_counts_whatever_a_stage_has() -> None:
    answers = [answered(1.6), answered(1.5), answered(1.9), answered(1.8)]
    least = least_final(asked(answers)[0])
    assert least is not None
    assert (least.stage.title, least.safety) == ("final, drained", 1.8)
    assert least_final(asked()[0]) is None
