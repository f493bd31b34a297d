"""DXF, SVG and PDF: open elsewhere, true size, same bytes every time."""

from __future__ import annotations

import io
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace
from xml.etree import ElementTree

import ezdxf
import pytest
import typst
from pypdf import PdfReader

from backstay.drawing import elevation_svg, section_svg, write_drawings
from backstay.drawing.dxf import dxf
from backstay.drawing.export import file_stems
from backstay.drawing.layers import LAYERS
from backstay.drawing.marks import Dimension, Drawing
from backstay.drawing.pdf import pdf
from backstay.drawing.svg import svg
from backstay.fonts import font_folder
from backstay.quantity import UnitSystem
from tests.unit.drawing.cases import CASES, compose
from tests.unit.drawing.standin import project, stand_in

SI, US = UnitSystem.SI, UnitSystem.US


def sheet_view(doc):
    views = doc.paperspace("Sheet").query("VIEWPORT")
    return next(v for v in views if v.dxf.layer == "SHEET-VIEW")


def test_dxf_reopens_without_faults(filed_drawing: Drawing, tmp_path: Path) -> None:
    path = tmp_path / "drawing.dxf"
    path.write_bytes(dxf(filed_drawing))
    doc = ezdxf.readfile(path)
    auditor = doc.audit()
    assert not auditor.errors
    assert not auditor.fixes
    us = filed_drawing.units is US
    assert doc.header["$INSUNITS"] == (2 if us else 6)
    assert doc.dxfversion >= "AC1024"
    for name, layer in LAYERS.items():
        assert doc.layers.get(name).dxf.lineweight == round(100 * layer.weight)
    texts = [
        entity.plain_text()
        for space in (doc.modelspace(), doc.paperspace("Sheet"))
        for entity in space.query("TEXT MTEXT")
    ]
    dims = [m for m in filed_drawing.marks if isinstance(m, Dimension)]
    drawn = sorted(t.words for t in filed_drawing.texts)
    assert sorted([*texts, *(m.text.words for m in dims)]) == drawn
    assert len(doc.modelspace().query("DIMENSION")) == len(dims)


def test_dxf_is_true_size_in_feet_and_the_layout_is_to_scale() -> None:
    read = project(CASES["two-row-sand"])
    done = stand_in(read.sections[0])
    doc = ezdxf.read(
        io.StringIO(dxf(compose(CASES["two-row-sand"], "section", "sheet", US)).decode())
    )
    pile = doc.modelspace().query('LWPOLYLINE[layer=="WALL-PILE"]').first
    ys = [p[1] for p in pile.get_points()]
    assert max(ys) == pytest.approx(100.0)
    assert min(ys) == pytest.approx(100.0 - done.wall.toe / 0.3048)
    view = sheet_view(doc)
    assert view.dxf.view_height / view.dxf.height == pytest.approx(10.0)  # 1 in = 10 ft
    assert (view.dxf.width, view.dxf.height) == pytest.approx((17.0, 11.0))
    measured = {
        d.dxf.text if d.dxf.text != "<>" else f"{d.get_measurement():.2f}"
        for d in doc.modelspace().query("DIMENSION")
    }
    assert {"32.00", "8.00", "12.00", "30.00"} <= measured


def test_dxf_dimensions_are_measured_not_typed() -> None:
    doc = ezdxf.read(
        io.StringIO(dxf(compose(CASES["two-row-sand"], "section", "sheet", US)).decode())
    )
    assert {d.dxf.text for d in doc.modelspace().query("DIMENSION")} == {"<>"}
    for d in doc.modelspace().query("DIMENSION"):
        shown = [e for e in d.virtual_entities() if e.dxftype() in ("TEXT", "MTEXT")]
        assert [e.plain_text() for e in shown] == [f"{d.get_measurement():.2f}"]


def test_metric_sheet_is_a3_in_mm() -> None:
    doc = ezdxf.read(
        io.StringIO(dxf(compose(CASES["single-row-stiff-clay"], "section", "sheet", SI)).decode())
    )
    view = sheet_view(doc)
    assert (view.dxf.width, view.dxf.height) == pytest.approx((420.0, 297.0))
    assert 1000 * view.dxf.view_height / view.dxf.height == pytest.approx(100.0)  # 1:100


def test_svg_is_small_well_formed_and_has_real_text(drawing: Drawing) -> None:
    picture = svg(drawing)
    assert len(picture.encode()) < 600_000
    root = ElementTree.fromstring(picture)  # noqa: S314
    name = "{http://www.w3.org/2000/svg}text"
    assert sorted(e.text or "" for e in root.iter(name)) == sorted(t.words for t in drawing.texts)
    assert root.get("width") == f"{drawing.width:g}mm"


def test_pdf_is_on_the_true_sheet_with_text_and_the_same_every_time(filed_drawing: Drawing) -> None:
    picture = svg(filed_drawing)
    made = pdf(filed_drawing, picture)
    assert made == pdf(filed_drawing, picture)
    page = PdfReader(io.BytesIO(made)).pages
    assert len(page) == 1
    box = page[0].mediabox
    assert float(box.width) == pytest.approx(filed_drawing.width / 25.4 * 72, abs=0.01)
    assert float(box.height) == pytest.approx(filed_drawing.height / 25.4 * 72, abs=0.01)
    assert "Not for construction" in page[0].extract_text()
    fonts = {str(f.get_object()["/BaseFont"]) for f in page[0]["/Resources"]["/Font"].values()}
    assert all("RobotoCondensed" in f for f in fonts), fonts


@pytest.mark.parametrize("figure", [section_svg, elevation_svg])
def test_figure_embeds_in_a_typeset_page_without_warnings(figure, case) -> None:
    read = project(case)
    picture = figure(stand_in(read.sections[0]), read.units)
    made, warnings = typst.compile_with_warnings(
        b'#image(bytes(sys.inputs.svg), format: "svg", width: 17cm)',
        sys_inputs={"svg": picture}, font_paths=[str(font_folder())], ignore_system_fonts=True,
    )  # fmt: skip
    assert not warnings
    fonts = PdfReader(io.BytesIO(made)).pages[0]["/Resources"]["/Font"].values()
    assert all("RobotoCondensed" in str(f.get_object()["/BaseFont"]) for f in fonts)


def test_write_drawings_writes_all_and_the_same_bytes(tmp_path: Path) -> None:
    read = project(CASES["two-row-sand"])
    design = SimpleNamespace(project=read, sections=(stand_in(read.sections[0]),), slopes=())
    paths = write_drawings(design, tmp_path / "new", US)
    assert [p.name for p in paths] == [
        f"{kind}-A.{end}" for kind in ("section", "elevation") for end in ("dxf", "svg", "pdf")
    ]
    first = [p.read_bytes() for p in paths]
    assert [p.read_bytes() for p in write_drawings(design, tmp_path / "new", US)] == first
    assert len(list((tmp_path / "new").iterdir())) == 6


def test_file_names_are_safe_and_unique() -> None:
    assert file_stems(["A (Alder Street)"]) == ["A"]
    assert file_stems(["A (north)", "A (south)"]) == ["A-north", "A-south"]
    assert file_stems(["../../etc", "C:\\x", "Größe", "..."]) == ["etc", "C-x", "Groe", "4"]
    assert len({s.lower() for s in file_stems(["a", "A", "a"])}) == 3


def test_importing_the_face_is_cheap() -> None:
    code = (
        "import sys, backstay.drawing; "
        "heavy = {'ezdxf', 'typst', 'fontTools', 'numpy', 'scipy'} & set(sys.modules); "
        "assert not heavy, heavy"
    )
    subprocess.run([sys.executable, "-c", code], check=True)
