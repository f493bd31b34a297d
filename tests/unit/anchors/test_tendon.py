"""Choice of tendon, its limits, lock-off."""

from __future__ import annotations

import pytest

from backstay.checks import Verdict
from backstay.errors import DesignError
from tests.unit.anchors.example import anchors, check, section


@pytest.mark.parametrize("horizontal", [40.0, 120.0, 300.0, 500.0])
def test_auto_takes_the_fewest_strands(horizontal: float) -> None:
    anchor = anchors(section(), horizontal)[0]
    need = max(anchor.design_load / 0.6, anchor.lock_off_load / 0.7, anchor.test_load / 0.8)
    one = anchor.tendon.strength / anchor.tendon.strands
    assert anchor.tendon.strands * one >= need
    assert (anchor.tendon.strands - 1) * one < need


def test_each_limit_may_govern() -> None:
    heavy_test = anchors(section({"test_factor": 2.0}), 300.0)[0]
    assert heavy_test.test_load == pytest.approx(2 * heavy_test.design_load)
    assert heavy_test.tendon.strands > anchors(section(), 300.0)[0].tendon.strands
    assert heavy_test.tendon.title.endswith("x 15.24 mm strand, ASTM A416 grade 270")


def test_auto_takes_the_smallest_bar() -> None:
    anchor = anchors(section({"tendon": {"kind": "bar"}}))[0]
    assert anchor.tendon.kind == "bar"
    assert anchor.tendon.strands == 1
    assert anchor.tendon.title == "1 in bar, ASTM A722 grade 150"


def test_no_bar_is_large_enough_for_a_huge_load() -> None:
    anchor = anchors(section({"tendon": {"kind": "bar"}}), 4000.0)[0]
    assert anchor.tendon.title.startswith("3 in")
    assert check(anchor, "tendon-design-stress").verdict is Verdict.FAIL


def test_a_given_tendon_is_checked() -> None:
    row = {"tendon": {"product": "12.7", "strands": 1}}
    anchor = anchors(section(row), 300.0)[0]
    assert anchor.tendon.strands == 1
    found = check(anchor, "tendon-test-stress")
    assert found.verdict is Verdict.FAIL
    assert "needs {force:" in found.remedy


def test_an_unknown_product_names_the_choices() -> None:
    with pytest.raises(DesignError, match="no strand 'rope'"):
        anchors(section({"tendon": {"product": "rope"}}))
    with pytest.raises(DesignError, match="one bar"):
        anchors(section({"tendon": {"kind": "bar", "strands": 3}}))


def test_more_strands_than_a_head_takes_fail() -> None:
    anchor = anchors(section({"tendon": {"strands": 24}}))[0]
    assert check(anchor, "tendon-strands").verdict is Verdict.FAIL


def test_a_short_stiff_tendon_cannot_hold_its_lock_off() -> None:
    anchor = anchors(section())[0]
    found = check(anchor, "lock-off-loss")
    assert found.verdict is Verdict.FAIL
    assert "unbonded length of {length:" in found.remedy
    needed = float(found.remedy.split("unbonded length of {length:")[1].split("}")[0])
    longer = anchors(section({"unbonded_length": needed * 1.001}))[0]
    assert check(longer, "lock-off-loss").verdict is Verdict.PASS


def test_a_given_draw_in_counts() -> None:
    half = anchors(section({"draw_in": "3 mm"}))[0]
    assert half.lock_off_loss == pytest.approx(anchors(section())[0].lock_off_loss / 2)
    assert anchors(section({"draw_in": 0.0}))[0].lock_off_loss == 0.0


def test_elongation_includes_the_tail() -> None:
    anchor = anchors(section())[0]
    stretch = (anchor.test_load - 0.1 * anchor.design_load) * (anchor.unbonded_length + 1.2)
    assert anchor.elongation == pytest.approx(stretch / (anchor.tendon.area * anchor.tendon.E))


def test_an_unusual_lock_off_is_noted() -> None:
    low = anchors(section({"lock_off": 0.5}))[0]
    assert "outside the usual 0.75 to 1" in check(low, "tendon-lock-off-stress").note
    assert "outside" not in check(anchors(section())[0], "tendon-lock-off-stress").note
