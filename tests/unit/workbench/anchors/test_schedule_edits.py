"""What is typed and pasted into the schedule: what it writes into the project, and what it is refused for."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from xml.etree import ElementTree as Xml

import pytest
from hypothesis import given
from hypothesis import strategies as st

from backstay.design import Design, design
from backstay.model.changes import changed
from backstay.model.project import Project
from backstay.model.reading import read_text
from backstay.quantity import UnitSystem
from backstay.workbench.anchors.block import BlockError, block_text, cells_of
from backstay.workbench.anchors.columns import FOUND, wall_columns
from backstay.workbench.anchors.edits import (
    CellError,
    Edits,
    cleared,
    pasted,
    plain,
    typed,
    value_of,
    verified,
)
from backstay.workbench.anchors.grid import Grid, grid_table
from backstay.workbench.anchors.panel import grids_of
from backstay.workbench.anchors.rows import duplicated, duplicated_head, removed

EXAMPLES = Path(__file__).parents[4] / "examples"
TWO = (EXAMPLES / "two-row-sand.yaml").read_text("utf-8")
SLOPE = (EXAMPLES / "slopes" / "landslide-three-rows.yaml").read_text("utf-8")
US, SI = UnitSystem.US, UnitSystem.SI


@cache
def designed(text: str) -> Design:
    return design(read_text(text, "p"), slip_surfaces="leave out")


def table(text: str = TWO, units: UnitSystem = US, *, seldom: bool = False) -> Grid:
    done = designed(text)
    path = ("sections", 0) if done.sections else ("slopes", 0)
    return grids_of(done.parts[0], path, units, seldom=seldom)[0]


def column(grid: Grid, words: str) -> int:
    return next(i for i, c in enumerate((*grid.given, *grid.found)) if c.words == words)


def after(edits: Edits, text: str = TWO) -> Project:
    assert edits.good, (edits.why, edits.refused)
    assert verified(edits, text, "p").good
    return read_text(changed(text, edits.changes), "p")


def test_a_block_of_two_by_three_is_one_step() -> None:
    grid = table()
    edits = pasted(grid, (0, 0), "93\t18\t1\n81.5\t22\t1\n", TWO, US)
    rows = after(edits).sections[0].anchors
    assert [round(r.elevation / 0.3048, 6) for r in rows] == [93.0, 81.5]
    assert [round(r.inclination * 57.29577951308232, 6) for r in rows] == [18.0, 22.0]
    assert edits.what == "Paste into 6 cells of anchor schedule"
    assert len(edits.changes) == 4  # the third column stays as it is


def test_the_rest_of_the_file_stays_as_it_was() -> None:
    edits = pasted(table(), (0, 0), "93\t18\n81.5\t22", TWO, US)
    new = changed(TWO, edits.changes).splitlines()
    old = TWO.splitlines()
    assert len(new) == len(old)
    assert sum(a != b for a, b in zip(old, new, strict=True)) == 4


def test_values_may_carry_their_unit_and_bare_ones_are_as_shown() -> None:
    at = (0, column(table(), "Unbonded"))
    for units, text, feet in ((US, "36", 36.0), (US, "11 m", 36.0892), (SI, "11", 36.0892), (SI, "36 ft", 36.0)):  # fmt: skip
        edits = typed(table(units=units), at, text, TWO, US)
        length = after(edits).sections[0].anchors[0].unbonded_length
        assert isinstance(length, float)
        assert length / 0.3048 == pytest.approx(feet, rel=1e-5)
    assert "unbonded_length: 11 m" in changed(
        TWO, typed(table(units=SI), at, "11", TWO, US).changes
    )


def test_a_number_that_was_not_changed_changes_nothing() -> None:
    for units in (US, SI):
        grid = table(units=units, seldom=True)
        for row in range(2):
            for at in range(grid.width):
                cell = grid.cell(row, at)
                if cell.edited is not None:
                    assert typed(grid, (row, at), cell.edited, TWO, US).changes == ()


@pytest.mark.parametrize(
    ("words", "text", "why"),
    [
        ("Elevation", "1,200", "thousands without a comma"),
        ("Elevation", "12,5", "decimal sign is a point"),
        ("Elevation", "=A1+2", "this is a formula"),
        ("Elevation", "<b>92</b>", "not a number"),
        ("Elevation", "", "nothing stands here"),
        ("Elevation", "92 kN", "not a unit of length"),
        ("Elevation", "1e999", "must be finite"),
        ("Every nth pile", "1.5", "whole number"),
        ("Bond by", "nobody", "not one of the choices"),
        ("Product", "=HYPERLINK()", "this is a formula"),
    ],
)
def test_what_a_cell_does_not_take_is_explained(words: str, text: str, why: str) -> None:
    grid = table()
    at = (1, column(grid, words))
    edits = typed(grid, at, text, TWO, US)
    assert why in edits.refused[at].why
    assert "accepted" in edits.refused[at].why
    assert edits.refused[at].text == text
    assert edits.changes == ()


def test_one_wrong_cell_refuses_the_whole_block() -> None:
    edits = pasted(table(), (0, 0), "93\t18\n1,200\t=B2", TWO, US)
    assert set(edits.refused) == {(1, 0), (1, 1)}
    assert edits.changes == ()


def test_what_the_project_refuses_stands_at_its_cell() -> None:
    grid = table()
    for text, place in (("50", (0, 0)), ("900", (0, 1))):
        edits = verified(typed(grid, place, text, TWO, US), TWO, "p")
        assert not edits.good
        assert edits.why or edits.refused
    above = verified(typed(grid, (0, 1), "-5", TWO, US), TWO, "p")
    assert (0, 1) in above.refused


@pytest.mark.parametrize(
    ("at", "text", "why"),
    [
        ((0, 0), "1\t2\n3", "differ in width"),
        ((0, 0), "  \n", "no cells"),
        ((0, 0), "\t".join(["1"] * 40), "40 cells wide"),
        ((0, 0), "x" * 200_000, "too long"),
        ((0, 0), "\n".join(["1\t2"] * 1001), "more than 2000 cells"),
    ],
)
def test_what_is_no_block_for_this_table_is_refused(
    at: tuple[int, int], text: str, why: str
) -> None:
    assert why in pasted(table(), at, text, TWO, US).why


def test_a_copied_table_can_be_pasted_back_with_its_heads() -> None:
    grid = table(seldom=True)
    rows = [grid.heads]
    for row in range(2):
        cells = [grid.cell(row, at) for at in range(grid.width)]
        rows.append(tuple(c.shown if c.edited is None else c.edited for c in cells))
    edits = pasted(grid, (0, 0), block_text(rows), TWO, US)
    assert edits.good
    assert edits.changes == ()


def test_what_the_design_finds_is_not_pasted_over() -> None:
    grid = table()
    at = (0, column(grid, "Load needed"))
    edits = pasted(grid, at, "999", TWO, US)
    assert "found by the design" in edits.refused[at].why


def test_lines_beyond_the_last_row_become_rows() -> None:
    edits = pasted(table(), (1, 0), "82\t20\n74\t25", TWO, US)
    rows = after(edits).sections[0].anchors
    assert [round(r.elevation / 0.3048, 6) for r in rows] == [92.0, 82.0, 74.0]
    assert rows[2].bond == rows[1].bond
    assert rows[2].inclination == pytest.approx(25 / 57.29577951308232)


def test_values_of_a_mapping_that_is_not_there_arrive_together() -> None:
    line = "        bond: {by: contractor, length: 32, grouting: low pressure, hole_diameter: 6}\n"
    assert line in TWO
    text = TWO.replace(line, "")
    grid = table(text)
    at = (1, column(grid, "Bond"))
    edits = pasted(grid, at, "33\tlow pressure\t6", text, US)
    bond = after(edits, text).sections[0].anchors[1].bond
    assert bond.length == pytest.approx(33 * 0.3048)
    assert bond.grouting == "low pressure"
    assert bond.hole_diameter == pytest.approx(6 * 0.0254)


def test_emptied_cells_leave_the_choice_open_again() -> None:
    grid = table()
    at = column(grid, "Design load asked")
    edits = cleared(grid, (0, at), (1, at), TWO, US)
    assert [r.design_load for r in after(edits).sections[0].anchors] == [None, None]
    needed = cleared(grid, (0, 0), (0, 0), TWO, US)
    assert "nothing stands here" in needed.refused[(0, 0)].why


def test_words_are_taken_in_any_case() -> None:
    grid = table()
    chosen = grid.given[column(grid, "Grouting")]
    assert value_of(chosen, "Post-Grouted", US, US) == "post-grouted"
    with pytest.raises(CellError):
        value_of(chosen, "poured", US, US)


HOSTILE = '<img src=x onerror="alert(1)">'


def test_markup_and_formulas_in_notes_stay_text() -> None:
    for note in (HOSTILE, "=1+1", "@SUM(A1)", "a\tb"):
        quoted = note.replace('"', '\\"').replace("\t", "\\t")
        text = TWO.replace("      - elevation: 92.0\n", f'      - elevation: 92.0\n        note: "{quoted}"\n')  # fmt: skip
        markup = str(grid_table(table(text, seldom=True), may_edit=True))
        assert "<img" not in markup
        Xml.fromstring(markup)  # noqa: S314
        copied = [e.get("data-copy") for e in Xml.fromstring(markup).iter("td")]  # noqa: S314
        assert not any((c or "").startswith(("=", "@")) for c in copied)


def test_the_table_says_what_is_edited_and_what_is_found() -> None:
    grid = table()
    page = Xml.fromstring(str(grid_table(grid, may_edit=True)))  # noqa: S314
    assert page.get("role") == "grid"
    cells = page.findall(".//td[@role='gridcell']")
    assert len(cells) == 2 * grid.width
    assert sum(c.get("aria-readonly") == "true" for c in cells) == 2 * len(FOUND)
    assert sum(c.get("tabindex") == "0" for c in cells) == 1
    heads = {th.get("id"): th.text for th in page.iter("th") if th.get("id")}
    assert all(c.get("headers") in heads for c in cells)
    assert "Elevation (ft)" in heads.values()
    still = str(grid_table(grid, may_edit=False))
    assert "data-edit" not in still


def test_columns_follow_the_wall() -> None:
    piles = {c.words for c in wall_columns(piles=True)}
    assert "Every nth pile" in piles
    assert "Spacing" in {c.words for c in wall_columns(piles=False)}


@given(
    st.lists(
        st.lists(st.text(st.characters(codec="utf-8", exclude_categories=("Cc", "Cs", "Zs", "Zl", "Zp"))), min_size=3, max_size=3),
        min_size=1, max_size=5,
    )
)  # fmt: skip
def test_copied_cells_read_back_as_they_were(rows: list[list[str]]) -> None:
    """Cells that a spreadsheet would run come back as text with an apostrophe before them."""
    if not any(any(cell.strip() for cell in row) for row in rows):
        return
    back = cells_of(block_text(rows))
    safe = [[cell.removeprefix("'") for cell in row] for row in back]
    assert safe == [[cell.removeprefix("'") for cell in row] for row in rows]


def test_quoted_cells_of_a_spreadsheet_are_read() -> None:
    assert cells_of('"a ""b"""\t"two\nlines"\r\n1\t2\r\n') == [['a "b"', "two lines"], ["1", "2"]]
    assert cells_of("30\u00a0ft\t\n") == [["30 ft", ""]]
    with pytest.raises(BlockError):
        cells_of("")


def test_a_row_is_added_below_and_taken_out_again() -> None:
    done, grid = designed(TWO), table()
    part = done.sections[0]
    more = changed(TWO, duplicated(grid, 0, part, TWO, US))
    levels = [r.elevation / 0.3048 for r in read_text(more, "p").sections[0].anchors]
    assert levels == pytest.approx([92.0, 86.0, 80.0])
    again = changed(more, removed(table(more), 1, designed(more).sections[0]))
    assert read_text(again, "p").sections[0].anchors == read_text(TWO, "p").sections[0].anchors


def test_the_sequence_of_the_dig_follows_rows_that_go() -> None:
    stages = (
        "      sequence:\n        - {excavate_to: 90}\n        - {stress_row: 1}\n        - {excavate_to: 78}\n"
        "        - {stress_row: 2}\n        - {excavate_to: 68}\n"
    )
    text = TWO.replace("      width: 90\n", stages + "      width: 90\n")
    done = read_text(text, "p")
    assert len(done.sections[0].cut.sequence) == 5
    grid = table(text)
    less = changed(text, removed(grid, 1, designed(text).sections[0]))
    project = read_text(less, "p")
    assert [s.stress_row for s in project.sections[0].cut.sequence] == [None, 1, None, None]
    assert len(project.sections[0].anchors) == 1


def test_heads_on_a_slope_are_edited_and_added() -> None:
    done = designed(SLOPE)
    heads, shared = grids_of(done.parts[0], ("slopes", 0), SI, seldom=True)
    edits = typed(heads, (0, 0), "51.5", SLOPE, SI)
    assert after(edits, SLOPE).slopes[0].anchors.heads[0].x == 51.5
    more = changed(SLOPE, duplicated_head(heads, 0, SLOPE, SI))
    assert len(plain_heads(more)) == len(plain_heads(SLOPE)) + 1
    at = column(shared, "Spacing")
    assert after(typed(shared, (0, at), "2.5", SLOPE, SI), SLOPE).slopes[0].anchors.spacing == 2.5


def plain_heads(text: str) -> object:
    return read_text(text, "p").slopes[0].anchors.heads


def test_what_stands_in_a_file_is_plain() -> None:
    assert plain({"a": [1, 2.5, None, True, "x"]}) == {"a": [1, 2.5, None, True, "x"]}
    with pytest.raises(TypeError):
        plain(object())


def test_the_heads_say_what_a_share_is_of() -> None:
    heads = table().heads
    assert "Test load (of the design load)" in heads
    assert "Lock-off (of the design load)" in heads
