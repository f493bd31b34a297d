"""Every file a person takes away: whole, readable by others, and saying the same thing."""

from __future__ import annotations

import json
import math
import subprocess
from pathlib import Path

import jsonschema
import openpyxl
import pytest

from backstay.design import Design, design
from backstay.model import read_project
from backstay.quantity import UnitSystem
from backstay.report import report_bytes, write_report, write_workbook
from backstay.results import design_json, result_schema
from backstay.tables import least_length

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.yaml"))


@pytest.fixture(scope="module", params=EXAMPLES, ids=lambda p: p.stem)
def done(request: pytest.FixtureRequest) -> Design:
    return design(read_project(request.param))


@pytest.mark.parametrize("units", UnitSystem)
def test_json_is_valid_under_its_published_schema(done: Design, units: UnitSystem) -> None:
    data = json.loads(design_json(done, units))
    schema = result_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(data, schema)
    assert data["schema"] == "backstay-design/1"
    assert data["units"] == units.value


def pages(pdf: Path) -> list[str]:
    command = ["pdftotext", "-layout", str(pdf), "-"]
    return subprocess.run(command, capture_output=True, text=True, check=True).stdout.split("\f")


@pytest.mark.parametrize("units", UnitSystem)
def test_the_calculation_holds_every_check_caution_and_source(
    done: Design, units: UnitSystem, tmp_path: Path
) -> None:
    target = write_report(done, tmp_path / "calculation.pdf", units)
    text = "\n".join(pages(target))
    flat = "".join(text.split())
    assert "nobodystandsbehindthejack" in flat
    assert "Assumptionsandlimitsofthemethods" in flat
    assert "Contents" in text
    for section, check in done.checks:
        assert check.id in flat or check.id.replace("-", "") in flat.replace("-", ""), check.id
        assert "".join(section.section.name.split()) in flat
    assert "{" not in text, "a placeholder was not written out"


def test_the_cover_says_what_a_failure_would_mean(tmp_path: Path) -> None:
    project = read_project(EXAMPLES[-1])
    service = project.service.model_copy(update={"consequence": "The tramway would stop."})
    stated = project.model_copy(update={"service": service})
    target = write_report(design(stated), tmp_path / "c.pdf", UnitSystem.US)
    assert "The tramway would stop." in pages(target)[0]


def test_the_calculation_is_the_same_bytes_each_time(tmp_path: Path) -> None:
    demo = design(read_project(EXAMPLES[-1]))
    assert report_bytes(demo, UnitSystem.US) == report_bytes(demo, UnitSystem.US)


def test_markup_in_a_name_stays_text(tmp_path: Path) -> None:
    project = read_project(EXAMPLES[-1])
    hostile = '#panic("x") $a$ <b> "q" \\ *bold* {length:1}'
    named = project.model_copy(
        update={"project": project.project.model_copy(update={"name": hostile})}
    )
    target = write_report(design(named), tmp_path / "c.pdf", UnitSystem.US)
    assert '#panic("x")' in "".join(pages(target)[0].replace("“", '"').replace("”", '"'))


def test_the_spreadsheet_opens_and_agrees_with_the_design(done: Design, tmp_path: Path) -> None:
    target = write_workbook(done, tmp_path / "schedule.xlsx", UnitSystem.SI)
    book = openpyxl.load_workbook(target)
    sheet = next(book[name] for name in book.sheetnames if name.startswith("Anchor schedule"))
    heads = [cell.value for cell in sheet[3]]
    column = heads.index("Design load (kN)")
    loads = [row[column].value for row in sheet.iter_rows(min_row=4)]
    assert loads == [math.ceil(a.design_load - 0.5) for a in done.sections[0].anchors]


def test_no_cell_is_a_formula(tmp_path: Path) -> None:
    project = read_project(EXAMPLES[-1])
    section = project.sections[0].model_copy(update={"name": "=1+1"})
    done = design(project.model_copy(update={"sections": (section,)}))
    book = openpyxl.load_workbook(write_workbook(done, tmp_path / "s.xlsx", UnitSystem.US))
    for sheet in book:
        for row in sheet.iter_rows():
            assert all(cell.data_type != "f" for cell in row)


@pytest.mark.parametrize(
    ("value", "units", "text"),
    [
        (4.5, UnitSystem.SI, "4.5"), (4.501, UnitSystem.SI, "4.6"), (4.572, UnitSystem.US, "15.0"),
        (4.5, UnitSystem.US, "15.0"), (4.6, UnitSystem.US, "15.5"),
    ],
)  # fmt: skip
def test_least_lengths_are_never_rounded_down(value: float, units: UnitSystem, text: str) -> None:
    assert least_length(value, units) == text
