"""The stressing page over a database of a team: entries and corrections, and a server that stops."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from backstay.records.facts import LiftedOff
from backstay.records.store import Records, open_records
from backstay.stressing.record import Reading
from tests.postgres import Server, server
from tests.unit.workbench.jack.proof import proof
from tests.unit.workbench.jack.site import ANCHOR, DAY, OTHER, begin, client, entry, us
from tests.unit.workbench.jack.test_entries import stored
from tests.unit.workbench.team import moved

LATER = DAY + timedelta(minutes=40)


@pytest.fixture
def url(wall: Path, postgres: Server) -> str:
    made = moved(wall / "wall.records", postgres)
    (wall / "wall.records").unlink()
    return made


def reading(records: Records, number: int) -> Reading:
    return next(r for r in records.test_record(ANCHOR).readings if r.number == number)


def test_readings_are_corrected_withdrawn_and_corrected_again(wall: Path, url: str) -> None:
    sent = proof()
    with client(wall, kept=url) as asks:
        assert stored(asks.send(begin(), *sent)) == ["stored"] * (1 + len(sent))
        first = entry("correction", of=sent[1]["id"], gauge=us("1234"), reason="misread")
        assert stored(asks.send(first)) == ["stored"]
        assert asks.send(first).json()["results"][0]["before"] is True
        again = entry("correction", number=2, dials=[us("0.1"), us("0.2")], reason="dials too")
        gone = entry("correction", of=sent[2]["id"], withdraw=True, reason="never read")
        assert stored(asks.send(again, gone)) == ["stored", "stored"]
        twice = entry("correction", number=3, withdraw=True, reason="twice")
        assert stored(asks.send(twice)) == ["refused"]
        nothing = entry("correction", number=2, gauge=us("1234"), reason="as it is")
        assert "already" in asks.send(nothing).json()["results"][0]["words"]["US"]
        shown = asks.standing()
        by_number = {r["number"]: r for r in shown["readings"]}
        assert by_number[2]["corrected"] == 2
        assert by_number[2]["in"]["US"]["gauge"] == "1234"
        assert 3 not in by_number
        assert shown["last"] == len(sent)
    with open_records(url) as records:
        made = reading(records, 2)
        assert made.gauge == pytest.approx(1234 * 6.894757, rel=1e-6)
        assert made.dials == pytest.approx((0.1 * 0.0254, 0.2 * 0.0254))
        history = [e for e in records.history(ANCHOR) if e.kind == "reading"]
        assert [e.reason for e in history if e.supersedes] == ["misread", "dials too", "never read"]
        assert records.verify().sound
    assert not (wall / "wall.records").exists()


def test_a_second_tablet_sees_what_the_first_sent_before_it_corrects(wall: Path, url: str) -> None:
    sent = proof()[:4]
    with client(wall, kept=url) as asks:
        asks.send(begin(), *sent)
        change = entry("correction", number=2, gauge=us("1234"), reason="misread")
        answer = asks.send(change, tablet=OTHER)
        assert answer.json()["elsewhere"] == [1, 2, 3, 4]
        assert stored(asks.send(change, tablet=OTHER, seen=4)) == ["stored"]


def test_lock_off_and_lift_off(wall: Path, url: str) -> None:
    with client(wall, kept=url) as asks:
        asks.send(begin(), *proof(), entry("close", DAY + timedelta(minutes=30)))
        lock = entry(
            "lock-off", LATER, gauge=us("5831"), seating=us("0.24"), exception="agreed by radio"
        )
        lift = entry("lift-off", LATER + timedelta(minutes=5), gauge=us("5100"))
        assert stored(asks.send(lock, lift)) == ["stored", "stored"]
        assert asks.standing()["in"]["US"]["lift_off"]["standing"] == "in tolerance"
    with open_records(url) as records:
        fact = records.anchor(ANCHOR).of(LiftedOff)[-1].fact
        assert fact is not None
        assert fact.gauge == pytest.approx(5100 * 6.894757, rel=1e-6)


def test_a_server_that_stops_loses_nothing_and_is_found_again(wall: Path) -> None:
    sent = proof()
    with server() as own:
        url = moved(wall / "wall.records", own)
        with client(wall, kept=url) as asks:
            assert stored(asks.send(begin(), *sent[:3])) == ["stored"] * 4
            own.stop("immediate")
            change = entry("correction", of=sent[1]["id"], gauge=us("1234"), reason="misread")
            answer = asks.send(sent[3], change)
            assert answer.status_code == 503
            assert "wall_" not in str(answer.json()), "no address of a database is told"
            own.start()
            assert stored(asks.send(sent[3], change)) == ["stored", "stored"]
            assert [r["number"] for r in asks.standing()["readings"]] == [1, 2, 3, 4]
        with open_records(url) as records:
            assert reading(records, 2).gauge == pytest.approx(1234 * 6.894757, rel=1e-6)
            assert records.verify().sound
