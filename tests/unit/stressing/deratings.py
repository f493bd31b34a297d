"""The walls of the examples with an anchor down-rated, for tests and timing."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

from backstay.checks import Check
from backstay.design import Design, SectionDesign, design
from backstay.model.reading import read_project
from backstay.stressing.derating import Derating, derate
from backstay.stressing.down_rating import DownRated, down_rated
from backstay.stressing.project_rules import rules_of
from backstay.stressing.rules_us import US_RULES

EXAMPLES = Path(__file__).parents[3] / "examples"
WALLS = ("two-row-sand", "three-row-layered-water", "single-row-stiff-clay")
SLOPE = "slopes/landslide-three-rows"


@cache
def designed(name: str) -> Design:
    return design(read_project(EXAMPLES / f"{name}.yaml"), slip_surfaces="leave out")


def part(name: str) -> SectionDesign:
    return designed(name).sections[0]


def derated(name: str, anchor: str, held: float | None, **changes: Any) -> Derating:
    made = designed(name)
    return derate(made, anchor, held, rules_of(made.project), **changes)


def rated(load: float, wanted: float = 400.0, lock_off: float | None = None) -> DownRated:
    """Return a down-rating to a load, whatever was held."""
    whole = down_rated(2.0 * load, wanted=wanted, design_load=1e6, test_factor=1.33, rules=US_RULES)
    return replace(whole, lock_off=load if lock_off is None else lock_off)


def one(checks: tuple[Check, ...], name: str, where: str = "") -> Check:
    return next(c for c in checks if c.id == name and c.where.startswith(where))
