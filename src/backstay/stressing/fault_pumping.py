"""Loads brought up too slowly, where the readings carry clock times.

Creep begins while the load is still coming up. An increment that takes long lets part of it pass
before the minutes of the hold begin, and they show too little. Nothing is told without clock
times, nor where the stay before may last as long as it likes: the clock then shows no pumping.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from backstay.basis import Factor
from backstay.stressing.fault_holds import step_words
from backstay.stressing.findings import Finding
from backstay.stressing.judged_steps import top_step
from backstay.stressing.record import Reading, TestRecord
from backstay.stressing.rules import TestRules, UsLoading
from backstay.stressing.stays import Place

_SECOND = 1.0 / 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SlowIncrement:
    """A load that was reached too late. Times in minutes.

    number: of the reading on arrival; step, again, hold: as in `Place`; taken: by the clock, since
    the last reading at the load before; stay: of it, what was left of the stay there at most.
    """

    number: int
    step: int
    again: int
    hold: int
    taken: float
    stay: float


def pumping_rule(rules: TestRules) -> Factor | None:
    """Return the minutes that the rules give to an increment; None where they give none."""
    return rules.loading.pumping if isinstance(rules.loading, UsLoading) else None


def slow_increments(
    record: TestRecord, rules: TestRules, placed: Sequence[Place]
) -> tuple[SlowIncrement, ...]:
    """Return the increments that took longer, by the clock, than stay and pumping together may.

    Clock times in whole minutes may be a minute off each other, and get it.
    """
    rule = pumping_rule(rules)
    if rule is None:
        return ()
    steps = record.procedure.steps
    division = _division(record.readings)
    found = []
    pairs = list(zip(record.readings, placed, strict=True))
    for (earlier, before), (later, place) in pairwise(pairs):
        if before.step is None or place.step is None or before.step == place.step:
            continue
        most = steps[before.step].most
        if most is None or not steps[place.step].up or earlier.at is None or later.at is None:
            continue
        if later.minute > 0.0 and _counts_pumping(record, rules, place.step):
            continue
        taken = (later.at - earlier.at).total_seconds() / 60.0 - later.minute
        stay = max(0.0, most - earlier.minute)
        if taken - division > (stay + rule.value) * (1.0 + 1e-9):
            found.append(
                SlowIncrement(
                    number=later.number, step=place.step, again=place.again, hold=place.hold,
                    taken=taken, stay=stay,
                )
            )  # fmt: skip
    return tuple(found)


def _counts_pumping(record: TestRecord, rules: TestRules, step: int) -> bool:
    """Say whether the minutes of a step count from when pumping left the load before it."""
    return rules.clock.value == "pumping begins" and step == top_step(record.procedure)


def _division(readings: Sequence[Reading]) -> float:
    """Return to how many minutes the clock was written down."""
    times = [r.at for r in readings if r.at is not None]
    whole = all(at.second == 0 and at.microsecond == 0 for at in times)
    return 1.0 if whole else _SECOND


def late_by(
    slow: Sequence[SlowIncrement], placed: Sequence[Place], step: int
) -> SlowIncrement | None:
    """Return the increment by which the last hold of a step began too late, None where it did not."""
    last = max((p.hold for p in placed if p.step == step and not p.again), default=0)
    return next(
        (s for s in slow if (s.step, s.again, s.hold) == (step, 0, last)),
        None,
    )


def pumping_faults(
    record: TestRecord, rules: TestRules, slow: Sequence[SlowIncrement]
) -> Iterator[Finding]:
    """Yield the increments that took too long."""
    rule = pumping_rule(rules)
    if rule is None:
        return
    for one in slow:
        stay = f" after a stay of {one.stay:g} more at most" if one.stay else ""
        yield Finding(
            code="slow loading", words=f"{step_words(record.procedure.steps[one.step])} was reached "
            f"{one.taken:.3g} minutes after the last reading at the load before, by the clock; the "
            f"rules give {rule.value:g} to pumping{stay}",
            effect="as read; creep passed while the load came up, and the minutes after it show the less",
            readings=(one.number,), cite=rule.cite,
        )  # fmt: skip
