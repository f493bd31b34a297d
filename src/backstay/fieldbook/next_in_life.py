"""What is to be done next with an anchor that is not under test: by how far it is."""

from __future__ import annotations

from collections.abc import Mapping

from backstay.fieldbook.at_hand import next_kind
from backstay.records.entries import RegisterLine, State
from backstay.records.refusal import RefusedError

_NEXT: Mapping[State, str] = {
    "planned": "Record the decision on the contractor's submittal, then drill",
    "submittal": "Locate utilities, then drill the hole and keep its log",
    "drilled": "Place the tendon with its mill certificate, and grout",
    "accepted": "Lock off, and prove it by a lift-off reading",
    "locked off": "Prove the lock-off by a lift-off reading",
    "lifted off": "Nothing is open",
    "not accepted": "Repair and test again, down-rate, or replace: the engineer decides",
    "repaired": "Test again",
    "replaced": "Nothing is open: another anchor stands in its place",
}
"""Common practice: the order in which an anchor is made."""


def next_in_life(line: RegisterLine) -> str:
    """Return the next thing to do with an anchor, in words; while it is tested the judgement says it."""
    if line.verdict_stale:
        return "What its verdict rests on was changed since: judge it anew, and sign it"
    if line.state == "grouted":
        try:
            return f"Once the grout has its strength: {next_kind(line)} test"
        except RefusedError:
            return "Once the grout has its strength: test; the plan assigns no kind"
    if line.state == "stressed":
        if line.test_open:
            return f"The {line.test_kind} test goes on"
        return "The test is over: judge it, and sign the verdict"
    return _NEXT[line.state]
