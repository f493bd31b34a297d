"""A wall tested by EN 1537 and EN ISO 22477-5, from plan to verdict, as the command line does it."""

from __future__ import annotations

from pathlib import Path

import pytest

from backstay.model.reading import read_project
from backstay.records import open_records
from backstay.stressing.project_rules import rules_of
from backstay.stressing.record import TestedAnchor
from backstay.stressing.schedules import procedure_of
from tests.journeys.field import CREW, DAY, OFFICE, done, site
from tests.unit.stressing.synthetic import Model, record_of

pytestmark = pytest.mark.journey
ANNEX = 'tests: {practice: EN, creep_rate: {value: "2 mm", clause: "national annex, invented"}}'


def table(folder: Path, creep: float) -> str:
    """Return the readings of a suitability test of the first anchor, with a creep rate (m)."""
    with open_records(folder / "wall.records") as records:
        jack, design = records.jacks()[0], records.register()[0].design
    anchor = TestedAnchor(
        name="A", design_load=design.design_load, lock_off_load=design.lock_off_load,
        area=design.area, modulus=design.modulus, strength=design.strength,
        free_length=design.free_length, jack_length=1.2, bond_length=design.bond_length or 0.0,
        hole_diameter=design.hole_diameter, ground=("granular",), creeps=False,
        grouting="low pressure", service="temporary",
    )  # fmt: skip
    rules = rules_of(read_project(folder / "wall.yaml"))
    procedure = procedure_of("suitability", anchor, 1.33, rules)
    model = Model(anchor=anchor, jack=jack, creep=creep, bond=300.0)
    lines = ["Cycle,Share,Minute,Gauge (kPa),Dial 1 (mm),Dial 2 (mm),Phase"]
    for r in record_of(model, procedure, extended=creep > 0.002).readings:
        dials = ",".join(f"{1000.0 * d:.3f}" for d in r.dials)
        lines.append(
            f"{r.cycle},{r.target:.6f},{r.minute:g},{r.gauge or 0.0:.1f},{dials},{r.phase}"
        )
    return "\n".join(lines) + "\n"


@pytest.mark.parametrize(
    ("creep", "decision", "status"), [(0.0006, "ACCEPTED", 0), (0.004, "NOT ACCEPTED", 1)]
)
def test_from_the_plan_to_the_verdict(
    tmp_path: Path, creep: float, decision: str, status: int
) -> None:
    """0.6 mm per tenfold time of 2 allowed; 4 mm is too much, after the hold was drawn out."""
    site(tmp_path)
    project = tmp_path / "wall.yaml"
    project.write_text(f"{project.read_text('utf-8')}\n{ANNEX}\n", "utf-8")
    paper = tmp_path / "field" / "submittal.yaml"
    coarse = done("submittal", "wall.yaml", paper, "--by", OFFICE, cwd=tmp_path, status=2)
    assert "field register" in coarse, "the register comes first"
    assert "suitability and acceptance" in done("plan", "wall.yaml", cwd=tmp_path)
    done("register", "wall.yaml", "--by", OFFICE, "--on", "2025-02-20", cwd=tmp_path)
    fine = paper.read_text("utf-8").replace("dial_graduation: 0.001", "dial_graduation: 0.0003")
    paper.write_text(fine, "utf-8")
    done("submittal", "wall.yaml", paper, "--by", OFFICE, "--on", "2025-03-05", cwd=tmp_path)
    done("enter", "wall.yaml", "field/book.yaml", "--by", CREW, cwd=tmp_path)
    done("sheet", "wall.yaml", "1-1", "--jack", "J-1", "--on", "2025-03-24", cwd=tmp_path)
    read = ("readings", "wall.yaml", "-", "--anchor", "1-1", "--on", DAY, "--by", CREW, "--over")
    said = done(*read, cwd=tmp_path, stdin=table(tmp_path, creep))
    assert "(suitability)" in said
    judged = done("judge", "wall.yaml", "1-1", cwd=tmp_path, status=status)
    assert f"suitability test 1: {decision}" in judged
    assert "Creep rate, per tenfold time" in judged
