"""Tables and chapter of slip surfaces: heads with units, sums, reasons, and the printed pages."""

from __future__ import annotations

import io
from dataclasses import replace

import pytest
from pypdf import PdfReader

from backstay.design import design
from backstay.model import read_project
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.report.slip_chapter import Chapter, add_search, overall_chapter
from backstay.report.slip_figures import Setting
from backstay.slip_tables import (
    admissible_words,
    applied_table,
    counts_table,
    minima_table,
    safety_words,
    slices_table,
)
from backstay.stability.overall_comparison import compare_methods
from backstay.stability.slip.analysis import analyse_circle
from backstay.stability.slip.model import Circle
from backstay.stability.slip_forces import applied_forces
from tests.unit.report.slips import EXAMPLES, QUICK, found, sections

SI, US = UnitSystem.SI, UnitSystem.US


def number(words: str) -> float:
    return float(words.replace("−", "-"))


@pytest.mark.parametrize("units", [SI, US])
def test_the_slices_add_up_to_the_weight_of_the_mass(units: UnitSystem) -> None:
    _, search = found()
    least = search.critical
    assert least is not None
    table = slices_table(least.result, units)
    load = QUANTITIES["force per length"]
    column = table.head.index(f"W ({load.unit(units).label})")
    weight = load.shown(least.result.weight, units)
    *rows, last = table.rows
    assert len(rows) == QUICK.slices
    assert last[0] == "sum"
    assert number(last[column]) == pytest.approx(weight, abs=0.06)
    rounding = 0.051 * len(rows) if units is SI else 0.0051 * len(rows)
    assert sum(number(r[column]) for r in rows) == pytest.approx(weight, abs=rounding)
    assert all(len(r) == len(table.head) == len(table.align) for r in table.rows)


def test_what_a_row_of_the_table_says_is_in_equilibrium() -> None:
    """A reviewer's sum over the printed numbers of one row, to their rounding (slides to the left)."""
    from math import cos, radians, sin

    _, search = found()
    least = search.critical
    assert least is not None
    table = slices_table(least.result, SI)
    at = {h.split(" (")[0]: i for i, h in enumerate(table.head)}
    for row in table.rows[2:-3]:
        v = {name: number(row[i]) if row[i] not in ("–", "") else 0.0 for name, i in at.items()}
        a = radians(v["α"])
        N = v["N′"] + v["U"]
        across = v["Qx"] + v["E left"] - v["E right"] - N * sin(a) + v["S"] * cos(a)
        up = v["Qy"] - v["W"] + v["X left"] - v["X right"] + N * cos(a) + v["S"] * sin(a)
        assert across == pytest.approx(0.0, abs=0.02 * v["W"] + 0.6)
        assert up == pytest.approx(0.0, abs=0.02 * v["W"] + 0.6)


def test_units_stand_in_every_head_that_has_one() -> None:
    _, search = found()
    least = search.critical
    assert least is not None
    for units, length, force, stress in ((SI, "m", "kN/m", "kPa"), (US, "ft", "kip/ft", "psf")):
        head = slices_table(least.result, units).head
        assert [h for h in head if "(" not in h] == ["No."]
        assert {f"x ({length})", f"E left ({force})", f"u ({stress})", "φ (°)"} <= set(head)


def test_the_level_of_a_small_push_is_not_told() -> None:
    _, search = found()
    least = search.critical
    assert least is not None
    table = slices_table(least.result, SI, datum=100.0)
    s = least.result.slices
    assert s is not None
    for i, row in enumerate(table.rows[:-1]):
        told = s.E[i + 1] > 0.1 * s.E.max()
        assert (row[-1] != "–") == told
        if told:
            assert number(row[-1]) == pytest.approx(s.thrust_y[i + 1] + 100.0, abs=0.006)


def test_a_surface_without_slices_is_refused() -> None:
    model, _ = found()
    with pytest.raises(ValueError, match="does not cut the ground"):
        slices_table(analyse_circle(model, Circle(0.0, 300.0, 2.0)), SI)


def test_minima_show_every_method_where_it_applies() -> None:
    model, search = found()
    lines = [(str(k), compare_methods(model, m)) for k, m in enumerate(search.minima, 1)]
    table = minima_table("No.", lines, SI, searched="spencer", datum=50.0)
    at = {h: i for i, h in enumerate(table.head)}
    for (_, c), row in zip(lines, table.rows, strict=True):
        for head, method in (("Spencer", "spencer"), ("Morgenstern-Price", "morgenstern-price"),
                             ("Bishop", "bishop"), ("Ordinary", "ordinary")):  # fmt: skip
            assert row[at[head]] == safety_words(c.results[method].F)  # type: ignore[index]
        x, level = (number(v) for v in row[2].split(";"))
        assert (x, level) == pytest.approx((c.minimum.out[0], c.minimum.out[1] + 50.0), abs=0.06)
    line = replace(search.minima[0], circle=None, kind="general")
    (row,) = minima_table("No.", [("1", compare_methods(model, line))], SI, searched="spencer").rows
    assert row[at["Bishop"]] == row[at["Ordinary"]] == "–"


def test_why_a_surface_counts_is_said() -> None:
    _, search = found()
    least = search.minima[0]
    sound = replace(least.result, flags=())
    faulty = replace(least.result, flags=("tension between slices", "m_alpha too small"))
    assert admissible_words(replace(least, result=sound), "spencer") == "yes"
    assert admissible_words(replace(least, result=faulty), "spencer") == (
        "by moments; tension between slices, mα too small"
    )
    other = replace(least.result, method="bishop")
    assert admissible_words(replace(least, result=other), "spencer") == (
        "no solution by Spencer: simplified Bishop stands in"
    )


def test_searches_are_counted_by_reason() -> None:
    _, search = found()
    table = counts_table([("final", search), ("none", replace(search, set_aside={}, analysed=7))])
    cells = {row[0]: row[1:] for row in table.rows}
    assert cells["looked at"] == (str(search.analysed), "7")
    for reason, count in search.set_aside.items():
        assert cells[f"set aside: {reason.replace('m_alpha', 'mα')}"] == (str(count), "0")


def test_forces_on_the_mass_name_their_slices() -> None:
    model, search = found()
    assert search.critical is not None
    applied = applied_forces(model, search.critical.result)
    table = applied_table(applied, US)
    assert next(r[0] for r in table.rows) == "row 1"
    assert all(len(r) == len(table.head) for r in table.rows)
    assert "At most (kip/ft)" in table.head


@pytest.mark.parametrize("units", [SI, US])
@pytest.mark.parametrize("mirrored", [False, True])
def test_one_search_in_full_for_a_slope(mirrored: bool, units: UnitSystem) -> None:
    model, search = found(mirrored)
    chapter = Chapter()
    add_search(
        chapter, "slope-slip", model, search, QUICK, units, title="as it stands",
        setting=Setting(strata=("Upper", "Lower")), origin="the distance from the toe",
    )  # fmt: skip
    assert set(chapter.figures) == {
        "slope-slip.svg", "slope-slip-polygon.svg", "slope-slip-map.svg",
    }  # fmt: skip
    assert [b["type"] for b in chapter.blocks].count("wide table") == 1
    text = " ".join(str(b.get("text", "")) + str(b.get("caption", "")) for b in chapter.blocks)
    assert "Left of the equilibrium of the whole mass: force" in text
    assert "x is the distance from the toe" in text


def test_a_section_without_overall_stability_has_no_chapter() -> None:
    done = replace(sections(EXAMPLES[0])[0], overall=None)
    chapter = overall_chapter("s1", done, SI)
    assert (chapter.blocks, chapter.figures) == ([], {})


def test_the_calculation_prints_it_with_the_slices_on_a_turned_page() -> None:
    from backstay.report.pdf import report_bytes

    path = next(p for p in EXAMPLES if p.stem == "two-row-sand")
    made = replace(design(read_project(path)), sections=sections(path))
    pages = PdfReader(io.BytesIO(report_bytes(made, US))).pages
    texts = [p.extract_text() for p in pages]
    at = next(i for i, t in enumerate(texts) if "Slices of the critical surface" in t)
    box = pages[at].mediabox
    assert box.width > box.height
    rows = [line for line in texts[at].splitlines() if line.strip()]
    assert any(line.startswith("sum") for line in rows)
    upright = next(i for i, t in enumerate(texts) if "Least safe surfaces by stage and method" in t)
    assert pages[upright].mediabox.height > pages[upright].mediabox.width
    whole = "\n".join(texts)
    for words in ("Overall stability", "What the searches looked at", "Separate minima, final",
                  "Forces on the critical mass from outside", "Polygon of forces"):  # fmt: skip
        assert words in whole
