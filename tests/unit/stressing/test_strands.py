"""Strand by strand: sum and spread by hand, each strand at its limit, and what is allowed next."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from backstay.anchors.tendon import strands_of
from backstay.checks import Check, Verdict, expand
from backstay.data import strand
from backstay.errors import DesignError
from backstay.quantity import UnitSystem
from backstay.records.facts import LiftedOff, LockedOff
from backstay.stressing.lift_off import LiftOffJudgement, judge_lift_off
from backstay.stressing.lock_off import LiftOff
from backstay.stressing.rules_us import US_RULES
from backstay.stressing.strands import strand_loads
from tests.unit.stressing.invented import anchor

HELD = anchor(jack_length=1.2)  # three strands, locked off at 360 kN
STRENGTH = 782.1 / 3.0


def judged(*loads: float, **more: Any) -> LiftOffJudgement:
    read = LiftOff(anchor=HELD.name, load=sum(loads), strands=loads)
    return judge_lift_off(read, HELD, US_RULES, head="wedges", **more)


def strand_check(found: LiftOffJudgement) -> Check:
    return next(c for c in found.checks if c.id == "lock-off.strand-stress")


def test_sum_and_spread_by_hand() -> None:
    """118 + 124 + 115 = 357 kN, mean 119; (124 - 115) / 119 = 7.563 %."""
    found = strand_loads((118.0, 124.0, 115.0))
    assert found.total == pytest.approx(357.0)
    assert found.spread == pytest.approx(9.0 / 119.0)
    assert (found.weakest, found.fullest) == (3, 2)
    assert expand(found.words, UnitSystem.SI) == (
        "3 strands carry between 115.0 kN (strand 3) and 124.0 kN (strand 2), a spread of 7.56% of "
        "their mean"
    )
    assert strand_loads((119.0,)).words == "one strand"


@given(st.lists(st.floats(0.0, 300.0), min_size=1, max_size=30).filter(lambda x: sum(x) > 1e-3))
def test_the_sum_is_of_all_and_no_order_matters(loads: list[float]) -> None:
    found, turned = strand_loads(loads), strand_loads(loads[::-1])
    assert found.total == pytest.approx(sum(loads))
    assert turned.total == pytest.approx(found.total)
    assert turned.spread == pytest.approx(found.spread)
    assert found.least <= found.mean * (1 + 1e-12)
    assert found.mean <= found.greatest * (1 + 1e-12)
    assert loads[found.weakest - 1] == found.least
    assert loads[found.fullest - 1] == found.greatest


@pytest.mark.parametrize("loads", [(), (100.0, -1.0), (float("nan"), 100.0), (0.0, 0.0)])
def test_strands_that_carry_no_load_are_refused(loads: tuple[float, ...]) -> None:
    with pytest.raises(DesignError):
        strand_loads(loads)


def test_the_sum_is_judged_as_a_lift_off_of_the_whole_anchor() -> None:
    for loads in ((114.0, 114.0, 114.0), (120.0, 118.0, 104.0)):  # 342 kN, at the tolerance of 5 %
        found = judged(*loads)
        assert found.standing == "in tolerance"
        assert found.next == ()
    low = judged(120.0, 118.0, 103.9)
    assert low.standing == "too low"
    assert [n.action for n in low.next] == ["re-stress"]
    assert "strand 3" in low.next[0].words
    assert low.next[0].load == pytest.approx(120.0)
    high = judged(126.0, 126.1, 126.0)
    assert high.standing == "too high"
    assert [n.action for n in high.next] == ["let down"]
    assert "strand 2" in high.next[0].words
    assert all("shims" not in n.words for n in (*low.next, *high.next))


@pytest.mark.parametrize(("share", "standing"), [(0.70, "in tolerance"), (0.7001, "too high")])
def test_a_strand_is_held_to_its_own_strength_though_the_sum_is_in_tolerance(
    share: float, standing: str
) -> None:
    """ASTM A416 15.24 mm: 260.7 kN; 0.70 of it 182.5 kN, published of suppliers' sheets."""
    assert strand("ASTM 15.24").strength == pytest.approx(STRENGTH, rel=1e-3)
    full = share * STRENGTH
    found = judged(full, (360.0 - full) / 2.0, (360.0 - full) / 2.0)
    assert found.standing == standing
    assert (strand_check(found).verdict is Verdict.PASS) == (standing == "in tolerance")
    if standing == "too high":
        assert "let strand 1 down" in found.next[0].words
        assert found.next[0].load == pytest.approx(120.0)


def test_a_strand_that_was_not_read_leaves_the_load_unknown() -> None:
    found = judged(120.0, 120.0, 120.0, strands=4)
    assert found.standing == "cannot be told"
    assert "the tendon has 4" in found.reason
    assert [n.action for n in found.next] == ["lift off"]
    assert judged(120.0, 120.0, 120.0, strands=3).standing == "in tolerance"
    assert judged(120.0, 120.0, 120.0).standing == "in tolerance"


def test_strands_that_lose_their_load_again_and_again_are_not_stressed_for_ever() -> None:
    assert [n.action for n in judged(110.0, 110.0, 110.0, restressed=2).next] == ["test again"]


def test_a_sum_that_is_not_that_of_the_strands_is_refused() -> None:
    with pytest.raises(DesignError, match="together"):
        judge_lift_off(
            LiftOff(anchor="A", load=350.0, strands=(120.0, 120.0, 120.0)), HELD, US_RULES,
            head="wedges",
        )  # fmt: skip
    strands = (120.0, 120.0, 120.0)
    assert LiftedOff(anchor="A", load=360.3, strands=strands).strands == strands
    with pytest.raises(DesignError, match="together"):
        LiftedOff(anchor="A", load=361.0, strands=strands)
    with pytest.raises(DesignError, match="together"):
        LockedOff(anchor="A", jack_load=300.0, strands=strands)


@pytest.mark.parametrize("system", list(UnitSystem))
def test_the_words_can_be_written_in_both_systems(system: UnitSystem) -> None:
    for loads in ((120.0, 120.0, 120.0), (90.0, 90.0, 100.0), (200.0, 80.0, 80.0)):
        for strands in (3, 4):
            found = judged(*loads, strands=strands)
            for text in (
                found.reason,
                *(n.words for n in found.next),
                *(c.note for c in found.checks),
            ):
                assert "{" not in expand(text, system)


def test_titles_tell_how_many_strands() -> None:
    assert strands_of("3 x 15.24 mm strand, ASTM A416 grade 270") == 3
    assert strands_of("12 x 15.7 mm strand, EN 10138-3 grade Y1860S7") == 12
    assert strands_of("1-1/4 in bar, ASTM A722 grade 150") is None
    assert strands_of("") is None
