"""Rules of the load tests: values of a size that occurs, and of the practice that is chosen."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Any

from backstay.model.document import Path
from backstay.model.rules.rule import Breach, Say
from backstay.model.testing import CreepRule, LoadTests, TimesRule
from backstay.quantity import UnitSystem

_OF_US = (
    "first_performance", "performance_share", "extended_creep_tests", "hold", "extended_hold",
    "extended_readings", "creep_first", "creep_extended", "creep_regrouted",
)  # fmt: skip
_OF_EN = (
    "suitability_tests", "investigation_tests", "stepped_creep", "load_loss_rate",
    "free_length_greatest",
)  # fmt: skip
_SIZES: tuple[tuple[str, str, float, float], ...] = (
    ("performance_share", "ratio", 0.0, 1.0),
    ("alignment_share", "ratio", 0.02, 0.25),
    ("hold", "minutes", 1.0, 120.0),
    ("extended_hold", "minutes", 10.0, 1440.0),
    ("creep_rate", "small length", 1e-4, 0.01),
    ("stepped_creep", "small length", 1e-4, 0.01),
    ("load_loss_rate", "ratio", 0.001, 0.2),
    ("free_length_least", "ratio", 0.5, 1.0),
    ("free_length_bond", "ratio", 0.0, 1.0),
    ("free_length_greatest", "ratio", 1.0, 1.5),
    ("test_stress", "ratio", 0.4, 0.80),
    ("lock_off_stress", "ratio", 0.3, 0.70),
    ("lock_off_least", "ratio", 0.1, 1.2),
    ("lock_off_greatest", "ratio", 0.5, 1.3),
    ("lift_off_tolerance", "ratio", 0.005, 0.25),
    ("load_tolerance", "ratio", 0.002, 0.10),
    ("gauge_agreement", "ratio", 0.01, 0.25),
    ("gauge_accuracy", "ratio", 0.002, 0.10),
    ("calibration_days", "count", 1.0, 365.0),
    ("calibration_months", "count", 1.0, 24.0),
    ("regroutings", "count", 0.0, 5.0),
    ("failed_lock_off", "ratio", 0.1, 1.0),
    ("suitability_tests", "count", 3.0, 1000.0),
)
"""Key, quantity, and the least and greatest size that occurs; 0.80 and 0.70 of the strength are the
greatest that any practice here allows on a tendon, and three suitability tests the fewest."""
_CREEP = ("creep_first", "creep_extended", "creep_regrouted")
_READINGS = ("readings", "extended_readings")


def testing_rules(tests: LoadTests, units: UnitSystem) -> list[Breach]:
    """Return what is wrong with the load tests of a project."""
    say = Say(units)
    found = [*_practice(tests), *_sizes(tests, say), *_times(tests), *_limits(tests, say)]
    return [b.under(("tests",)) for b in found]


def _place(tests: LoadTests, key: str) -> tuple[Path, Any]:
    """Return where the value of a key stands, and the value (None where it is not given)."""
    said = getattr(tests, key)
    inner = "values" if isinstance(said, TimesRule) else "value"
    return ((key, inner), getattr(said, inner)) if hasattr(said, inner) else ((key,), said)


def _practice(tests: LoadTests) -> Iterator[Breach]:
    if tests.practice == "US" and tests.method != "held load":
        yield Breach(
            ("method",), "the US tests hold the load", '"held load"',
            "methods 2 and 3 are of EN ISO 22477-5: practice: EN",
        )  # fmt: skip
    other, keys = ("EN", _OF_EN) if tests.practice == "US" else ("US", _OF_US)
    for key in keys:
        if getattr(tests, key) is not None:
            yield Breach(
                (key,), f"this belongs to the practice {other}, and the practice here is {tests.practice}",
                hint=f"leave {key} out, or set practice to {other}",
            )  # fmt: skip
    if tests.practice == "EN" and tests.residual_movement == "not measured":
        yield Breach(("residual_movement",), "the tests of EN measure the residual", '"measured"')


def _sizes(tests: LoadTests, say: Say) -> Iterator[Breach]:
    for key, quantity, low, high in _SIZES:
        path, value = _place(tests, key)
        if value is not None and not low - 1e-12 <= value <= high + 1e-12:
            yield Breach(
                path, "this size does not occur", f"{say(quantity, low)} to {say(quantity, high)}"
            )
    path, least = _place(tests, "lock_off_least")
    _, most = _place(tests, "lock_off_greatest")
    if least is not None and most is not None and least > most:
        yield Breach(
            path, "the least lock-off load is above the greatest", f"at most {say('ratio', most)}"
        )
    path, longer = _place(tests, "extended_hold")
    _, hold = _place(tests, "hold")
    if longer is not None and hold is not None and longer <= hold:
        yield Breach(
            path, "an extended hold is longer than the hold", f"more than {say('minutes', hold)}"
        )


def _times(tests: LoadTests) -> Iterator[Breach]:
    for key in _READINGS:
        path, minutes = _place(tests, key)
        yield from _rising(path, minutes or ())


def _rising(path: Path, minutes: Sequence[float]) -> Iterator[Breach]:
    for k, (earlier, later) in enumerate(pairwise(minutes), start=1):
        if later <= earlier:
            yield Breach((*path, k), "readings run forward in time", f"more than {earlier:g} min")


def _limits(tests: LoadTests, say: Say) -> Iterator[Breach]:
    for key in _CREEP:
        limit: CreepRule | None = getattr(tests, key)
        if limit is None:
            continue
        if limit.end <= limit.start:
            yield Breach(
                (key, "end"),
                "the movement counts from start to end",
                f"more than {limit.start:g} min",
            )
        if not 1e-4 <= limit.movement <= 0.02:
            yield Breach(
                (key, "movement"), "this size does not occur",
                f"{say('small length', 1e-4)} to {say('small length', 0.02)}", "check the unit",
            )  # fmt: skip
