"""A load test as markup: the decision, every criterion, findings, plots, and readings."""

from __future__ import annotations

from collections.abc import Iterator

from markupsafe import Markup

from backstay.fieldbook.judged import JudgedTest
from backstay.fieldbook.lock_off_words import after_words, fails_words
from backstay.quantity import UnitSystem
from backstay.report.field.anchor_tables import criteria, findings, readings_table
from backstay.report.field.creep_plot import creep_figure, load_loss_figure
from backstay.report.field.load_movement import load_movement_figure
from backstay.report.field.stepped_plot import stepped_figure
from backstay.report.field.words import VERDICT, day, said, sentence_of
from backstay.stressing.rules import TestRules
from backstay.tables import sentence
from backstay.workbench.field.anchor_page import table
from backstay.workbench.markup import joined, tag

_SIGNS = {"accepted": ("✓", "verdict-pass"), "not accepted": ("✗", "verdict-fail"),
          "cannot be judged": ("✗", "verdict-fail")}  # fmt: skip


def shown_test(one: JudgedTest, rules: TestRules, units: UnitSystem) -> Markup:
    """Return a test on the page of its anchor."""
    record, judgement = one.record, one.judgement
    sign, look = _SIGNS.get(judgement.decision, ("○", "verdict-show"))
    title = f"Test {one.number}: {record.procedure.kind}, {day(record.on)}, at the jack {record.by or '–'}"
    decision = sentence(VERDICT[judgement.decision])
    parts: list[Markup] = [
        tag("h2", title),
        tag("p", f"{sign} {decision}", class_=f"verdict decision {look}"),
        tag("p", sentence_of(judgement.reason, units)),
    ]
    rows = [
        (c["name"], c["value"], c["limit"], c["used"], _met(c["verdict"]),
         "; ".join(filter(None, (c["note"], c["clause"]))))
        for c in criteria(judgement, units)
    ]  # fmt: skip
    if rows:
        heads = ("Criterion", "Found", "Limit", "Used", "Verdict", "Because, clause")
        parts.append(table(heads, rows, "lrrrll"))
    found = findings(judgement.findings, units)
    if found:
        parts.append(tag("h3", "Findings"))
        lines = [f"{f['weight']}: {f['text']} {f['clause']}".strip() for f in found]
        parts.append(tag("ul", [tag("li", line) for line in lines]))
    if one.lift_off is not None:
        parts.append(tag("p", f"Lift-off {said(one.lift_off.reason, units)}."))
    if one.after is not None:
        parts.append(tag("h3", "Since its lock-off"))
        since = [sentence_of(words, units) for words in after_words(one.after)]
        fails = [f"✗ {words}" for words in fails_words(one.after, units)]
        parts.append(tag("ul", [tag("li", words) for words in (*since, *fails)]))
    if record.readings:
        parts.append(tag("div", list(_plots(one, rules, units)), class_="plots"))
        made = readings_table(record, judgement.evaluation.points, units)
        readings = table(made.head, made.rows, made.align)
        parts.append(tag("details", tag("summary", f"{len(made.rows)} readings"), readings))
    return tag("section", joined(parts))


def _met(verdict: str) -> Markup:
    sign, look = {"met": ("✓", "verdict-pass"), "NOT MET": ("✗", "verdict-fail")}.get(
        verdict, ("○", "verdict-show")
    )
    return tag("span", f"{sign} {verdict.lower()}", class_=f"verdict {look}")


def _plots(one: JudgedTest, rules: TestRules, units: UnitSystem) -> Iterator[Markup]:
    """Yield the plots of the report."""
    record, judgement = one.record, one.judgement
    made = [load_movement_figure(record, judgement, rules, units)]
    method = record.procedure.method
    if method == "lock-off":
        made.append(load_loss_figure(record, judgement, rules, units))
    else:
        made.append(creep_figure(record, judgement, rules, units))
    if method == "stepped load":
        made.append(stepped_figure(record, judgement, rules, units))
    for figure in made:
        yield tag("div", Markup(figure), class_="drawing")  # noqa: S704  # our own figure
