"""The review of a contractor's submittal on one page: the decision, why, and every line compared."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from backstay.checks import Verdict
from backstay.files import atomic_write
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.report.field.words import heading, plain, said, sentence_of, short, source
from backstay.report.typesetting import typeset_pdf
from backstay.stressing.submittal import SubmittalReview
from backstay.stressing.submittal_items import Item
from backstay.tables import comparison_words, place_words, sentence

if TYPE_CHECKING:
    from backstay.model.project import ProjectData

_CAUTION = (
    "This review advises. Acceptance of a submittal takes no duty from the contractor; local codes, the "
    "contract and the engineer of record decide. Utilities are located before any hole is drilled."
)


def write_submittal_page(
    review: SubmittalReview,
    path: Path,
    units: UnitSystem,
    *,
    project: ProjectData | None = None,
) -> Path:
    """Write the page of a submittal; the file is whole or not there."""
    atomic_write(path, submittal_page_bytes(review, units, project=project))
    return path


def submittal_page_bytes(
    review: SubmittalReview, units: UnitSystem, *, project: ProjectData | None = None
) -> bytes:
    """Return the PDF of the page."""
    page = _page(review, units)
    data = {**heading(project, units), "title": page["title"], "pages": [page]}
    return typeset_pdf("field.typ", data, {}, what="the page of a submittal")


def _page(review: SubmittalReview, units: UnitSystem) -> dict[str, Any]:
    submittal = review.submittal
    failed = [item for item in review.items if item.failed]
    failed.sort(key=lambda item: item.weight != "revise")
    shown = [i for i in review.items if i.check.verdict is Verdict.SHOW]
    met = [i for i in review.items if not i.failed and i.check.verdict is not Verdict.SHOW]
    rows = ", ".join(str(row) for row in submittal.rows)
    return {
        "kind": "submittal", "title": f"Submittal {short(submittal.submittal, 40)}",
        "place": f"{short(submittal.part, 40)}, " + (
            f"row{'s' * (len(submittal.rows) > 1)} {rows}" if rows else "every row"
        ),
        "verdict": {"revise": "revise and submit again"}.get(review.decision, review.decision),
        "bad": review.decision == "revise",
        "reason": _reason(review, len(failed), len(met), units),
        "facts": list(_offered(review, units)),
        "failed": [
            _row(i, units, "to be settled by the engineer" if i.ours else i.weight) for i in failed
        ],
        "missing": [
            {"by": one.by, "text": sentence_of(one.what, units), "clause": source(one.cite)}
            for one in review.missing
        ],
        "shown": [_row(i, units, "to show") for i in shown],
        "met": [_row(i, units, "met") for i in met],
        "note": plain(submittal.note),
        "signatures": [
            {"role": "Reviewed by", "name": ""}, {"role": "Engineer of record", "name": ""},
        ],
        "caution": _CAUTION,
    }  # fmt: skip


def _reason(review: SubmittalReview, failed: int, met: int, units: UnitSystem) -> str:
    if review.refusal:
        return f"The anchors cannot be designed as offered: {said(review.refusal, units)}"
    missing = len(review.missing)
    words = [f"{met} of {len(review.items)} lines are met"]
    if failed:
        words.append(f"{failed} {'is' if failed == 1 else 'are'} not")
    if missing:
        words.append(f"{missing} {'is' if missing == 1 else 'are'} still to be submitted")
    return ", ".join(words)


def _row(item: Item, units: UnitSystem, verdict: str) -> dict[str, str]:
    check = item.check
    where = place_words(check)
    return {
        "name": sentence(plain(check.name)) + (f", {plain(where)}" if where else ""),
        "comparison": comparison_words(check, units), "clause": source(check.clause),
        "verdict": verdict, "remedy": sentence_of(check.remedy, units) if item.failed else "",
        "note": said(check.open_choice or check.note, units),
    }  # fmt: skip


def _offered(review: SubmittalReview, units: UnitSystem) -> Iterator[tuple[str, str]]:
    """Yield what is offered, in short."""
    s = review.submittal

    def of(name: str, value: float | None) -> str:
        return "–" if value is None else QUANTITIES[name].text(value, units)

    strands = f"{s.tendon.strands} × " if s.tendon.kind == "strand" else ""
    yield "Tendon", f"{strands}{short(s.tendon.product, 40)}"
    yield "Free length", of("length", s.free_length)
    yield "Bond, hole", f"{of('length', s.bond.length)}, {of('small length', s.bond.hole_diameter)}"
    yield "Grouting", s.bond.grouting
    yield "Protection", s.protection
    yield "Locked off by", s.head.locked_by
    if s.jack is not None:
        yield "Jack, gauge", f"{short(s.jack.name, 24)}, {short(s.jack.gauge, 24)}"
    if s.test is not None:
        yield "Test load", f"{s.test.factor:g} of the design load, from {s.test.first_test}"
