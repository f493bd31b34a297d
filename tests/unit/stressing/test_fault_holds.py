"""Holds: left out, cut short, fallen, begun anew, too long or off their target."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.unit.stressing.faulty import PERFORMANCE, PROOF, finding, judged, number, whole
from tests.unit.stressing.invented import anchor
from tests.unit.stressing.synthetic import Model, altered, record_of, without


def test_a_step_left_out_is_incomplete_and_never_accepted() -> None:
    record = whole()
    gone = without(record, *(r.number for r in record.readings if r.target == 0.75))
    found = finding(gone, "skipped hold")
    assert found.withholds
    assert "0.75" in found.words
    assert judged(gone).decision == "cannot be judged"


def test_a_hold_cut_short_is_incomplete_and_never_accepted() -> None:
    record = whole()
    short = without(record, number(record, 1.33, 10.0))
    assert finding(short, "short hold").withholds
    assert judged(short).decision == "cannot be judged"


def test_a_missing_minute_inside_the_hold_is_said() -> None:
    record = whole()
    gap = without(record, number(record, 1.33, 5.0))
    found = finding(gap, "missing minute")
    assert (found.consequence, found.withholds) == ("judged", False)
    assert "minute 5" in found.words
    assert judged(gap).decision == "accepted"


def test_the_first_minute_missed_leaves_no_verdict() -> None:
    record = whole()
    gap = without(record, number(record, 1.33, 1.0))
    result = judged(gap)
    assert result.decision == "cannot be judged"
    assert any("cannot be had" in o.words for o in result.waiting)


def test_a_minute_a_limit_counts_to_is_found_between_its_neighbours() -> None:
    record = whole()
    at = number(record, 1.33, 10.0)
    late = altered(record, at, minute=12.0, at=None)
    result = judged(late)
    check = next(c for c in result.checks if c.id == "test.creep-1-10")
    assert "minute 10 was not read" in check.note
    assert "missing minute" in [f.code for f in result.findings]


@pytest.mark.parametrize(("share", "decision"), [(0.02, "accepted"), (0.021, "cannot be judged")])
def test_a_fall_of_load_in_the_judged_hold(share: float, decision: str) -> None:
    """At the tolerance the load is held; beyond it creep is doubtful. A short stiff free length
    keeps what the fall may hide below the limit of creep, so that only the fall itself decides."""
    model = Model(anchor=anchor(free_length=1.0, area=840e-6), creep=0.0001)
    record = record_of(model, PROOF)
    at = number(record, 1.33, 10.0)
    P_0, area = record.jack.calibration.line
    fallen = altered(record, at, gauge=(598.5 * (1.0 - share) - P_0) / area)
    result = judged(fallen)
    assert result.decision == decision
    assert ("load drop" in {f.code for f in result.findings}) == (share > 0.02)


def test_a_fall_within_tolerance_that_may_hide_too_much_withholds_acceptance() -> None:
    """1.9 % of 598.5 kN over 6 m hides 0.83 mm: 0.3 mm of creep read may be 1.1 mm."""
    record = whole()
    at = number(record, 1.33, 10.0)
    P_0, area = record.jack.calibration.line
    fallen = altered(record, at, gauge=(598.5 * 0.981 - P_0) / area)
    found = finding(fallen, "hidden creep")
    assert found.withholds
    assert judged(fallen).decision == "cannot be judged"
    little = altered(record, at, gauge=(598.5 * 0.99 - P_0) / area)
    assert judged(little).decision == "accepted"


def test_a_hold_begun_anew_counts_from_its_own_start() -> None:
    record = record_of(Model(creep=0.0005), PERFORMANCE)
    at = number(record, 1.33, 10.0)
    P_0, area = record.jack.calibration.line
    fallen = altered(record, at, gauge=(598.5 * 0.95 - P_0) / area)
    assert judged(fallen).decision == "cannot be judged"
    hold = [r for r in record.readings if r.target == 1.33]
    shift = hold[-1].dials[0] - hold[0].dials[0]
    anew = tuple(
        replace(
            r, number=at + 1 + k, dials=tuple(d + shift for d in r.dials), at=None,
        )
        for k, r in enumerate(hold)
    )  # fmt: skip
    rest = tuple(
        replace(r, number=r.number + len(anew), at=None, dials=tuple(d + shift for d in r.dials))
        for r in record.readings[at:]
    )
    again = replace(fallen, readings=(*fallen.readings[:at], *anew, *rest))
    result = judged(again)
    assert "held anew" in {f.code for f in result.findings}
    assert result.decision == "accepted"


def test_a_step_held_too_long_is_said() -> None:
    record = record_of(Model(), PERFORMANCE)
    at = number(record, 1.20, 0.0)
    wait = replace(record.readings[at - 1], number=at + 1, phase="hold", minute=4.0, at=None)
    rest = tuple(replace(r, number=r.number + 1) for r in record.readings[at:])
    longer = replace(record, readings=(*record.readings[:at], wait, *rest))
    assert finding(longer, "long hold").consequence == "judged"


def test_a_load_far_from_its_target_is_said() -> None:
    record = whole()
    off = altered(record, 4, gauge=(record.readings[3].gauge or 0.0) * 0.8)
    found = finding(off, "off target")
    assert found.readings == (4,)


def test_a_minute_missed_in_the_longer_part_of_the_hold_is_said() -> None:
    """To 60 minutes: 15, 20, 25, 30, 45, 60 are to be read as well, and nothing of it within ten."""
    record = record_of(Model(creep=0.0012), PROOF, extended=True)
    assert "missing minute" not in {f.code for f in judged(record).findings}
    gone = without(record, number(record, 1.33, 30.0))
    found = finding(gone, "missing minute")
    assert "minute 30 not read" in found.words
    assert "between its neighbours" in found.effect, "the judged hold"
    assert not found.withholds
