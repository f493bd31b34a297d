"""Files made on the page are those that the command line writes, and of the form that is said."""

from __future__ import annotations

import io
import json
import zipfile
from pathlib import Path

import pytest

from backstay.design import Design, design
from backstay.drawing import write_drawings
from backstay.model.reading import read_project
from backstay.workbench.output.products import products

EXAMPLES = Path(__file__).parents[4] / "examples"
STARTS = {
    "PDF": b"%PDF-",
    "XLSX": b"PK\x03\x04",
    "ZIP": b"PK\x03\x04",
    "SVG": b"<svg ",
    "DXF": b"  0\n",
}


@pytest.fixture(scope="module", params=["two-row-sand.yaml", "slopes/landslide-three-rows.yaml"])
def done(request: pytest.FixtureRequest) -> Design:
    return design(read_project(EXAMPLES / request.param), slip_surfaces="leave out")


def test_everything_can_be_made_and_is_what_it_says(done: Design) -> None:
    units = done.project.units
    for one in products(done, "wall"):
        content = one.make(done, units)
        assert one.file_name.endswith("." + one.form.lower())
        if one.form == "JSON":
            assert json.loads(content)["project"] == done.project.project.name
        else:
            assert content.startswith(STARTS[one.form]), one.name


def test_drawings_are_those_of_the_command_line(done: Design, tmp_path: Path) -> None:
    units = done.project.units
    written = {path.name for path in write_drawings(done, tmp_path, units)}
    every = products(done, "wall")
    archive = next(one for one in every if one.form == "ZIP").make(done, units)
    with zipfile.ZipFile(io.BytesIO(archive)) as found:
        assert set(found.namelist()) == written
    single = {one.file_name for one in every if one.form in ("DXF", "SVG")}
    assert single < written
    svg = next(one for one in every if one.form == "SVG")
    assert svg.make(done, units) == (tmp_path / svg.file_name).read_bytes()
    names = [one.file_name for one in every]
    assert len(set(names)) == len(names)
