"""The short list of checks: nothing that fails is folded away, and nothing is lost."""

from __future__ import annotations

from pathlib import Path

import pytest

from backstay.checks import Check, Sense, Verdict
from backstay.cite import STATICS
from backstay.design import design
from backstay.model import read_project
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.tables import alike, comparison_words, kinds_table, place_words

EXAMPLES = sorted((Path(__file__).parents[3] / "examples").glob("*.yaml"))


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.stem)
def test_every_check_is_in_one_group_and_what_fails_is_alone(path: Path) -> None:
    for done in design(read_project(path)).sections:
        groups = alike(done.checks)
        assert sorted(map(id, done.checks)) == sorted(id(c) for g in groups for c in g)
        for group in groups:
            assert len({c.name for c in group}) == 1
            assert max(c.utilisation for c in group) == group[0].utilisation
            if group[0].verdict is not Verdict.PASS:
                assert len(group) == 1
        table = kinds_table(done.checks, UnitSystem.SI)
        failing = [row for row in table.rows if row[-1] == "fail"]
        assert len(failing) == sum(c.verdict is Verdict.FAIL for c in done.checks)
        for name, *_ in table.rows:
            assert name[0].isupper()


def check(name: str, quantity: str, demand: float, limit: float, where: str = "") -> Check:
    return Check("x", name, demand, limit, QUANTITIES[quantity], STATICS, Sense.AT_MOST, where)


def test_a_limit_of_rounding_is_said_in_words() -> None:
    assert comparison_words(check("a", "ratio", 0.0, 1e-9), UnitSystem.SI) == "equal, to rounding"
    assert comparison_words(check("a", "ratio", 0.02, 1e-9), UnitSystem.SI) == "differ by 2%"


def test_counts_are_whole() -> None:
    assert comparison_words(check("a", "count", 4, 20), UnitSystem.US) == "4, at most 20"


def test_a_place_does_not_repeat_the_name() -> None:
    both = check("Clearance to Water main, 16 in", "length", 1, 2, "row 1, Water main, 16 in")
    assert place_words(both) == "row 1"
    assert place_words(check("Tendon", "force", 1, 2, "row 1")) == "row 1"
