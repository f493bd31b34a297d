"""A look at a reading before it is taken: what the judgement would find in it."""

from __future__ import annotations

from dataclasses import replace

from backstay.stressing.findings import Finding
from backstay.stressing.judge import judge
from backstay.stressing.record import TestRecord
from backstay.workbench.jack.asked import Read
from backstay.workbench.jack.numbers import reading
from backstay.workbench.jack.shown import Json, both
from backstay.workbench.jack.site import JackSite
from backstay.workbench.jack.standing import finding


def look(site: JackSite, anchor: str, unsent: tuple[Read, ...], candidate: Read) -> Json:
    """Return what a reading would bring up, after those that are kept on the tablet still.

    Raises RefusedError for a number that is none, or where no test goes on; DesignError.
    """
    record = site.records.test_record(anchor)
    number = max((r.number for r in record.readings), default=0)
    before = list(record.readings)
    for one in unsent:
        number += 1
        before.append(reading(one, record.procedure, number))
    made = reading(candidate, record.procedure, number + 1)
    known = {_key(f) for f in _findings(replace(record, readings=tuple(before)), site)}
    after = _findings(replace(record, readings=(*before, made)), site)
    new = [f for f in after if _key(f) not in known and _is_about(f, made.number)]
    return {"in": both(lambda units: [finding(f, units) for f in new])}


def _findings(record: TestRecord, site: JackSite) -> tuple[Finding, ...]:
    return judge(record, site.rules).findings


def _key(found: Finding) -> tuple[str, tuple[int, ...], str]:
    return found.code, found.readings, found.words if not found.readings else ""


def _is_about(found: Finding, number: int) -> bool:
    return not found.readings or number in found.readings
