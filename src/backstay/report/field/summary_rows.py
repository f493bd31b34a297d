"""What the summary of a wall says: numbers by row and state, tests done and planned, actions."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

from backstay.checks import Check
from backstay.drawing.state_signs import SIGNS
from backstay.fieldbook.after_lock_off import AfterLockOff
from backstay.fieldbook.lock_off_words import fails_words
from backstay.quantity import UnitSystem
from backstay.records.entries import RegisterLine, State
from backstay.report.field.words import VERDICT, plain, said, sentence_of, short, source
from backstay.stressing.judge import Judgement
from backstay.stressing.lift_off import LiftOffJudgement
from backstay.stressing.next_step import NextStep
from backstay.stressing.record import TestRecord
from backstay.tables import Table, sentence

Judged = tuple[TestRecord, Judgement]
_DONE: frozenset[State] = frozenset({"accepted", "locked off", "lifted off", "replaced"})
_HARDLY = frozenset({"test.load-reached"})
"""Criteria whose use says nothing of the margin: the test load is reached, and no more."""


def latest(judged: Sequence[Judged]) -> dict[str, Judged]:
    """Return the last test of each anchor, in the order given."""
    return {record.anchor.name: (record, judgement) for record, judgement in judged}


def row_table(lines: Sequence[RegisterLine], judged: Sequence[Judged]) -> Table:
    """Return a line for each row: anchors by state, tests done and planned, the least margin."""
    last = latest(judged)
    used = [state for state in SIGNS if any(line.state == state for line in lines)]
    rows = []
    for (part, row), members in _rows(lines).items():
        counts = Counter(line.state for line in members)
        rows.append(
            (
                plain(part), f"{row}", f"{len(members)}", *(str(counts[s] or "–") for s in used),
                _tests(members, judged), _margin(members, last),
            )
        )  # fmt: skip
    if len(rows) > 1:
        counts = Counter(line.state for line in lines)
        rows.append(
            (
                "All", "", f"{len(lines)}", *(str(counts[s] or "–") for s in used),
                _tests(lines, judged), _margin(lines, last),
            )
        )  # fmt: skip
    head = (
        "Part", "Row", "Anchors", *(f"{SIGNS[s].letter} {s}" for s in used),
        "Tests done of planned", "Most of a limit used",
    )  # fmt: skip
    weights = (1.4, 0.6, 0.9, *(1.0 for _ in used), 3.0, 3.6)
    return Table("By row", head, tuple(rows), "lrr" + "r" * len(used) + "ll", weights)


def _rows(lines: Sequence[RegisterLine]) -> dict[tuple[str, int], list[RegisterLine]]:
    found: dict[tuple[str, int], list[RegisterLine]] = {}
    for line in sorted(lines, key=lambda x: (x.part, x.row, x.number)):
        found.setdefault((line.part, line.row), []).append(line)
    return found


def _tests(lines: Sequence[RegisterLine], judged: Sequence[Judged]) -> str:
    """Return the tests done of those planned, kind by kind."""
    names = {line.anchor for line in lines}
    planned = Counter(kind for line in lines for kind in line.design.tests)
    done = {
        (line.anchor, line.test_kind) for line in lines if line.test_kind and not line.test_open
    } | {
        (r.anchor.name, r.procedure.kind) for r, _ in judged if r.closed and r.anchor.name in names
    }
    made = Counter(kind for _, kind in done if kind)
    kinds = [*planned, *(k for k in made if k not in planned)]
    return ", ".join(f"{kind} {made[kind]} of {planned[kind]}" for kind in kinds) or "–"


def _margin(lines: Sequence[RegisterLine], last: Mapping[str, Judged]) -> str:
    """Return the criterion that is used most: how much of its limit, and at which anchor."""
    found: list[tuple[float, Check]] = [
        (check.utilisation, check)
        for line in lines
        if line.anchor in last
        for check in last[line.anchor][1].checks
        if check.id not in _HARDLY
    ]
    if not found:
        return "–"
    used, check = max(found, key=lambda pair: pair[0])
    share = f"{100 * used:.0f}%" if used < 1e3 else "∞"
    return f"{share}: {sentence(check.name)}, {short(check.where, 30)}"


def actions(
    lines: Sequence[RegisterLine],
    judged: Sequence[Judged],
    lift_offs: Mapping[str, LiftOffJudgement],
    units: UnitSystem,
    after: Mapping[str, AfterLockOff] | None = None,
) -> list[dict[str, object]]:
    """Return the anchors that ask for something: why, and what the rules allow next."""
    last = latest(judged)
    found: list[dict[str, object]] = []
    known = {line.anchor for line in lines}
    for line in lines:
        since = (after or {}).get(line.anchor)
        asks = list(_asks(line, last.get(line.anchor), lift_offs.get(line.anchor), since, units))
        if asks:
            found.append(
                {
                    "anchor": short(line.anchor, 30), "state": line.state,
                    "why": [why for why, _ in asks], "next": [n for _, steps in asks for n in steps],
                }
            )  # fmt: skip
    for name, (record, judgement) in last.items():
        if name not in known:
            found.append(
                {
                    "anchor": short(record.anchor.name, 30), "state": "not in the register",
                    "why": [f"{VERDICT[judgement.decision]}: {said(judgement.reason, units)}"],
                    "next": _next(judgement.next, units),
                }
            )  # fmt: skip
    return found


def _asks(
    line: RegisterLine,
    judged: Judged | None,
    lift_off: LiftOffJudgement | None,
    after: AfterLockOff | None,
    units: UnitSystem,
) -> Iterator[tuple[str, list[dict[str, str]]]]:
    if line.state == "replaced":
        return
    settled = line.verdict == "accepted" and not line.verdict_stale and line.state in _DONE
    if judged is not None and judged[1].decision != "accepted" and not settled:
        judgement = judged[1]
        why = f"{VERDICT[judgement.decision]}: {said(judgement.reason, units)}"
        yield sentence(why), _next(judgement.next, units)
    elif line.state in ("not accepted", "repaired"):
        words = "Not accepted" if line.state == "not accepted" else "Repaired: to be tested again"
        yield words, []
    if line.verdict_stale:
        yield "What its verdict rests on was changed since: judge it anew, and sign it", []
    if lift_off is not None and lift_off.standing != "in tolerance":
        yield f"Lift-off {said(lift_off.reason, units)}", _next(lift_off.next, units)
    if after is not None and not after.sound:
        why = "; ".join(sentence_of(words, units) for words in fails_words(after, units))
        yield f"Since the lock-off: {why}", _next(after.next, units)


def _next(steps: Sequence[NextStep], units: UnitSystem) -> list[dict[str, str]]:
    return [
        {"action": s.action, "text": sentence_of(s.words, units), "clause": source(s.cite)}
        for s in steps
    ]  # fmt: skip
