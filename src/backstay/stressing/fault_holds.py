"""Faults of the holds: steps left out or cut short, minutes missed, loads not kept.

A test that does not go through its whole procedure may show that an anchor fails; it never shows
that one holds.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence

from backstay.cite import Citation, common_practice
from backstay.stressing.findings import Finding, refused
from backstay.stressing.procedure import Procedure, TestStep
from backstay.stressing.record import Reading, TestRecord
from backstay.stressing.rules import TestRules
from backstay.stressing.stays import Place, Stay

CUT_SHORT = 0.05
"""Minutes by which a hold may be short without being called so."""
OFF_TARGET = 0.10
"""Share by which a load on the way may be off its target without being doubted."""
_INCOMPLETE = common_practice("an incomplete test is not accepted")
_TARGET = common_practice("a load far from its target was misread or belongs to another step")
_HELD = Citation("EN ISO 22477-5:2018", "load kept constant while it is held", "memory")


def near(minute: float, wanted: float) -> bool:
    """Say whether a reading stands for a minute of the procedure: within 5 %, or six seconds."""
    return abs(minute - wanted) <= max(0.1, 0.05 * wanted)


def _was_read(read: Sequence[float], wanted: float) -> bool:
    """Say whether a minute of the procedure was read. read: minutes, rising."""
    after = bisect_left(read, wanted)
    return any(near(read[i], wanted) for i in (after - 1, after) if 0 <= i < len(read))


def repeated(
    readings: Sequence[Reading], placed: Sequence[Place]
) -> tuple[tuple[int, ...], tuple[Finding, ...]]:
    """Return the positions of readings entered twice alike, and findings for those and others.

    Readings of one step, phase and minute that differ are refused, unless they lie one after the
    other with dials apart (a dial set back: see `corrections`).
    """
    seen: dict[tuple[Place, str, float], int] = {}
    twice: list[int] = []
    apart: list[int] = []
    for i, (reading, place) in enumerate(zip(readings, placed, strict=True)):
        key = (place, reading.phase, reading.minute)
        if key not in seen:
            seen[key] = i
            continue
        first = readings[seen[key]]
        same = (first.gauge, first.load, first.dials, first.reference)
        if same == (reading.gauge, reading.load, reading.dials, reading.reference):
            twice.append(i)
        elif i != seen[key] + 1 or _small(first, reading):
            apart += [first.number, reading.number]
    found = []
    if twice:
        found.append(
            Finding(
                code="duplicate reading", words="entered twice alike", effect="counted once",
                readings=tuple(readings[i].number for i in twice),
            )
        )  # fmt: skip
    if apart:
        found.append(
            refused(
                "duplicate reading", "two readings of one load and minute differ",
                "withdraw the one that is wrong; it is kept with the reason",
                *dict.fromkeys(apart),
            )
        )  # fmt: skip
    return tuple(twice), tuple(found)


def _small(first: Reading, second: Reading) -> bool:
    """Say whether two readings differ by less than a dial set back would make them."""
    if len(first.dials) != len(second.dials) or not first.dials:
        return True
    return max(abs(a - b) for a, b in zip(first.dials, second.dials, strict=True)) <= 0.001


def hold_faults(
    record: TestRecord, rules: TestRules, visited: Sequence[Stay], judged: frozenset[int]
) -> Iterator[Finding]:
    """Yield what is wrong with the holds.

    judged: numbers of the steps whose hold a criterion rests on.
    """
    steps = record.procedure.steps
    own = [stay for stay in visited if not stay.again]
    reached = max((stay.index for stay in own), default=-1)
    over = len(steps) - 1 if record.closed else reached
    there = {stay.index for stay in own}
    left = [i for i in range(over + 1) if i not in there]
    if left:
        yield Finding(
            code="skipped hold", words="the procedure asks for "
            + "; ".join(step_words(steps[i]) for i in left[:4])
            + (f" and {len(left) - 4} more" if len(left) > 4 else "") + ", not read",
            effect="as far as it goes; the test is incomplete and the anchor is not accepted by it",
            withholds=True, cite=_INCOMPLETE,
        )  # fmt: skip
    latest = {stay.index: stay for stay in own}
    anew = [stay for stay in own if latest[stay.index] is not stay]
    if anew:
        yield Finding(
            code="held anew", words="the load was brought up again and held from the start",
            effect="by the last hold", readings=tuple(p.number for stay in anew for p in stay.points),
        )  # fmt: skip
    for stay in latest.values():
        ended = record.closed or stay.index < reached
        yield from _times(stay, ended=ended, judged=stay.index in judged)
        yield from _target(stay, record.procedure, rules)
        if not _losing(record.procedure):
            yield from _drop(stay, rules, judged=stay.index in judged)
    extra = [stay for stay in visited if stay.again]
    if extra:
        yield Finding(
            code="extra cycle", words="the last cycle was run again",
            effect="with the elastic movement of the last time",
            readings=tuple(p.number for stay in extra for p in stay.points),
        )  # fmt: skip


def step_words(step: TestStep) -> str:
    """Return a step in words."""
    way = "up to" if step.up else "down to"
    return f"cycle {step.cycle}, {way} {step.share:g} ({{force:{step.load:.9g}}})"


def _times(stay: Stay, *, ended: bool, judged: bool) -> Iterator[Finding]:
    """Yield a hold cut short, held too long, and minutes that were not read."""
    step, held = stay.step, stay.held
    numbers = tuple(p.number for p in stay.points)
    if ended and held < step.hold - CUT_SHORT:
        yield Finding(
            code="short hold", words=f"{step_words(step)} was held {held:g} of {step.hold:g} "
            "minutes", effect="as far as it goes; the test is incomplete and the anchor is not "
            "accepted by it", readings=numbers[-1:], withholds=True, cite=_INCOMPLETE,
        )  # fmt: skip
    if step.most is not None and held > step.most + CUT_SHORT:
        yield Finding(
            code="long hold", words=f"{step_words(step)} was held {held:g} minutes, "
            f"{step.most:g} at most", effect="as read; creep at this load adds to the movement at "
            "the next", readings=numbers[-1:],
        )  # fmt: skip
    wanted = [m for m in step.readings if m > 0.0]
    if held > step.hold + CUT_SHORT:
        wanted += step.extended
    read = sorted(p.minute for p in stay.points)
    missed = [m for m in wanted if m < held - CUT_SHORT and not _was_read(read, m)]
    if missed:
        minutes = ", ".join(f"{m:g}" for m in missed)
        yield Finding(
            code="missing minute", words=f"{step_words(step)}: minute {minutes} not read",
            effect="with the readings there are; a minute that a limit counts from or to is found "
            "between its neighbours where they are near enough, else there is no verdict"
            if judged else "with the readings there are", readings=numbers[:1],
        )  # fmt: skip


def _target(stay: Stay, procedure: Procedure, rules: TestRules) -> Iterator[Finding]:
    """Yield loads far from what their step aims at."""
    aim = stay.step.load
    floor = procedure.test_load * rules.gauge_accuracy.value
    off = [p.number for p in stay.points if abs(p.load - aim) > max(OFF_TARGET * aim, floor)]
    if off and not _losing(procedure):
        yield Finding(
            code="off target", words=f"{step_words(stay.step)}: the load read is off by more than "
            f"{{percent:{OFF_TARGET:g}}}", effect="with the loads as read", readings=tuple(off),
            cite=_TARGET,
        )  # fmt: skip


def _losing(procedure: Procedure) -> bool:
    """Say whether the load is meant to fall while it is held: at constant length, by method 2."""
    return procedure.method == "lock-off"


def _drop(stay: Stay, rules: TestRules, *, judged: bool) -> Iterator[Finding]:
    """Yield a load that fell while it was held."""
    timed = stay.timed
    if len(timed) < 2:
        return
    allowed = rules.load_tolerance
    floor = timed[0].load * (1.0 - allowed.value)
    low = tuple(p.number for p in timed[1:] if p.load < floor * (1.0 - 1e-9))
    if not low:
        return
    least = min(p.load for p in timed)
    hides = (
        "; creep of this hold is doubtful, because the tendon shortens as the load falls: pump "
        "back to the load and hold it for the whole time anew"
        if judged
        else ""
    )
    yield Finding(
        code="load drop", words=f"{step_words(stay.step)}: the load fell from "
        f"{{force:{timed[0].load:.9g}}} to {{force:{least:.9g}}} while it was held",
        effect=f"with the loads as read{hides}", readings=low, withholds=judged,
        cite=allowed.cite if judged else _HELD,
    )  # fmt: skip
