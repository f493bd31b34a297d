"""What leaves the workbench as a file: each is of its kind, and made of what is on screen."""

from __future__ import annotations

import io
import json
import zipfile
from pathlib import Path
from xml.etree import ElementTree

import pytest
from ezdxf import recover
from openpyxl import load_workbook
from playwright.sync_api import Page, expect
from pypdf import PdfReader

from tests.browser.bench import Bench, shot
from tests.browser.served import Windows, searched
from tests.browser.test_windows import button, cell, set_cell

pytestmark = pytest.mark.journey
TWO = "two-row-sand.yaml"
SVG = "{http://www.w3.org/2000/svg}svg"


def make(page: Page, name: str) -> tuple[str, bytes]:
    """Make a file; its name, and what is in it."""
    with page.expect_download() as waited:
        page.get_by_role("button", name=f"Make {name}", exact=True).click()
    return waited.value.suggested_filename, Path(waited.value.path()).read_bytes()


def test_every_file_downloads_and_is_of_its_kind(site: Bench, mine: Windows) -> None:
    site.put("made.yaml", TWO)
    page = mine.open("/project/made.yaml?at=output")
    searched(page)
    shot(page, "output")
    names = page.get_by_role("button", name="Make ").evaluate_all(
        "all => all.map(one => one.ariaLabel.replace('Make ', ''))"
    )
    assert len(names) == 11
    found: dict[str, list[str]] = {}
    for name in names:
        file, content = make(page, name)
        suffix = Path(file).suffix
        found.setdefault(suffix, []).append(file)
        if suffix == ".pdf":
            text = "".join(one.extract_text() for one in PdfReader(io.BytesIO(content)).pages)
            assert "Alder Street" in text
            if name.startswith("Calculation"):
                assert "Larkfield Library, basement shoring" in text
        elif suffix == ".dxf":
            document, audit = recover.read(io.BytesIO(content))
            assert not audit.has_errors
            assert len(document.modelspace()) > 20
        elif suffix == ".svg":
            assert ElementTree.fromstring(content).tag == SVG  # noqa: S314 - our own
        elif suffix == ".xlsx":
            assert {"Anchor schedule", "Quantities", "Checks"} <= set(
                load_workbook(io.BytesIO(content)).sheetnames
            )
        elif suffix == ".json":
            assert json.loads(content)["project"] == "Larkfield Library, basement shoring"
        elif suffix == ".zip":
            with zipfile.ZipFile(io.BytesIO(content)) as archive:
                assert archive.testzip() is None
                assert len(archive.namelist()) == 6  # section and elevation, in three forms
        else:
            assert suffix == ".yaml"
            assert content == (site.folder / "made.yaml").read_bytes()
    assert {kind: len(files) for kind, files in found.items()} == {
        ".pdf": 3, ".xlsx": 1, ".json": 1, ".zip": 1, ".dxf": 2, ".svg": 2, ".yaml": 1,
    }  # fmt: skip


def test_files_are_of_what_is_on_screen_saved_or_not(site: Bench, mine: Windows) -> None:
    path = site.put("unsaved.yaml", TWO)
    page = mine.open("/project/unsaved.yaml?at=anchors")
    set_cell(page, 0, 0, "91.5")
    expect(cell(page, 0, 0)).to_have_text("91.50")
    page.get_by_role("link", name="Output").click()
    expect(page.get_by_role("link", name="Output")).to_have_attribute("aria-current", "page")
    _, content = make(page, "the project file")
    assert b"elevation: 91.5" in content
    assert b"elevation: 91.5" not in path.read_bytes()


def test_stopping_makes_nothing_and_another_try_does(site: Bench, mine: Windows) -> None:
    site.put("stopped.yaml", TWO)
    page = mine.open("/project/stopped.yaml?at=output")
    searched(page)
    downloads: list[str] = []
    page.on("download", lambda one: downloads.append(one.suggested_filename))
    row = page.get_by_role("row").filter(has_text="Calculation")
    row.get_by_role("button", name="Make").click()
    expect(row.get_by_role("status")).to_contain_text("Making")
    button(page, "Stop").click()
    expect(row.get_by_role("status")).to_have_text("Stopped")
    expect(row.get_by_role("button", name="Make")).to_be_enabled()
    file, content = make(page, "Results, JSON")
    assert file == "stopped.json"
    assert downloads == [file]
    assert json.loads(content)
