"""The derivation of one check, line by line, in plain text."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console
from rich.padding import Padding
from rich.text import Text

from backstay.checked_surface import surface_of
from backstay.checks import Check, expand
from backstay.cite import Citation
from backstay.design import Part
from backstay.expression import Line, written
from backstay.notation import PlainText
from backstay.quantity import UnitSystem
from backstay.tables import comparison_words, sentence, utilisation_words
from backstay.terminal.console import page_console
from backstay.terminal.slices import print_slices
from backstay.trace import Computed, Remark, Stated, Step

_NOTATION = PlainText()


def print_derivation(
    found: Sequence[tuple[Part, Check]], units: UnitSystem, *, several: bool = False
) -> None:
    """Print checks with every step that leads to them; `several`: name the section or slope of each."""
    with page_console() as console:
        for i, (done, check) in enumerate(found):
            if i:
                console.print()
            _heading(console, done.title if several else "", check, units)
            for step in check.steps:
                _step(console, step, units)
            checked = surface_of(done, check)
            if checked is not None:
                print_slices(console, checked, units)
            _conclusion(console, check, units)


def _heading(console: Console, title: str, check: Check, units: UnitSystem) -> None:
    where = ", ".join(part for part in (title, check.where) if part)
    console.print(Text(sentence(check.name) + (f" ({where})" if where else ""), style="bold"))
    console.print(Text(f"{check.id}; {check.clause}"))
    if check.note:
        console.print(Text(expand(check.note, units)))


def _step(console: Console, step: Step, units: UnitSystem) -> None:
    match step:
        case Remark(text=text, heading=True):
            console.print()
            console.print(Text(expand(text, units), style="bold"))
        case Remark(text=text):
            _indented(console, expand(text, units), 2)
        case Stated():
            console.print()
            method = f": {expand(step.method, units)}" if step.method else ""
            _indented(
                console, f"{sentence(expand(step.title, units))}{method}{_source(step.cite)}", 2
            )
            value = step.quantity.text(step.value, units)
            _indented(console, f"{_NOTATION.symbol(step.symbol)} = {value}", 4)
        case Computed():
            console.print()
            _indented(console, f"{sentence(step.formula.title)}{_source(step.formula.cite)}", 2)
            if step.formula.empirical and units is UnitSystem.US:
                _indented(console, "(numbers in kN, m and kPa: the equation holds in these)", 2)
            for line in written(step, _NOTATION, units):
                _line(console, line)


def _source(citation: Citation | None) -> str:
    return f"  [{citation}]" if citation is not None else ""


def _line(console: Console, line: Line) -> None:
    if line.condition:
        put_in = f": {line.substituted}" if line.substituted else ""
        _indented(console, f"{line.condition}{put_in} {line.result}", 4)
        return
    parts = [part for part in (line.equation, line.substituted, line.result) if part]
    whole = f"{line.symbol} = {' = '.join(parts)}"
    if len(whole) <= console.width - 4:
        _indented(console, whole, 4)
        return
    _indented(console, f"{line.symbol} = {parts[0]}", 4, hang=len(line.symbol) + 3)
    for part in parts[1:]:
        _indented(console, f"= {part}", 5 + len(line.symbol), hang=2)


def _conclusion(console: Console, check: Check, units: UnitSystem) -> None:
    console.print()
    verdict = f"{comparison_words(check, units)}: utilisation {utilisation_words(check)}, {check.verdict.value}"
    console.print(Text(verdict, style="bold"))
    for words in (check.open_choice, check.remedy if check.verdict == "fail" else ""):
        if words:
            _indented(console, expand(words, units), 2)


def _indented(console: Console, text: str, indent: int, *, hang: int = 0) -> None:
    """Print text that wraps under itself."""
    lines = Text(text).wrap(console, max(20, console.width - indent - hang))
    for i, line in enumerate(lines):
        line.rstrip()
        console.print(Padding(line, (0, 0, 0, indent + (hang if i else 0)), expand=False))
