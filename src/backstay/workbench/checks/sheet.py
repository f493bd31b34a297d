"""One check opened: its verdict, comparison, clause, derivation, and the tables of its analysis."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from markupsafe import Markup

from backstay.checked_surface import Checked, surface_of
from backstay.checks import Check, Sense, Verdict, expand
from backstay.design import Part, SectionDesign
from backstay.quantity import UnitSystem
from backstay.report.prose import prose
from backstay.slip_tables import (
    SLICES_WORDS,
    applied_table,
    closing_table,
    equilibrium_words,
    one_slice_table,
    safety_words,
    slices_table,
    strength_words,
)
from backstay.stability.least_surface import METHOD_NAMES
from backstay.stability.slip_forces import applied_forces, heaviest, slice_forces
from backstay.staged_tables import extremes_table, staged_comparison_table, staged_table
from backstay.tables import Table, place_words, sentence, utilisation_words
from backstay.workbench.checks.derivation import derivation
from backstay.workbench.checks.listing import SIGNS, Row, compared
from backstay.workbench.markup import table_of, tag

_STAGED = ("wall.staged-", "anchor.staged-")


def head_of(row: Row, units: UnitSystem) -> Markup:
    """Return the head of an opened check: name, place, verdict, comparison, clause, what would help."""
    check = row.check
    place = expand(place_words(check), units)
    sign, word, look = SIGNS[check.verdict]
    demand, limit = compared(check, units)
    settled = check.verdict is not Verdict.SHOW
    words = ("Demand", "Limit") if check.sense is Sense.AT_MOST else ("Provided", "Required")
    facts = (
        (words[0], demand),
        (words[1], limit),
        ("Utilisation", utilisation_words(check) if settled else "left open"),
        ("Clause", prose(str(check.clause), units)),
        ("Identifier", check.id),
    )
    return tag(
        "div",
        tag("p", ", ".join(filter(None, (row.title, place))), class_="quiet"),
        tag("h2", sentence(expand(check.name, units)), id="check-title", tabindex="-1"),
        tag("p", tag("span", f"{sign} {word}", class_=f"verdict {look}")),
        tag("dl", *(tag("div", tag("dt", a), tag("dd", b)) for a, b in facts), class_="facts"),
        *_words(check, units),
        class_="check-head",
    )


def _words(check: Check, units: UnitSystem) -> Iterator[Markup]:
    if check.note:
        yield tag("p", sentence(prose(check.note, units)))
    if check.verdict is Verdict.SHOW:
        shown = tag("strong", "What is to be shown: ")
        yield tag("p", shown, prose(check.open_choice, units), class_="notice")
    if check.verdict is Verdict.FAIL and check.remedy:
        helps = tag("strong", "What would help: ")
        yield tag("p", helps, prose(check.remedy, units), class_="notice")


def body_of(part: Part, check: Check, units: UnitSystem) -> Markup:
    """Return the derivation of a check, and the tables of the search or the stages that it stands on."""
    return tag(
        "div",
        tag("h3", "Derivation"),
        derivation(check.steps, units),
        *_analysis(part, check, units),
    )


def _analysis(part: Part, check: Check, units: UnitSystem) -> Iterator[Markup]:
    checked = surface_of(part, check)
    if checked is not None:
        yield from _slices(checked, units)
    if isinstance(part, SectionDesign) and check.id.startswith(_STAGED):
        tables = [staged_comparison_table(part, units), staged_table(part, units)]
        extremes = extremes_table(part.staged.mean, part, units)
        yield _folded("Stages of the dig", [*tables, *([extremes] if extremes else [])])


def _slices(checked: Checked, units: UnitSystem) -> Iterator[Markup]:
    model, result = checked.model, checked.result
    if result.slices is None:
        return
    applied = applied_forces(model, result)
    tables = [applied_table(applied, units, datum=checked.datum)] if applied else []
    whole = slices_table(result, units, datum=checked.datum)
    tables.append(closing_table(whole, result, to_left=model.to_left))
    one = heaviest(result.slices)
    tables.append(one_slice_table(slice_forces(result.slices, one, to_left=model.to_left), units))
    named = f"Slices, F = {safety_words(result.F)}, {METHOD_NAMES[result.method]}"
    words = (
        equilibrium_words(result, model, units),
        f"{SLICES_WORDS} Left over: of the sum of all forces, over the heaviest slice.",
        strength_words(result.slices, one, result.F, units),
    )
    yield _folded(named, tables, words)


def _folded(title: str, tables: Sequence[Table], words: Sequence[str] = ()) -> Markup:
    return tag(
        "details",
        tag("summary", title),
        *(tag("p", prose_line) for prose_line in words),
        *(tag("div", table_of(table), class_="wide", tabindex="0") for table in tables),
    )
