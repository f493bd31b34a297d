"""What an anchor did since its lock-off, as the page shows it: what the command prints, in both units."""

from __future__ import annotations

from collections.abc import Callable

from backstay.checks import Check
from backstay.fieldbook.after_lock_off import AfterLockOff
from backstay.fieldbook.judged import JudgedTest
from backstay.fieldbook.lock_off_words import after_words, fails_words
from backstay.quantity import UnitSystem
from backstay.records.anchor_file import AnchorFile
from backstay.records.facts import Remark
from backstay.stressing.next_step import NextStep
from backstay.workbench.jack.shown import Json, capital, words

AS_IT_SHOULD_BE = ("", "in tolerance")
"""How the load of an anchor stands where the decision on its test says enough."""


def load_words(one: JudgedTest) -> str:
    """Return how the load stands, where it is not as it should be."""
    return "" if one.standing in AS_IT_SHOULD_BE else one.standing


def since_lock_off(
    after: AfterLockOff | None,
    units: UnitSystem,
    check: Callable[[Check, UnitSystem], Json],
    step: Callable[[NextStep], Json],
) -> Json | None:
    """Return seating against what was foreseen, the load with time, what fails and what is allowed.

    check, step: how one of each is written.
    """
    if after is None:
        return None
    return {
        "sound": after.sound,
        "words": [capital(words(one, units)) for one in after_words(after)],
        "fails": [capital(words(one, units)) for one in fails_words(after, units)],
        "checks": [check(one, units) for one in after.checks],
        "next": [step(one) for one in after.next],
    }


def remarks(file: AnchorFile) -> list[Json]:
    """Return the remarks on an anchor, in the order made."""
    return [
        {
            "text": entry.fact.text, "by": entry.author,
            "at": (entry.happened or entry.recorded).isoformat(),
        }
        for entry in file.of(Remark)
        if entry.fact is not None
    ]  # fmt: skip
