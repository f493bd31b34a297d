"""After the lock-off the page says what the command says: seating, load with time, and what to do."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

from typer.testing import CliRunner

from backstay.cli import app
from backstay.fieldbook.judged import judged_tests
from backstay.model.reading import read_project
from backstay.records.facts import LoadRead
from backstay.records.store import open_records
from backstay.stressing.project_rules import rules_of
from tests.unit.workbench.jack.proof import proof
from tests.unit.workbench.jack.site import ANCHOR, DAY, Client, begin, client, entry, us

LATER = DAY + timedelta(minutes=40)
KIP = 4.4482216
"""kN"""


def locked(asks: Client, gauge: str, seating: str) -> None:
    """Test the anchor, and lock it off."""
    lock = entry(
        "lock-off", LATER, gauge=us(gauge), seating=us(seating), exception="agreed by radio"
    )
    answer = asks.send(begin(), *proof(), entry("close", DAY + timedelta(minutes=30)), lock)
    assert {one["state"] for one in answer.json()["results"]} == {"stored"}


def test_before_the_lock_off_there_is_nothing_to_say(wall: Path) -> None:
    with client(wall) as asks:
        asks.send(begin(), *proof())
        shown = asks.standing()["in"]["US"]
    assert shown["since"] is None
    assert shown["load"] == ""


def test_the_seating_is_held_against_what_was_foreseen(wall: Path) -> None:
    with client(wall) as asks:
        locked(asks, "5831", "0.24")
        shown = asks.standing()["in"]
    since = shown["US"]["since"]
    assert "was left after seating (by the draw-in measured)" in since["words"][0]
    assert "a draw-in of 0.24" in since["words"][0]
    assert "was predicted" in since["words"][0]
    assert since["sound"]
    assert since["fails"] == []
    assert [c["verdict"] for c in since["checks"]].count("fail") == 0
    assert "kN" in shown["SI"]["since"]["words"][0]


def test_a_load_far_from_what_is_wanted_is_no_plain_acceptance(wall: Path) -> None:
    with client(wall) as asks:
        locked(asks, "3000", "0.24")
        shown = asks.standing()["in"]["US"]
    assert shown["decision"] == "accepted"
    assert shown["load"] == "lock-off not in tolerance"
    assert not shown["since"]["sound"]
    assert shown["since"]["fails"]
    assert any("fail" == c["verdict"] for c in shown["since"]["checks"])
    assert shown["since"]["next"][0]["words"]


def test_a_load_that_is_lost_with_time_is_said_over_a_good_lift_off(wall: Path) -> None:
    with client(wall) as asks:
        locked(asks, "5831", "0.24")
        asks.send(entry("lift-off", LATER + timedelta(minutes=5), gauge=us("5100")))
        assert asks.standing()["in"]["US"]["load"] == ""
        with open_records(wall / "wall.records") as records:
            for hours, load in ((1, 90.0), (10, 60.0)):
                fact = LoadRead(anchor=ANCHOR, load=load * KIP, cell="LC-1")
                records.add(fact, by="R. Field", on=LATER + timedelta(hours=hours))
            rules = rules_of(read_project(wall / "wall.yaml"))
            judged = next(judged_tests(records, rules, [records.anchor(ANCHOR).line]))
        shown = asks.standing()["in"]["US"]
    assert judged.after is not None
    assert shown["load"] == judged.standing == "load not kept"
    assert shown["lift_off"]["before"] is True
    assert any("lift the anchor off" in n["words"].lower() for n in shown["since"]["next"])
    # what the page says is on the screen of the command as well
    said = CliRunner().invoke(app, ["field", "judge", f"{wall / 'wall.yaml'}", "1-4"])
    plain = " ".join(said.output.replace("\n", " ").split())
    assert "LOAD NOT KEPT" in plain
    for words in (*shown["since"]["words"], *(n["words"] for n in shown["since"]["next"])):
        assert " ".join(words.split()) in plain


def test_a_remark_is_recorded_once_and_shown(wall: Path) -> None:
    said = entry("remark", text="  wedges <b>cleaned</b>  ")
    with client(wall) as asks:
        first = asks.send(said).json()["results"][0]
        again = asks.send(said).json()["results"][0]
        assert (first["state"], first["before"], again["before"]) == ("stored", False, True)
        shown = asks.standing()["remarks"]
        assert [(r["text"], r["by"]) for r in shown] == [("wedges <b>cleaned</b>", "R. Field")]
        assert datetime.fromisoformat(shown[0]["at"]).astimezone(UTC) == DAY
        blank = asks.send(entry("remark", text="   ")).json()["results"][0]
        assert blank["state"] == "refused"
        asks.send(begin(), {**proof()[0], "remark": "gauge taps"})
        assert asks.standing()["readings"][0]["remark"] == "gauge taps"
        assert len(asks.standing()["remarks"]) == 1
