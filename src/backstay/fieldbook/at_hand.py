"""The test that readings belong to: one that goes on, or one that begins with them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from backstay.records.entries import RegisterLine
from backstay.records.facts import TestBegun, TestClosed
from backstay.records.refusal import RefusedError
from backstay.records.store import Records
from backstay.stressing.jack import Jack
from backstay.stressing.procedure import TestKind
from backstay.stressing.record import TestRecord
from backstay.stressing.rules import TestRules
from backstay.stressing.schedules import procedure_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What is asked for with a table.

    anchor: as written, "" where the table names it; kind: of a test that begins, the next that the
    plan assigns where it is None; jack, certificate: "" for the only one; jack_length: m, that of
    the design where it is None; residual: whether a proof test ends at the alignment load; tested_by:
    who was at the jack; on: when the test began; closed: whether it is over, stopped: why before
    its end; as_read: recorded although the table looks wrong; exception: although it does not fit.
    """

    anchor: str = ""
    kind: TestKind | None = None
    jack: str = ""
    certificate: str = ""
    jack_length: float | None = None
    residual: bool = True
    tested_by: str
    on: datetime | None = None
    closed: bool = False
    stopped: str = ""
    as_read: bool = False
    exception: str = ""


@dataclass(frozen=True, slots=True)
class TestAtHand:
    """A test that readings belong to. begun: the fact that begins it, None where it goes on."""

    line: RegisterLine
    number: int
    begun: TestBegun | None
    record: TestRecord


def closing(line: RegisterLine, number: int, asked: Asked) -> TestClosed | None:
    """Return that a test is over, where it is."""
    if asked.stopped:
        return TestClosed(anchor=line.anchor, test=number, ended="stopped", why=asked.stopped)
    return TestClosed(anchor=line.anchor, test=number) if asked.closed else None


def going_on(line: RegisterLine, records: Records) -> TestAtHand:
    """Return the test that goes on."""
    return TestAtHand(line, line.test or 0, None, records.test_record(line.anchor))


def beginning(line: RegisterLine, asked: Asked, records: Records, rules: TestRules) -> TestAtHand:
    """Return the test that begins. Raises RefusedError, DesignError."""
    anchor = records.anchor_to_test(line.anchor, jack_length=asked.jack_length)
    kind = asked.kind or next_kind(line)
    factor = line.design.test_load / line.design.design_load
    procedure = procedure_of(kind, anchor, factor, rules, residual=asked.residual)
    jack = the_jack(records.jacks(), asked.jack, asked.certificate)
    begun = TestBegun(
        anchor=line.anchor, procedure=procedure, jack=jack.name, certificate=jack.calibration.certificate,
        jack_length=anchor.jack_length, tested_by=asked.tested_by,
    )  # fmt: skip
    number = line.tests + 1 if line.test is None else line.test + 1
    record = TestRecord(
        anchor=anchor, procedure=procedure, jack=jack, readings=(), by=asked.tested_by, on=asked.on
    )
    return TestAtHand(line, number, begun, record)


def next_kind(line: RegisterLine) -> TestKind:
    """Return the kind of test that an anchor has next by the plan. Raises RefusedError."""
    planned = line.design.tests
    if not planned:
        raise RefusedError(f"{line.anchor}: the plan assigns no test; name the kind")
    if line.verdict == "not accepted" or line.tests >= len(planned):
        return planned[-1]
    return planned[line.tests]


def the_jack(jacks: Sequence[Jack], name: str, certificate: str) -> Jack:
    """Return the jack that is named, or the only one. Raises RefusedError with the choices."""
    fitting = [
        jack for jack in jacks
        if name in ("", jack.name) and certificate in ("", jack.calibration.certificate)
    ]  # fmt: skip
    if name and len(fitting) > 1:  # the certificate that was issued last
        return max(fitting, key=lambda jack: jack.calibration.on)
    if len(fitting) == 1:
        return fitting[0]
    known = ", ".join(f"{j.name} (certificate {j.calibration.certificate})" for j in jacks)
    if not jacks:
        raise RefusedError("no jack is recorded yet: enter it with its certificate in a field book")
    if not fitting:
        raise RefusedError(f"there is no jack {name!r} with certificate {certificate!r}; there are: {known}"
                           if certificate else f"there is no jack {name!r}; there are: {known}")  # fmt: skip
    raise RefusedError(f"name the jack; there are: {known}")
