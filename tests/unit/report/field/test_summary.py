"""The summary of a wall: numbers by row, who needs what, and the elevation on the page."""

from __future__ import annotations

import io
from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest
from pypdf import PdfReader

from backstay.drawing.states import Face
from backstay.errors import DesignError
from backstay.quantity import UnitSystem
from backstay.report.field import write_summary
from backstay.report.field.summary import summary_bytes
from backstay.report.field.summary_rows import actions, row_table
from backstay.stressing.lift_off import judge_lift_off
from backstay.stressing.lock_off import LiftOff
from backstay.stressing.outliers import Outlier
from backstay.stressing.rules_us import US_RULES
from tests.unit.report.field.trials import TYPED, design_values, line, paper, wall

LINES = wall()
PAPERS = [
    paper("failed", anchor_name="A-1-004"), paper("performance", anchor_name="A-2-001"),
    paper("goes on", anchor_name="A-3-002"), paper("faulty", anchor_name="A-2-005"),
]  # fmt: skip
JUDGED = [(p.record, p.judgement) for p in PAPERS]
LOW = judge_lift_off(
    LiftOff(anchor="A-1-001", load=320.0), PAPERS[0].record.anchor, US_RULES, head="wedges",
    draw_in=0.006,
)  # fmt: skip
OUT = Outlier(
    anchor="A-1-004", what="creep", group="performance tests in granular, gravity", value=0.0031,
    median=0.0004, score=6.2,
)  # fmt: skip


def close(text: str) -> str:
    return "".join(text.split())


def text_of(content: bytes) -> str:
    return close(" ".join(p.extract_text() for p in PdfReader(io.BytesIO(content)).pages))


@pytest.mark.parametrize("units", list(UnitSystem))
def test_the_summary_says_numbers_actions_and_outliers(units: UnitSystem) -> None:
    content = summary_bytes(
        LINES, units, judged=JUDGED, lift_offs={"A-1-001": LOW}, outliers=[OUT],
        faces={"A": Face(60.0, 10.0)},
    )  # fmt: skip
    text = text_of(content)
    counts = Counter(x.state for x in LINES)
    assert f"{len(LINES)}anchors" in text
    for state, count in counts.items():
        assert close(f"{count} {state}") in text
    assert close("Lift-off too low") in text
    assert "re-stress" in text
    assert close("standard deviations") in text
    assert ("kN" in text) is (units is UnitSystem.SI)
    assert ("kip" in text) is (units is UnitSystem.US)


def test_every_row_adds_up() -> None:
    table = row_table(LINES, JUDGED)
    states = len(table.head) - 5
    for row in table.rows:
        numbers = [0 if c == "–" else int(c) for c in row[3 : 3 + states]]
        assert sum(numbers) == int(row[2])
    assert int(table.rows[-1][2]) == len(LINES)
    assert all(len(row) == len(table.head) == len(table.align) for row in table.rows)


def test_tests_done_are_told_apart_from_those_planned() -> None:
    done = line(1, 1, "accepted")
    begun = line(1, 2, "stressed")
    to_come = line(1, 3, "grouted")
    (row,) = row_table([done, begun, to_come], []).rows
    assert row[-2] == "performance 1 of 1, proof 0 of 2"


def test_the_criterion_used_most_is_named_with_its_anchor() -> None:
    (row,) = row_table([line(1, 4, "not accepted")], JUDGED).rows
    most = max(
        (c for c in PAPERS[0].judgement.checks if c.id != "test.load-reached"),
        key=lambda c: c.utilisation,
    )
    assert row[-1] == f"{100 * most.utilisation:.0f}%: {most.name}, A-1-004"


def test_who_asks_for_something_is_listed_and_nobody_else() -> None:
    quiet = [line(1, 1, "lifted off"), line(1, 2, "planned"), line(1, 3, "accepted")]
    assert actions(quiet, [], {}, UnitSystem.SI) == []
    stale = line(1, 5, "accepted", verdict_stale=True)
    loud = [line(1, 4, "not accepted"), stale, line(1, 6, "repaired"), line(1, 7, "replaced")]
    found = actions([*quiet, *loud], JUDGED, {"A-1-001": LOW}, UnitSystem.SI)
    assert [f["anchor"] for f in found] == [
        "A-1-001", "A-1-004", "A-1-005", "A-1-006", "A-2-001", "A-3-002", "A-2-005"
    ]  # fmt: skip
    assert [f["state"] for f in found[-3:]] == ["not in the register"] * 3


def test_a_failed_test_says_what_the_rules_allow_next() -> None:
    (found,) = actions([line(1, 4, "not accepted")], JUDGED[:1], {}, UnitSystem.SI)
    said = [n["action"] for n in found["next"]]  # type: ignore[index, attr-defined]
    assert said == [n.action for n in PAPERS[0].judgement.next]
    assert "Not accepted: Creep from 6 to 60 minutes" in found["why"][0]  # type: ignore[index]


def test_an_anchor_that_was_tested_again_counts_by_its_last_test() -> None:
    good = replace(
        PAPERS[1].record, anchor=replace(PAPERS[1].record.anchor, name="A-1-004")
    ), PAPERS[1].judgement  # fmt: skip
    line_ = line(1, 4, "accepted")
    assert actions([line_], [JUDGED[0], good], {}, UnitSystem.SI) == []


def test_an_anchor_without_a_known_place_is_drawn_not_to_scale() -> None:
    lines = [line(1, n, "planned", design=design_values(station=None, depth=None)) for n in (1, 2)]
    assert close("Not to scale") in text_of(summary_bytes(lines, UnitSystem.SI))


def test_replaced_and_trial_anchors_are_said_to_be_left_out() -> None:
    lines = [
        line(1, 1, "replaced", replaced_by="A-1-025"),
        line(1, 25, "planned", replaces="A-1-001", design=design_values(station=1.25, depth=2.0)),
        line(1, 2, "planned"), line(1, 3, "accepted", trial=True, anchor="A-1-T01"),
    ]  # fmt: skip
    text = text_of(summary_bytes(lines, UnitSystem.SI))
    assert close("1 replaced, drawn as those in their place.") in text
    assert close("1 trial anchors are not drawn.") in text


def test_typed_names_are_text(tmp_path: Path) -> None:
    lines = [replace(x, part=TYPED) for x in LINES[:3]]
    path = write_summary(lines, tmp_path / "s.pdf", UnitSystem.SI)
    assert close(TYPED) in text_of(path.read_bytes())


def test_a_long_wall_is_summed_up_as_well() -> None:
    content = summary_bytes(wall(200, 3), UnitSystem.SI, faces={"A": Face(500.0, 10.0)})
    assert close("band 1 of") in text_of(content)


def test_an_empty_register_is_refused(tmp_path: Path) -> None:
    with pytest.raises(DesignError, match="no anchor"):
        write_summary([], tmp_path / "s.pdf", UnitSystem.SI)
    assert not list(tmp_path.iterdir())
