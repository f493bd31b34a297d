"""The page, its files, the plan of a test and how it stands: as data, in both systems of units."""

from __future__ import annotations

import json
import re
from datetime import UTC, datetime
from pathlib import Path

import pytest

from backstay.workbench.jack.presence import GONE, Presence
from backstay.workbench.jack.routes import STATIC
from tests.unit.workbench.jack.proof import proof
from tests.unit.workbench.jack.site import ANCHOR, PLACE, Someone, begin, client, parcel, read


def test_the_page_names_its_anchor_and_is_its_own(wall: Path) -> None:
    with client(wall) as asks:
        page = asks.get("/jack/wall.yaml/1-4")
        assert page.status_code == 200
        assert f'content="{ANCHOR}"' in page.text
        assert 'content="to&quot;ken&lt;"' in page.text
        assert "http" not in page.text.replace("http-equiv", "")
        for name in re.findall(r'"(/jack-static/[^"]+)"', page.text):
            assert asks.get(name).status_code == 200
        assert asks.get("/jack/worker.js").headers["content-type"].startswith("text/javascript")


def test_the_worker_keeps_every_file_of_the_page() -> None:
    worker = (STATIC / "worker.js").read_text("utf-8")
    for path in STATIC.glob("*.*"):
        if path.name not in ("worker.js", "page.html"):
            assert f'"{path.name}"' in worker, path.name
    assert not [p for p in STATIC.glob("*.js") if "innerHTML" in p.read_text("utf-8")]
    assert not [
        p for p in STATIC.iterdir() if re.search(r"https?://(?!www\.w3\.org)", p.read_text("utf-8"))
    ]


@pytest.mark.parametrize(
    "name", ["routes.py", "..%2Froutes.py", "none.js", "%2e%2e/site.py", "page.html"]
)
def test_no_other_file_is_given(wall: Path, name: str) -> None:
    with client(wall) as asks:
        assert asks.get(f"/jack-static/{name}").status_code == 404


@pytest.mark.parametrize(
    ("place", "says"),
    [
        ("wall.yaml/9-999", "no anchor"),
        ("other.yaml/1-4", "no project"),
        ("wall", "Name a project"),
    ],
)
def test_an_unknown_place_is_said(wall: Path, place: str, says: str) -> None:
    with client(wall) as asks:
        answer = asks.get(f"/jack/{place}")
        assert answer.status_code == 404
        assert says in answer.json()["detail"]


def test_unknown_anchors_are_unknown_to_the_data_too(wall: Path) -> None:
    with client(wall) as asks:
        for path in ("plan", "standing"):
            assert (
                asks.get(f"/api/jack/{path}", project="wall.yaml", anchor="<b>").status_code == 404
            )
        assert asks.post("/api/jack/entries", {**parcel(), "anchor": "9-999"}).status_code == 404


def test_who_only_reads_sees_and_does_not_record(wall: Path) -> None:
    with client(wall, Someone("Looker", 0)) as asks:
        assert asks.get("/api/jack/standing", **PLACE).status_code == 200
        assert asks.send(begin()).status_code == 403
        assert asks.post("/api/jack/look", parcel(proof()[0])).status_code == 403
        assert asks.standing()["test"] is None


def test_the_plan_has_pressures_of_the_jack_minutes_and_limits(wall: Path) -> None:
    with client(wall) as asks:
        plan = asks.get("/api/jack/plan", **PLACE).json()["plan"]
    steps = plan["in"]["US"]["steps"]
    # by hand from the certificate: 152.9 kip at 20.19 kip for every 1000 psi, 0.1 kip at none
    assert steps[6]["load"] == "152.9 kip"
    assert float(steps[6]["pressure"].removesuffix(" psi")) == pytest.approx(7571, abs=3)
    assert steps[6]["minutes"] == [0, 1, 2, 3, 4, 5, 6, 10]
    assert steps[6]["extended"] == [15, 20, 25, 30, 45, 60]
    assert steps[6]["counts_pumping"] is True
    low, high = steps[6]["doubt"]["gauge"]
    assert low < 7571 < high
    assert "at most 0.04" in json.dumps(plan["in"]["US"]["limits"])
    assert "at most 1.0" in json.dumps(plan["in"]["SI"]["limits"])
    assert plan["in"]["US"]["cautions"][0].startswith("Nobody stands behind the jack")


def test_a_jack_out_of_its_certificate_gives_no_plan_and_a_reason(wall: Path) -> None:
    with client(wall, clock=lambda: datetime(2026, 11, 1, tzinfo=UTC)) as asks:
        answer = asks.get("/api/jack/plan", **PLACE).json()
        assert answer["plan"] is None
        assert "was good to" in answer["why"]["US"]
        assert answer["choices"]["jacks"][0]["name"] == "J-1"


def test_a_plan_of_an_unknown_kind_or_jack_is_refused(wall: Path) -> None:
    with client(wall) as asks:
        assert asks.get("/api/jack/plan", **PLACE, kind="pull").status_code == 422
        answer = asks.get("/api/jack/plan", **PLACE, jack="J-9")
        assert "no jack 'J-9'" in answer.json()["why"]["SI"]
        wrong = asks.get("/api/jack/plan", **PLACE, jack_length="long")
        assert "not a number" in wrong.json()["words"]["SI"]


def test_the_plots_have_points_limits_and_ticks_within(wall: Path) -> None:
    with client(wall) as asks:
        asks.send(begin(), *proof())
        plots = asks.standing()["in"]["US"]["plots"]
    for plot in plots:
        for axis in ("x", "y"):
            low, high = plot[axis]["low"], plot[axis]["high"]
            assert all(low - 1e-9 <= t["at"] <= high + 1e-9 for t in plot[axis]["ticks"])
            k = 0 if axis == "x" else 1
            read_ = next(line for line in plot["lines"] if line["name"] == "read")
            assert all(low - 1e-9 <= p[k] <= high + 1e-9 for p in read_["points"])
    creep = plots[1]
    limit = next(line for line in creep["lines"] if line["style"] == "limit")
    assert limit["points"] == [[0.0, 0.0], [pytest.approx(1.0), pytest.approx(0.040)]]
    moved = plots[0]["lines"][2]["points"][-1]
    assert moved[1] == pytest.approx(0.359, abs=1e-9)  # mean of 0.932 - 0.573 and 1.326 - 0.967


def test_a_look_says_what_is_doubtful_before_it_is_taken(wall: Path) -> None:
    with client(wall) as asks:
        asks.send(begin(), *proof()[:3])
        fine = asks.post("/api/jack/look", parcel(proof()[3])).json()["in"]["US"]
        assert [f["code"] for f in fine] == []
        turned = proof()[3]
        turned["dials"] = [{"text": "0.214", "units": "US"}, {"text": "0.608", "units": "US"}]
        found = asks.post("/api/jack/look", parcel(turned)).json()["in"]["US"]
        assert "dial reset" in [f["code"] for f in found]
        one = read(3, 0.0, "4270", "2.093")
        assert "dials changed" in [
            f["code"] for f in asks.post("/api/jack/look", parcel(one)).json()["in"]["US"]
        ]
        assert asks.post("/api/jack/look", parcel()).status_code == 422
        assert len(asks.standing()["readings"]) == 3


def test_a_tablet_that_is_gone_is_forgotten() -> None:
    now = [0.0]
    presence = Presence(lambda: now[0])
    assert presence.heard("p", "a", "one", "A") == ()
    assert [o.by for o in presence.heard("p", "a", "two", "B")] == ["A"]
    assert presence.heard("p", "b", "two", "B") == ()
    now[0] = GONE + 1.0
    assert presence.heard("p", "a", "two", "B") == ()
