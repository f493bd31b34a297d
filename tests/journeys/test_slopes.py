"""Projects of slopes alone, and of slopes beside walls, through every command and file."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import jsonschema
import openpyxl
import pytest
from ruamel.yaml import YAML

from backstay.design import Design, design
from backstay.drawing import drawing_files
from backstay.model import read_project
from backstay.quantity import UnitSystem
from backstay.report import write_report, write_workbook
from backstay.results import design_json, result_schema
from backstay.terminal import print_derivation, print_page
from tests.commands import run
from tests.journeys.test_outputs import pages
from tests.unit.slopes import CASES, EXAMPLE, read

pytestmark = pytest.mark.journey
SAND = EXAMPLE.parents[1] / "two-row-sand.yaml"


@pytest.fixture(scope="module")
def both(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A project with a wall and two slopes; the slopes carry their own units."""
    wall = YAML(typ="safe").load(SAND.read_text("utf-8"))
    slope = json.loads(json.dumps(CASES["example"]["slopes"][0]))
    assert wall["units"] == "US"

    def metric(value: Any, key: str = "") -> Any:
        units = {
            "x": "m", "elevation": "m", "run": "m", "radius": "m", "top": "m", "pressure": "kPa",
            "from_x": "m", "to_x": "m", "depth": "m", "water_change": "m", "slip_cohesion": "kPa",
            "moist_unit_weight": "kN/m3", "saturated_unit_weight": "kN/m3", "cohesion": "kPa",
            "transfer": "kN/m", "greatest_load": "kN", "spacing_least": "m", "spacing_greatest": "m",
            "spacing_step": "m", "hole_diameter": "mm", "draw_in": "mm", "side": "m", "thickness": "m",
            "effective_depth": "m", "plate": "m", "concrete": "MPa", "reinforcement": "cm2/m",
            "yield_stress": "MPa",
        }  # fmt: skip
        if isinstance(value, dict):
            return {k: metric(v, k) for k, v in value.items()}
        if isinstance(value, list):
            return [metric(v, key) for v in value]
        return f"{value} {units[key]}" if key in units and not isinstance(value, str) else value

    first = metric(slope)
    second = {**metric(slope), "name": "Mill Hill, west end"}
    file = tmp_path_factory.mktemp("both") / "both.yaml"
    with file.open("w", encoding="utf-8") as stream:
        YAML().dump({**wall, "slopes": [first, second]}, stream)
    return file


def test_the_example_passes_and_says_what_counts() -> None:
    checked = run("check", EXAMPLE)
    assert checked.returncode == 0, checked.stdout + checked.stderr
    assert max(map(len, checked.stdout.splitlines())) <= 100
    assert "\x1b" not in checked.stdout
    for words in (
        "Slope Mill Hill: 23.00 m high", "Strength along the slip surface", "carried",
        "Anchor force for the target", "Anchor schedule", "Spacing (m)", "pads of reinforced concrete",
        "between row 1 and row 2", "around all rows, earthquake", "A slope that moves",
    ):  # fmt: skip
        assert words in checked.stdout, words
    assert "The cut is never" not in checked.stdout
    assert re.search(r"PASSES: all \d+ checks", checked.stdout)


def test_every_command_works_for_slopes_alone(tmp_path: Path) -> None:
    assert run("explain", "slope.known-surface", EXAMPLE).returncode == 0
    explained = run(
        "explain", "bearing of the ground", EXAMPLE, "--where", "row 2", "--slope", "Mill Hill"
    )
    assert explained.returncode == 0, explained.stderr
    assert "N_γ" in explained.stdout
    wrong = run("explain", "slope.pad-bearing", EXAMPLE, "--slope", "Mil Hill")
    assert wrong.returncode == 2
    assert 'no slope "Mil Hill". Did you mean Mill Hill?' in wrong.stderr
    stages = run("stages", EXAMPLE)
    assert stages.returncode == 0
    assert "slopes alone" in stages.stderr
    for command, option, name in (
        ("report", "-o", "r.pdf"), ("schedule", "-o", "s.xlsx"), ("draw", "-o", "drawings"),
    ):  # fmt: skip
        made = run(command, EXAMPLE, option, tmp_path / name)
        assert made.returncode == 0, made.stderr
        assert (tmp_path / name).exists()
    names = {p.name for p in (tmp_path / "drawings").iterdir()}
    assert names == {f"slope-Mill-Hill.{kind}" for kind in ("dxf", "svg", "pdf")}


def test_json_of_slopes_alone() -> None:
    checked = run("check", EXAMPLE, "--json", "--curves")
    assert checked.returncode == 0, checked.stderr
    result = json.loads(checked.stdout)
    jsonschema.Draft202012Validator(result_schema()).validate(result)
    assert result["sections"] == []
    (slope,) = result["slopes"]
    assert slope["cases"][0]["safety"] >= 1.3 * (1 - 1e-6)
    assert slope["cases"][0]["slices"] is not None
    assert {p["part"] for p in slope["slips"]["parts"]} >= {"above row 1", "below row 3"}
    assert sum(r["force"]["value"] for r in slope["rows"]) == pytest.approx(slope["force"]["value"])


def test_walls_and_slopes_in_one_project(
    both: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    project = read_project(both)
    done = design(project, slip_surfaces="leave out")
    print_page(done, UnitSystem.US)
    page = capsys.readouterr().out
    for words in ("Section A", "Slope Mill Hill: 75.46 ft", "Slope Mill Hill, west end", "wall and slope",
                  "The cut is never", "A slope that moves", "were not searched"):  # fmt: skip
        assert words in page, words
    found = [(o, c) for o, c in done.checks if c.id == "anchor.bond-ground" and c.where == "row 1"]
    assert sorted(o.title for o, _ in found) == [
        "section A (Alder Street)", "slope Mill Hill", "slope Mill Hill, west end",
    ]  # fmt: skip
    print_derivation(found, UnitSystem.US, several=True)
    assert "slope Mill Hill, row 1" in capsys.readouterr().out
    drawn = dict(drawing_files(done, UnitSystem.US))
    stems = sorted({name.split(".")[0] for name in drawn if name.startswith("slope")})
    assert stems == ["slope-Mill-Hill", "slope-Mill-Hill-west-end"]
    book = openpyxl.load_workbook(write_workbook(done, tmp_path / "s.xlsx", UnitSystem.US))
    assert len(book.sheetnames) == len(set(book.sheetnames))
    assert {"Anchor schedule 1", "Anchor schedule 2", "Anchor schedule 3"} <= set(book.sheetnames)
    jsonschema.validate(json.loads(design_json(done, UnitSystem.US)), result_schema())


@pytest.fixture(
    scope="module", params=["example", "beam of concrete, loads, piles", "no anchors needed"]
)
def done(request: pytest.FixtureRequest) -> Design:
    return design(read(CASES[request.param]))


def test_the_calculation_of_a_slope_holds_every_check(done: Design, tmp_path: Path) -> None:
    units = UnitSystem.US if done.slopes[0].slope.waler else UnitSystem.SI
    text = "\n".join(pages(write_report(done, tmp_path / "c.pdf", units)))
    flat = "".join(text.split())
    for words in ("TIED-BACKSLOPE", "Assumptionsandlimits", "Aslopeislookedatinonesection",
                  "Pairsthatexplain", "Theknownsurface"):  # fmt: skip
        assert words in flat, words
    for owner, check in done.checks:
        assert owner.title == "slope Mill Hill"
        assert check.id.replace("-", "") in flat.replace("-", ""), check.id
    assert "{" not in text, "a placeholder was not written out"


@pytest.mark.parametrize("units", UnitSystem)
def test_the_result_and_the_spreadsheet_of_a_slope(
    done: Design, units: UnitSystem, tmp_path: Path
) -> None:
    jsonschema.validate(json.loads(design_json(done, units)), result_schema())
    book = openpyxl.load_workbook(write_workbook(done, tmp_path / "s.xlsx", units))
    slope = done.slopes[0]
    rows = list(book["Anchor schedule"].iter_rows(min_row=4, values_only=True))
    assert len(rows) == len(slope.rows)
    quantities = {r[0]: r[1] for r in book["Quantities"].iter_rows(min_row=4, values_only=True)}
    if slope.rows:
        assert quantities["Anchors"] == sum(r.number for r in slope.schedule.rows)
        assert quantities["Drilled length of anchors"] > 0
    for sheet in book:
        for line in sheet.iter_rows():
            assert all(cell.data_type != "f" for cell in line)


def test_a_slope_that_cannot_be_designed_says_why(tmp_path: Path) -> None:
    text = EXAMPLE.read_text("utf-8").replace("slip_cohesion: 2", "slip_cohesion: 90")
    file = tmp_path / "slope.yaml"
    file.write_text(text, "utf-8")
    checked = run("check", file)
    assert (checked.returncode, checked.stdout) == (1, "")
    assert (
        "The slope cannot be designed as described: slope Mill Hill, back analysis"
        in checked.stderr
    )
    assert "at most" in checked.stderr
    assert "{" not in checked.stderr
    refused = json.loads(run("check", file, "--json").stdout)
    assert refused["where"].startswith("slope Mill Hill")


def test_a_faulty_slope_is_told_by_line_and_field(tmp_path: Path) -> None:
    text = EXAMPLE.read_text("utf-8").replace("transfer: 150", "transfer: much")
    file = tmp_path / "slope.yaml"
    file.write_text(text.replace("thickness: 0.6", "thickness: thin"), "utf-8")
    checked = run("check", file)
    assert checked.returncode == 2
    assert "2 faults" in checked.stderr
    assert re.search(
        r"line \d+, column \d+: slopes\[0\].anchors.transfer: read 'much'", checked.stderr
    )
    assert not re.search(r"Traceback|pydantic", checked.stderr)
