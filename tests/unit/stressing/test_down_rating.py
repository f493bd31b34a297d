"""What an anchor that failed may carry: by half of what it held, or by what its test proved."""

from __future__ import annotations

import pytest

from backstay.errors import DesignError
from backstay.stressing.down_rating import down_rated
from backstay.stressing.rules_us import US_RULES


def test_half_the_load_held_or_what_the_test_proved() -> None:
    """540 kN held: half is 270 kN; over 1.33 it is 406 kN; 400 kN wanted lack 130 kN, or nothing."""
    by_rule = down_rated(540.0, wanted=400.0, design_load=450.0, test_factor=1.33, rules=US_RULES)
    assert (by_rule.load, by_rule.lock_off, by_rule.lacking) == pytest.approx((270, 270, 130))
    assert by_rule.share == pytest.approx(0.325)
    assert by_rule.clause is US_RULES.failed_lock_off.cite
    proven = down_rated(
        540.0, wanted=400.0, design_load=450.0, test_factor=1.33, rules=US_RULES, rate="proven"
    )
    assert (proven.load, proven.lock_off, proven.lacking) == pytest.approx((406.015, 270.0, 0.0))


def test_it_is_never_rated_above_its_design_load_and_nothing_held_is_nothing() -> None:
    high = down_rated(
        700.0, wanted=440.0, design_load=450.0, test_factor=1.33, rules=US_RULES, rate="proven"
    )
    assert high.load == 450.0
    for held in (None, 0.0):
        none = down_rated(held, wanted=400.0, design_load=450.0, test_factor=1.33, rules=US_RULES)
        assert (none.load, none.lock_off, none.lacking, none.share) == (0.0, 0.0, 400.0, 1.0)
        assert none.clause.provenance == "common practice"
    with pytest.raises(DesignError):
        down_rated(540.0, wanted=0.0, design_load=450.0, test_factor=1.33, rules=US_RULES)
