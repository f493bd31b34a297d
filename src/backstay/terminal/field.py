"""The field on the terminal: register, plan of tests, submittals, and tests as they stand."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from itertools import groupby
from typing import TYPE_CHECKING

from rich.console import Console
from rich.table import Table as RichTable
from rich.text import Text

from backstay.checks import expand
from backstay.fieldbook.line_words import state_words, tests_words
from backstay.fieldbook.lock_off_words import after_words, fails_words
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.tables import Table, Writer, sentence
from backstay.terminal.checks import print_checks
from backstay.terminal.console import page_console
from backstay.terminal.table import print_table

if TYPE_CHECKING:
    from backstay.fieldbook.after_lock_off import AfterLockOff
    from backstay.fieldbook.judged import JudgedTest
    from backstay.records.entries import RegisterLine
    from backstay.stressing.judge import Judgement
    from backstay.stressing.plan import PlannedAnchor, TestPlan
    from backstay.stressing.rules import TestRules
    from backstay.stressing.submittal import SubmittalReview

_STYLE = {"accepted": "bold", "not accepted": "bold red", "cannot be judged": "bold red"}
CAUTION = (
    "Nobody stands behind the jack or in line with the tendon while there is load on it. The tool "
    "advises; the engineer of record decides."
)


def print_register(lines: Sequence[RegisterLine], units: UnitSystem) -> None:
    """Print the anchors of each part with their states, and how many are in each."""
    counts = Counter(line.state for line in lines)
    with page_console() as console:
        for part, members in groupby(lines, key=lambda line: line.part):
            print_table(console, _register_table(part, list(members), units))
        console.print()
        states = ", ".join(f"{n} {state}" for state, n in counts.items())
        console.print(
            Text(f"{len(lines)} anchors: {states}" if lines else "No anchor is in this state.")
        )


def _register_table(part: str, lines: Sequence[RegisterLine], units: UnitSystem) -> Table:
    w = Writer(units)
    rows = tuple(
        (
            _short(a.anchor, part), "–" if a.pile is None else f"{a.pile}", state_words(a),
            a.since.date().isoformat(), w.cell(a.design.design_load, "force"),
            w.cell(a.design.test_load, "force"), tests_words(a),
            a.verdict or ("open" if a.tests else ""),
            w.cell(a.lift_off_load if a.lift_off_load is not None else a.lock_off_load, "force"),
        )
        for a in lines
    )  # fmt: skip
    unit = QUANTITIES["force"].unit(units).label
    head = ("Anchor", "Pile", "State", "Since", "Design", "Test", "Tests", "Verdict", "Locked")
    return Table(f"{part}, loads in {unit}", head, rows, "lrllrrllr")


def _short(anchor: str, part: str) -> str:
    """Return the name of an anchor without its part, where the part stands above it."""
    return anchor.removeprefix(f"{part}-")


def print_plan(plans: Sequence[TestPlan], rules: TestRules, units: UnitSystem) -> None:
    """Print which test each anchor has, like ones together, and why."""
    w = Writer(units)
    with page_console() as console:
        console.print(Text(f"Tests by {rules.title}", style="bold"))
        for plan in plans:
            rows = []
            for _, group in groupby(plan.anchors, key=_like):
                members = list(group)
                first = members[0]
                rows.append(
                    (
                        _range(members, plan.part), f"{len(members)}", " and ".join(first.tests),
                        w.cell(first.design.test_load, "force"), f"{first.reason} ({first.clause})",
                    )
                )  # fmt: skip
            head = ("Anchors", "", "Test", w.head("To", "force"), "Why")
            print_table(console, Table(f"Plan of tests, {plan.part}", head, tuple(rows), "lrlrl"))


def _like(one: PlannedAnchor) -> tuple[object, ...]:
    return one.identity.row, one.identity.trial, one.tests, one.reason


def _range(members: Sequence[PlannedAnchor], part: str) -> str:
    first, last = _short(members[0].identity.name, part), _short(members[-1].identity.name, part)
    return first if first == last else f"{first} to {last}"


def print_submittal(review: SubmittalReview, units: UnitSystem) -> None:
    """Print the decision on a submittal, and why."""
    with page_console() as console:
        style = "bold red" if review.decision == "revise" else "bold"
        console.print(
            Text(f"Submittal {review.submittal.submittal}: {review.decision.upper()}", style=style)
        )
        print_items(console, review.reasons(units))
        met = sum(not item.failed for item in review.items)
        console.print(Text(f"{met} of {len(review.items)} lines are met."))


def print_standing(anchor: str, number: int, judgement: Judgement, units: UnitSystem) -> None:
    """Print how a test stands in a few lines: at the jack one asks what comes next."""
    with page_console() as console:
        _head(console, anchor, number, "", judgement, units)
        _rest(console, judgement, units)


def print_judgements(found: Sequence[JudgedTest], units: UnitSystem) -> None:
    """Print tests as judged: one in full, several each in short after a table of all."""
    with page_console() as console:
        if len(found) > 1:
            _overview(console, found, units)
        for one in found:
            console.print()
            kind = one.record.procedure.kind
            _head(console, one.line.anchor, one.number, kind, one.judgement, units, one.standing)
            if len(found) == 1 and one.judgement.checks:
                checks = [replace(check, where="") for check in one.judgement.checks]
                print_checks(console, checks, units)
                print_items(
                    console, [f"Waiting: {expand(o.words, units)}" for o in one.judgement.waiting]
                )
                console.print()
            _rest(console, one.judgement, units)
            _lift_off(console, one, units)
            if one.after is not None:
                _after_lock_off(console, one.after, units, whole=len(found) == 1)
        console.print()
        console.print(Text(CAUTION, style="dim"))


def _overview(console: Console, found: Sequence[JudgedTest], units: UnitSystem) -> None:
    w = Writer(units)
    rows = []
    for one in found:
        checks = one.judgement.checks
        used = max((c.utilisation for c in checks), default=None)
        rows.append(
            (
                one.line.anchor, f"{one.record.procedure.kind} {one.number}", one.judgement.decision,
                w.cell(one.judgement.evaluation.held_load, "force"), "–" if used is None else f"{used:.0%}",
                one.standing,
            )
        )  # fmt: skip
    head = ("Anchor", "Test", "Decision", w.head("Held", "force"), "Most used", "Locked off")
    print_table(console, Table("Tests as judged", head, tuple(rows), "lllrrl"))


def _head(
    console: Console, anchor: str, number: int, kind: str, judgement: Judgement, units: UnitSystem,
    standing: str = "",
) -> None:  # fmt: skip
    """Print anchor and decision; standing: of its load, said here where it is not as it should be."""
    words = f"Anchor {anchor}, {kind + ' ' if kind else ''}test {number}: "
    text = Text(words, style="bold")
    text.append(judgement.decision.upper(), style=_STYLE.get(judgement.decision, "bold"))
    if standing not in ("", "in tolerance"):
        text.append(f" by its test; {standing.upper()}", style="bold red")
    console.print(text)
    if all(step.words != judgement.reason for step in judgement.next):
        print_items(console, [sentence(expand(judgement.reason, units))])


def _rest(console: Console, judgement: Judgement, units: UnitSystem) -> None:
    """Print findings and what is allowed next."""
    held = judgement.evaluation.held_load
    if judgement.decision == "not accepted" and held is not None:
        print_items(console, [f"Greatest load held: {QUANTITIES['force'].text(held, units)}"])
    if judgement.findings:
        console.print(Text("Findings", style="bold"))
        print_items(console, [expand(f.text, units) for f in judgement.findings])
    if judgement.next:
        console.print(Text("Allowed next", style="bold"))
        steps = dict.fromkeys(
            f"{sentence(expand(n.words, units))} ({n.cite})" for n in judgement.next
        )
        print_items(console, list(steps))


def _lift_off(console: Console, one: JudgedTest, units: UnitSystem) -> None:
    if one.lift_off is None:
        return
    kept = one.after is None or one.after.kept
    head = "Lift-off" if kept else "Lift-off, before the load that was read last"
    console.print(Text(head, style="bold"))
    print_items(console, [sentence(expand(one.lift_off.reason, units))])
    print_items(
        console, [f"{sentence(expand(n.words, units))} ({n.cite})" for n in one.lift_off.next]
    )


def _after_lock_off(
    console: Console, after: AfterLockOff, units: UnitSystem, *, whole: bool
) -> None:
    """Print seating and load with time. whole: with every check, else with what fails alone."""
    style = "bold" if after.sound else "bold red"
    console.print(Text("Since the lock-off", style=style))
    words = [*after_words(after), *fails_words(after, units)]
    print_items(console, [sentence(expand(one, units)) for one in words])
    if whole and after.checks:
        print_checks(console, [replace(check, where="") for check in after.checks], units)
    if after.next:
        console.print(Text("What the rules allow for its load", style="bold"))
        print_items(console, [f"{sentence(expand(n.words, units))} ({n.cite})" for n in after.next])


def print_items(console: Console, words: Sequence[str]) -> None:
    """Print sentences as a list."""
    for one in words:
        grid = RichTable.grid(padding=(0, 1))
        grid.add_column(width=1)
        grid.add_column(ratio=1)
        grid.add_row("-", Text(one))
        console.print(grid)
