"""The steps that lead to a check, as markup: symbol = equation = numbers put in = result, source.

Written from the trace by the one traversal that writes the printed calculation
(`backstay.expression.written`), here in MathML; each equation carries the same as plain text.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from markupsafe import Markup

from backstay.cite import Citation
from backstay.expression import Line, written
from backstay.mathml import MathML
from backstay.notation import PlainText
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.report.prose import prose
from backstay.tables import sentence
from backstay.trace import Computed, Remark, Stated, Step
from backstay.workbench.markup import joined, math, tag

_MATHML, _PLAIN = MathML(), PlainText()
_EQUALS = "<mo>=</mo>"
_IN_SI = "Numbers in kN, m and kPa: the equation holds in these."


def derivation(steps: Sequence[Step], units: UnitSystem) -> Markup:
    """Return the steps as an ordered list, with their headings, and the symbols that they use.

    Raises FormulaError where a definition cannot be shown.
    """
    if not steps:
        return tag("p", "There is nothing to derive: what is compared is given.", class_="quiet")
    parts = [
        tag("div", *_heading(heading, units), *(_step(s, units) for s in group), class_="part")
        for heading, group in _by_heading(steps)
    ]
    return tag("div", *parts, _symbols(steps, units), class_="derivation")


def _by_heading(steps: Sequence[Step]) -> Iterator[tuple[str, list[Step]]]:
    heading, group = "", list[Step]()
    for step in steps:
        if isinstance(step, Remark) and step.heading:
            if group or heading:
                yield heading, group
            heading, group = step.text, []
        else:
            group.append(step)
    yield heading, group


def _heading(text: str, units: UnitSystem) -> Iterator[Markup]:
    if text:
        yield tag("h4", sentence(prose(text, units)))


def _step(step: Step, units: UnitSystem) -> Markup:
    match step:
        case Remark(text=text):
            return tag("p", sentence(prose(text, units)), class_="said")
        case Stated():
            return _stated(step, units)
        case Computed():
            return _computed(step, units)


def _stated(step: Stated, units: UnitSystem) -> Markup:
    unit = step.quantity.unit(units)
    number = step.quantity.number(step.value, units)
    line = Line(
        _MATHML.symbol(step.symbol), "", "", _MATHML.number(number.replace("-", "−"), unit.label)
    )
    plain = Line(_PLAIN.symbol(step.symbol), "", "", step.quantity.text(step.value, units))
    method = f": {prose(step.method, units)}" if step.method else ""
    return tag(
        "div",
        tag("p", sentence(prose(step.title, units)), method, _source(step.cite, units)),
        _equation(line, plain),
        class_="step",
    )


def _computed(step: Computed, units: UnitSystem) -> Markup:
    formula = step.formula
    both = zip(written(step, _MATHML, units), written(step, _PLAIN, units), strict=True)
    note: list[Markup] = []
    if formula.empirical and units is UnitSystem.US:
        note = [tag("p", _IN_SI, class_="quiet")]
    return tag(
        "div",
        tag("p", sentence(prose(formula.title, units)), _source(formula.cite, units)),
        *note,
        *(_equation(line, plain) for line, plain in both),
        class_="step",
    )


def _source(citation: Citation | None, units: UnitSystem) -> Markup:
    if citation is None:
        return Markup("")
    return joined([" ", tag("cite", prose(str(citation), units))])


def _equation(line: Line, plain: Line) -> Markup:
    """Return one line: the whole, or a condition with whether it holds."""
    if line.condition:
        put_in: list[Markup | str] = []
        if line.substituted and line.substituted != line.condition:
            put_in = [": ", math(line.substituted, alt=plain.substituted)]
        shown = math(line.condition, alt=plain.condition)
        return tag("p", shown, *put_in, f" {line.result}", class_="condition")
    parts = [
        (part, text)
        for part, text in zip(
            (line.equation, line.substituted, line.result),
            (plain.equation, plain.substituted, plain.result),
            strict=True,
        )
        if part
    ]
    rows = []
    for i, (part, text) in enumerate(parts):
        symbol = math(line.symbol, alt=plain.symbol) if i == 0 else ""
        result = "result" if i == len(parts) - 1 else None
        rows += [
            tag("span", symbol, class_="left"),
            tag("span", math(_EQUALS + part, alt=f"= {text}"), class_=result),
        ]
    return tag("div", *rows, class_="equation")


def _symbols(steps: Sequence[Step], units: UnitSystem) -> Markup:
    """Return what the symbols of the formulas mean, each once."""
    known: dict[tuple[str, str], str] = {}
    for step in steps:
        if isinstance(step, Computed):
            for argument in step.formula.arguments:
                unit = QUANTITIES[argument.quantity.name].unit(units).label
                known.setdefault((argument.name, prose(argument.meaning, units)), unit)
    if not known:
        return Markup("")
    rows = [
        tag(
            "tr",
            tag("th", math(_MATHML.symbol(name), alt=_PLAIN.symbol(name)), scope="row"),
            tag("td", meaning),
            tag("td", unit),
        )
        for (name, meaning), unit in sorted(known.items(), key=lambda item: item[0][0].lower())
    ]
    return tag(
        "details",
        tag("summary", "Symbols used here"),
        tag("table", tag("tbody", *rows), class_="sheet symbols"),
    )
