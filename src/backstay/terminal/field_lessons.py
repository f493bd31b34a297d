"""What tests teach, and what a failed anchor does to the wall, on the terminal."""

from __future__ import annotations

from rich.text import Text

from backstay.checks import expand
from backstay.fieldbook.taught import Taught
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.stressing.derating import Derating
from backstay.tables import Table, Writer, sentence
from backstay.terminal.checks import print_checks, print_label
from backstay.terminal.console import page_console
from backstay.terminal.field import print_items
from backstay.terminal.table import print_table


def print_lessons(found: Taught, units: UnitSystem) -> None:
    """Print the bond by ground and grouting, the anchors to come, and those that stand out."""
    with page_console() as console:
        console.print(Text("What the tests teach of the bond", style="bold"))
        print_items(console, [sentence(expand(lesson.words, units)) for lesson in found.lessons])
        w = Writer(units)
        if found.effects:
            rows = tuple(
                (
                    f"{part} row {e.row}", f"{e.remaining}", w.cell(e.now, "length"), f"{e.share_before:.1%}",
                    f"{e.share:.1%}", f"{e.share_at_most:.1%}", f"{e.expected:.1f}", w.cell(e.needed, "length"),
                )
                for part, e in found.effects
            )  # fmt: skip
            head = (
                "Anchors to come", "", w.head("Bond", "length"), "Fail before", "Now", "At most",
                "Expected", w.head("Needed", "length"),
            )  # fmt: skip
            print_table(console, Table("Expected to fail their test", head, rows, "lrrrrrrr"))
        if found.outliers:
            console.print()
            console.print(
                Text("Anchors that stand out: look at log, grout and readings", style="bold")
            )
            print_items(console, [f"{o.anchor}: {expand(o.words, units)}" for o in found.outliers])


def print_derating(found: Derating, units: UnitSystem) -> None:
    """Print an anchor that failed: what it may carry, before and after, checks, advice."""
    force = QUANTITIES["force"]
    rated = found.rated
    with page_console() as console:
        console.print(Text(f"Anchor {found.anchor}, row {found.row}, down-rated", style="bold"))
        held = "none" if rated.held is None else force.text(rated.held, units)
        print_label(console, "Held", held)
        print_label(console, "May carry", f"{force.text(rated.load, units)} ({rated.clause})")
        print_label(console, "Lock off", f"at most at {force.text(rated.lock_off, units)}")
        print_label(
            console, "Lacking",
            f"{force.text(rated.lacking, units)} of {force.text(rated.wanted, units)} that the wall wants",
        )  # fmt: skip
        for one in found.beside:
            test = (
                "still to be tested" if one.held is None else f"held {force.text(one.held, units)}"
            )
            print_label(
                console, "Beside", f"{one.name}: {test}, may carry {force.text(one.rated, units)}"
            )
        rows = tuple(
            (
                line.what, line.where, _value(line.quantity, line.before, units),
                _value(line.quantity, line.after, units), _value(line.quantity, line.limit, units, ""),
            )
            for line in found.lines
        )  # fmt: skip
        head = ("Of the wall", "Where", "Before", "After", "Limit")
        print_table(console, Table("Before and after", head, rows, "llrrr"))
        print_checks(console, found.checks, units)
        if found.dig is not None:
            depth = QUANTITIES["length"].text(found.dig.depth, units)
            words = (
                "every stage in mean ground stands without it"
                if found.dig.full
                else f"dig no deeper than {depth} below the top of wall"
            )
            why = expand(found.dig.why, units)
            print_label(console, "Dig", f"{words}: {why}" if why else words)
        console.print(Text("What may be done", style="bold"))
        print_items(console, [sentence(expand(words, units)) for words in found.advice])
        verdict = "The wall carries on." if found.carries else f"{len(found.failing)} checks fail."
        console.print(Text(verdict, style="bold" if found.carries else "bold red"))


def _value(
    quantity: str, value: float | None, units: UnitSystem, none: str = "does not stand"
) -> str:
    return none if value is None else QUANTITIES[quantity].text(value, units)
