"""Every check of every example can be opened: its derivation is well-formed and says what plain text says."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from xml.etree import ElementTree as Xml

import pytest

from backstay.design import Design, design
from backstay.expression import written
from backstay.mathml import MathML
from backstay.model.reading import read_text
from backstay.notation import PlainText
from backstay.quantity import UnitSystem
from backstay.trace import Computed
from backstay.workbench.checks.listing import Asked, Key, filtered, found, list_table, rows_of
from backstay.workbench.checks.sheet import body_of, head_of

EXAMPLES = Path(__file__).parents[4] / "examples"
FILES = (
    "two-row-sand", "single-row-stiff-clay", "three-row-layered-water", "soft-over-weaker-clay",
    "slopes/landslide-three-rows",
)  # fmt: skip


@cache
def designed(name: str) -> Design:
    text = (EXAMPLES / f"{name}.yaml").read_text("utf-8")
    return design(read_text(text, name), slip_surfaces="leave out")


def words(node: Xml.Element) -> str:
    """Return MathML as text: its own reading of the elements, from the MathML Core recommendation."""
    parts = [words(child) for child in node]
    match node.tag:
        case "mi" | "mo" | "mn" | "mtext":
            return node.text or ""
        case "mspace":
            return ""
        case "msub":
            return f"{parts[0]}_{parts[1]}"
        case "msup":
            return f"{parts[0]}^{parts[1]}"
        case "mfrac":
            return f"{parts[0]}/{parts[1]}"
        case "msqrt":
            return "√" + "".join(parts)
        case "math" | "mrow":
            return "".join(parts)
    raise AssertionError(f"no such element is written: {node.tag}")


RAISED = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹", "0123456789")


def bare(text: str) -> str:
    """Return an equation without brackets and spaces: a bar and a root do without them."""
    text = re.sub("([⁰¹²³⁴⁵⁶⁷⁸⁹]+)", lambda m: "^" + m[1].translate(RAISED), text)
    return re.sub(r"[()\s\u00a0]", "", text).replace("-", "−")


def equations(page: Xml.Element) -> Iterator[Xml.Element]:
    yield from page.iter("math")


@pytest.mark.parametrize("units", list(UnitSystem))
@pytest.mark.parametrize("name", FILES)
def test_every_check_of_every_example_opens(name: str, units: UnitSystem) -> None:
    done = designed(name)
    rows = rows_of(done)
    assert len(rows) == len(done.checks)
    assert len({row.key for row in rows}) == len(rows)
    for row in rows:
        check = row.check
        page = Xml.fromstring(  # noqa: S314  # our own markup
            f"<div>{head_of(row, units)}{body_of(done.parts[row.key.part], check, units)}</div>"
        )
        steps = page.findall(".//div[@class='step']")
        assert len(steps) == sum(not hasattr(step, "heading") for step in check.steps)
        text = "".join(page.itertext())
        assert check.id in text
        for step in check.steps:
            if isinstance(step, Computed):
                assert step.formula.cite.document in text
        for equation in equations(page):
            assert bare(words(equation)) == bare(equation.get("alttext", ""))


@pytest.mark.parametrize("name", FILES)
def test_the_page_shows_the_definition_that_ran(name: str) -> None:
    """The lines of a step on the page are those of the traversal that the printed calculation uses."""
    done = designed(name)
    row = next(r for r in rows_of(done) if any(isinstance(s, Computed) for s in r.check.steps))
    page = Xml.fromstring(  # noqa: S314
        str(body_of(done.parts[row.key.part], row.check, UnitSystem.SI))
    )
    shown = [e.get("alttext", "") for e in equations(page)]
    for step in row.check.steps:
        if isinstance(step, Computed):
            for line in written(step, PlainText(), UnitSystem.SI):
                expected = line.condition or f"= {line.result}"
                assert expected in shown


def test_mathml_writes_each_construct() -> None:
    n, p = MathML(), PlainText()

    def both(write: object) -> tuple[str, str]:
        ours, plain = write(n), write(p)  # type: ignore[operator]
        return bare(words(Xml.fromstring(f"<math>{ours}</math>"))), bare(plain)  # noqa: S314

    for write in (
        lambda m: m.symbol("sigma_v_prime"),
        lambda m: m.symbol("K_a_gamma"),
        lambda m: m.number("1.5", "kN/m²"),
        lambda m: m.number("30", "°"),
        lambda m: m.number("3 < 4 & 5", "<b>"),
        lambda m: m.sum(m.symbol("a"), "-", m.symbol("b")),
        lambda m: m.product(m.symbol("a"), m.negative(m.symbol("b"))),
        lambda m: m.quotient(m.symbol("a"), m.symbol("b")),
        lambda m: m.power(m.grouped(m.symbol("a")), m.number("2", "")),
        lambda m: m.root(m.symbol("a")),
        lambda m: m.function("atan", [m.symbol("a")]),
        lambda m: m.function("log10", [m.symbol("a")]),
        lambda m: m.function("max", [m.symbol("a"), m.symbol("b")]),
        lambda m: m.function("abs", [m.symbol("a")]),
        lambda m: m.joined([m.relation(m.symbol("a"), "<", m.symbol("b")), m.symbol("c")], "and"),
    ):
        ours, plain = both(write)
        assert ours == plain


HOSTILE = '<img src=x onerror="alert(1)">&amp;'


def test_typed_names_stay_text() -> None:
    text = (EXAMPLES / "three-row-layered-water.yaml").read_text("utf-8")
    quoted = HOSTILE.replace('"', '\\"')
    for old in ("Brick sewer", "C-C", "7 Chandler Street (four storeys)"):
        assert old in text
        text = text.replace(f"name: {old}", f'name: "{quoted} {old}"')
    done = design(read_text(text, "hostile"), slip_surfaces="leave out")
    rows = rows_of(done)
    for grouped in (True, False):
        table = str(list_table(rows, UnitSystem.SI, grouped=grouped, chosen=rows[0].key))
        assert "<img" not in table
        assert "&lt;img" in table
    for row in rows:
        page = f"{head_of(row, UnitSystem.SI)}{body_of(done.parts[0], row.check, UnitSystem.SI)}"
        assert "<img" not in page
        Xml.fromstring(f"<div>{page}</div>")  # noqa: S314


def test_the_list_is_filtered_and_grouped() -> None:
    rows = rows_of(designed("three-row-layered-water"))
    failing = filtered(rows, Asked(show="failing"))
    assert failing
    assert all(row.check.verdict == "fail" for row in failing)
    assert {r.check.verdict for r in filtered(rows, Asked(show="to be shown"))} == {"to be shown"}
    assert {r.check.id.split(".")[0] for r in filtered(rows, Asked(kind="wall"))} == {"wall"}
    sewer = filtered(rows, Asked(words="SEWER row 2"))
    assert [r.check.where for r in sewer] == ["row 2, Brick sewer"]
    assert filtered(rows, Asked(words="no such words")) == []
    used = [r.check.utilisation for r in rows if r.check.verdict != "to be shown"]
    assert used == sorted(used, reverse=True)
    assert "No check" in str(list_table([], UnitSystem.SI, grouped=False, chosen=None))


def test_one_row_is_on_the_way_of_the_tab_key() -> None:
    rows = rows_of(designed("two-row-sand"))
    for chosen in (None, rows[5].key, Key(9, "gone", "")):
        table = str(list_table(rows, UnitSystem.US, grouped=False, chosen=chosen))
        assert table.count('tabindex="0"') == 1


def test_an_address_finds_its_check() -> None:
    rows = rows_of(designed("two-row-sand"))
    row = found(rows, "anchor.bond-ground", "row 2")
    assert row is not None
    assert row.check.where == "row 2"
    worst = found(rows, "anchor.bond-ground", "row 99")
    assert worst is not None
    assert worst.check.id == "anchor.bond-ground"
    assert found(rows, "no.such-check") is None
