"""What a design means for the register, and what is next for an anchor by how far it is."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import get_args

import pytest

from backstay.design import design
from backstay.drawing.along import stations
from backstay.fieldbook.next_in_life import next_in_life
from backstay.fieldbook.registering import anchors_of, put_in
from backstay.fieldbook.trying import recording
from backstay.records.entries import State
from backstay.records.facts import Remark
from backstay.records.refusal import RefusedError
from tests.unit.workbench.field.wall import PART, wall


def test_a_register_that_is_as_the_design_has_nothing_new(tmp_path: Path) -> None:
    work = wall(tmp_path)
    done = design(work.project, slip_surfaces="leave out")
    with work.records() as records:
        found = anchors_of(done, work.rules, records.register(), stations(done))
        assert (len(found.new), found.before, found.changed, found.gone) == (0, 46, (), ())
        number = records.last()
        put_in(found, records, by="me", on=None, reason="nothing")
        assert records.last() == number


def test_new_changed_and_gone_anchors_are_told_apart(tmp_path: Path) -> None:
    work = wall(tmp_path)
    done = design(work.project, slip_surfaces="leave out")
    with work.records() as records:
        lines = list(records.register())
    stranger = replace(lines[0], anchor="B-9-001", part="B", row=9)
    other = replace(lines[1], design=replace(lines[1].design, design_load=1.0))
    rated = replace(
        lines[2], design=replace(lines[2].design, project="down-rated", design_load=2.0)
    )
    register = [stranger, other, rated, *lines[3:]]
    found = anchors_of(done, work.rules, register, stations(done))
    assert [one.anchor for one in found.new] == [f"{PART}-1-001"]
    assert [one.anchor for one in found.changed] == [f"{PART}-1-002"]
    assert found.down_rated == (f"{PART}-1-003",)
    assert found.gone == ("B-9-001",)


def test_a_trial_tells_what_would_not_fit_and_leaves_nothing(tmp_path: Path) -> None:
    work = wall(tmp_path)
    with work.records() as records:
        number = records.last()
        with recording(records, by="me", course="try") as together:
            together.add(Remark(text="tried", anchor=f"{PART}-1-001"))
        assert records.last() == number
        with (
            pytest.raises(RefusedError),
            recording(records, by="me", course="try") as together,
        ):
            together.add(Remark(text="tried", anchor="nobody"))
        with recording(records, by="me", course="record") as together:
            together.add(Remark(text="kept", anchor=f"{PART}-1-001"))
        assert records.last()[0] == number[0] + 1


@pytest.mark.parametrize("state", get_args(State))
def test_every_state_says_what_is_next(tmp_path: Path, state: State) -> None:
    work = wall(tmp_path)
    with work.records() as records:
        line = replace(records.register()[0], state=state)
    assert next_in_life(line)
    assert "sign it" in next_in_life(replace(line, verdict_stale=True))
    if state == "grouted":
        assert next_in_life(line).endswith("performance test")
