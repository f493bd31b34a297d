"""The estimated length of equations, against the typesetter's own measure; and nothing beyond the margin."""

from __future__ import annotations

import json
import re
import subprocess
from pathlib import Path

import pytest
import typst

from backstay.design import design
from backstay.model import read_project
from backstay.quantity import UnitSystem
from backstay.report import write_report
from backstay.report.derivation import equation
from backstay.report.document import Document
from backstay.report.extent import extent

EXAMPLES = sorted((Path(__file__).parents[3] / "examples").glob("*.yaml"))


def measured(lines: list[str], folder: Path) -> list[float]:
    (folder / "lines.json").write_text(json.dumps(lines), "utf-8")
    (folder / "m.typ").write_text(
        '#show math.equation: set text(size: 10pt)\n#context [#metadata(json("lines.json").map('
        'm => measure(eval("$ " + m + " $", mode: "markup")).width.pt())) <widths>]',
        "utf-8",
    )
    found = typst.query(str(folder / "m.typ"), "<widths>", field="value", one=True)
    return [float(width) for width in json.loads(found)]


@pytest.mark.parametrize("path", EXAMPLES[:2], ids=lambda p: p.stem)
def test_estimate_is_near_the_measure(path: Path, tmp_path: Path) -> None:
    blocks = Document(design(read_project(path)), UnitSystem.US).build()["blocks"]
    lines = sorted(
        {
            part
            for block in blocks
            if block["type"] == "step"
            for line in block["lines"]
            if "maths" in line
            for part in line["maths"].replace(" & ", " ").split(" \\ ")
        }
    )
    assert len(lines) > 100
    for line, width in zip(lines, measured(lines, tmp_path), strict=True):
        if width > 100:
            assert 0.85 * width < extent(line) < 1.25 * width, line


def test_long_equations_are_broken_before_their_results() -> None:
    part = "+".join(["a"] * 12)
    assert equation("x", [part, "1", "2"])["maths"].count("\\") == 0
    assert equation("x", [part * 2, part, "2"])["maths"].count("\\") == 1
    assert equation("x", [part, part * 2, part])["maths"].count("\\") == 2
    assert equation("x", [part * 4, "1", "2"])["size"] < 10


@pytest.mark.parametrize("units", list(UnitSystem))
@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.stem)
def test_no_word_leaves_the_margins(path: Path, units: UnitSystem, tmp_path: Path) -> None:
    pdf = write_report(design(read_project(path)), tmp_path / "r.pdf", units)
    done = subprocess.run(
        ["pdftotext", "-bbox", str(pdf), "-"], capture_output=True, text=True, check=True
    )  # poppler, as in the other tests of documents
    width = 0.0
    for line in done.stdout.splitlines():
        page = re.search(r'<page width="([\d.]+)"', line)
        width = float(page[1]) if page else width
        word = re.search(r'<word xMin="([\d.]+)".*xMax="([\d.]+)"', line)
        if word:
            assert float(word[1]) >= 24 / 25.4 * 72 - 2, line
            assert float(word[2]) <= width - 20 / 25.4 * 72 + 2, line
