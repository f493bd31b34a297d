"""Anchors that stand out along the wall: scores by hand and limits on both sides."""

from __future__ import annotations

import pytest

from backstay.stressing.outliers import outliers, outliers_of_tests, robust_scores
from tests.unit.stressing.bonds import proof
from tests.unit.stressing.invented import anchor
from tests.unit.stressing.synthetic import Model


def test_robust_scores_by_hand() -> None:
    """Median 10, absolute deviations 0 1 1 2 20: their median 1, so 20 is 13.5 deviations."""
    values = {"a": 9.0, "b": 10.0, "c": 11.0, "d": 12.0, "e": 30.0}
    scores = robust_scores(values)
    assert scores["e"] == pytest.approx((30.0 - 11.0) / (1.4826 * 1.0))
    found = outliers(values, "creep", "proof tests")
    assert [o.anchor for o in found] == ["e"]
    assert "robust standard deviations" in found[0].words


def test_limits_of_outliers_on_both_sides_and_groups_too_small() -> None:
    base = {"a": 9.0, "b": 10.0, "c": 11.0, "d": 12.0}
    edge = 11.0 + 3.5 * 1.4826
    assert outliers({**base, "e": edge - 0.01}, "creep", "g") == ()
    assert [o.anchor for o in outliers({**base, "e": edge + 0.01}, "creep", "g")] == ["e"]
    assert outliers({"a": 1.0, "b": 1.0, "c": 1.0, "d": 99.0}, "creep", "g") == ()


def test_anchors_that_agree_within_what_dials_show_are_no_outliers() -> None:
    values = dict.fromkeys("abcdefg", 0.0005) | {"h": 0.000505}
    assert outliers(values, "creep", "g", resolution=1e-5) == ()
    assert [o.anchor for o in outliers({**values, "h": 0.002}, "creep", "g", resolution=1e-5)] == [
        "h"
    ]
    assert robust_scores({"a": 1.0, "b": 1.0}) == {"a": 0.0, "b": 0.0}
    assert robust_scores({}) == {}


def test_the_anchor_that_creeps_stands_out_along_the_wall() -> None:
    judged = []
    for k in range(8):
        creep = 0.0008 if k == 5 else 0.0003 + 0.00001 * k
        model = Model(anchor=anchor(name=f"A-1-{k + 1:03d}"), creep=creep, seed=k)
        judged.append(proof(model))
    assert all(j.decision == "accepted" for _, j in judged)
    found = outliers_of_tests(judged)
    assert {o.anchor for o in found} == {"A-1-006"}
    assert {o.what for o in found} == {"creep", "residual movement", "total movement"}
    assert "performance tests in granular" in found[0].group


def test_a_group_too_small_tells_nothing_however_far_one_is_off() -> None:
    """Three alike, one a hundred times as much: with four anchors nobody knows which one is odd."""
    four = {"a": 1.0, "b": 1.1, "c": 0.9, "d": 99.0}
    assert abs(robust_scores(four)["d"]) > 100.0
    assert outliers(four, "creep", "g") == ()
    assert [o.anchor for o in outliers({**four, "e": 1.05}, "creep", "g")] == ["d"]


def test_movements_are_over_the_stretch_from_the_alignment_load_and_of_tops_near_the_test_load() -> (
    None
):
    """total / ((P - P_al) (L_u + L_j) / (A E)), by hand from the last cycle; none of lower cycles."""
    from dataclasses import replace

    from backstay.stressing.outliers import _values

    record, judgement = proof(Model())
    found = judgement.evaluation
    top, one = found.cycles[-1], record.anchor
    over = top.load - record.procedure.alignment_load
    stretch = over * (one.free_length + one.jack_length) / (one.area * one.modulus)
    assert _values(record, judgement)["total movement"] == pytest.approx(top.total / stretch)
    for share, told in ((0.951, True), (0.949, False)):
        load = share * record.procedure.test_load
        lower = replace(found, cycles=(replace(top, load=load),))
        values = _values(record, replace(judgement, evaluation=lower))
        assert ("total movement" in values) is told
        assert ("residual movement" in values) is told
