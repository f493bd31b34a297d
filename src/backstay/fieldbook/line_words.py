"""A line of the register in words: how far the anchor is, and its tests."""

from __future__ import annotations

from backstay.records.entries import RegisterLine


def state_words(line: RegisterLine) -> str:
    """Return how far an anchor is, with what is to be noticed of it."""
    marks = [f"by {line.replaced_by}" if line.replaced_by else ""]
    if line.exceptions:
        marks.append(f"{line.exceptions} exception{'s' * (line.exceptions > 1)}")
    if line.verdict_stale:
        marks.append("sign anew")
    said = "; ".join(mark for mark in marks if mark)
    return f"{line.state} ({said})" if said else line.state


def tests_words(line: RegisterLine) -> str:
    """Return the last test of an anchor, or those that the plan assigns where none has begun."""
    if not line.tests:
        return ", ".join(line.design.tests)
    return f"{line.test_kind} {line.test}{' (goes on)' * line.test_open}"
