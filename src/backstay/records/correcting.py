"""Corrections: a new entry takes the place of one, with author, reason and time; both stay."""

from __future__ import annotations

from datetime import datetime

from backstay.records.adding import Adding, kind_of
from backstay.records.encoding import checked, of_plain, plain_of, sound_text
from backstay.records.facts import Fact, LiftedOff, Planned, Replaced, Submittal
from backstay.records.refusal import RefusedError
from backstay.records.rows import EntryRow
from backstay.records.standing import NOTHING, standing

_SAME = {
    "planned": (("anchor",), ("replaces",)),
    "jack": (("jack", "name"), ("jack", "calibration", "certificate")),
    "test closed": (("test",),),
    "verdict": (("test",),),
    "file": (("sha256",), ("size",)),
}
"""Fields that a correction cannot change, besides the anchor: others refer to them."""


def correct(
    adding: Adding, number: int, fact: Fact | None, *, reason: str, on: datetime | None,
    exception: str,
) -> EntryRow:  # fmt: skip
    """Put a fact in the place of an entry, or nothing. Raises RefusedError."""
    known = adding.known
    wrong = known.entry(number)
    later = known.correction_of(number)
    if later is not None:
        raise RefusedError(
            f"entry {number} is corrected by entry {later} already; correct that one"
        )
    if wrong.kind == "procedure":
        raise RefusedError(f"entry {number} is a procedure; correct the test that goes by it")
    if fact is None and wrong.payload == NOTHING:
        raise RefusedError(f"entry {number} is a withdrawal already")
    stated = reason_stated(reason)
    payload = NOTHING
    if fact is not None:
        fact = checked(fact, f"'{kind_of(fact)}'")
        _alike(adding, wrong, fact)
        payload = adding.payload(fact)
    else:
        _nothing_rests_on_it(adding, wrong)
    row = EntryRow(
        id=0, kind=wrong.kind, anchor=wrong.anchor, test=wrong.test,
        happened=wrong.happened if on is None else adding.happened(on),
        recorded=adding.recorded, author=adding.author, supersedes=number, reason=stated,
        exception=sound_text(exception.strip(), "exception") or wrong.exception, payload=payload,
    )  # fmt: skip
    adding.fits(row, _concerned(adding, wrong, fact), f"the correction of entry {number}")
    return adding.write(row)


def reason_stated(reason: object) -> str:
    """Return the reason of a correction. Raises RefusedError where none is stated."""
    if not isinstance(reason, str) or not reason.strip():
        raise RefusedError("a correction needs its reason")
    return sound_text(reason.strip(), "reason")


def _alike(adding: Adding, wrong: EntryRow, fact: Fact) -> None:
    kind = kind_of(fact)
    if kind != wrong.kind:
        raise RefusedError(
            f"entry {wrong.id} is of kind '{wrong.kind}'; '{kind}' does not correct it"
        )
    if (getattr(fact, "anchor", "") or None) != wrong.anchor:
        raise RefusedError(
            f"entry {wrong.id} is about {wrong.anchor or 'the whole work'}; a correction stays "
            "with it (withdraw the entry, and add it where it belongs)"
        )
    now, before = plain_of(fact), adding.plain_before(wrong)
    for path in _SAME.get(kind, ()):
        if before is not None and _at(now, path) != _at(before, path):
            raise RefusedError(
                f"entry {wrong.id}: a correction does not change its {path[-1]}; withdraw it, "
                "and add it anew"
            )
    if isinstance(fact, Submittal):
        adding.covers(fact)
    if isinstance(fact, Replaced):
        adding.replacement(fact)
    if isinstance(fact, Planned):
        adding.place_is_free(fact)
    adding.known_jack(fact)


def _at(plain: object, path: tuple[str, ...]) -> object:
    for step in path:
        plain = plain[step] if isinstance(plain, dict) else None
    return plain


def _concerned(adding: Adding, wrong: EntryRow, fact: Fact | None) -> list[str]:
    if wrong.kind == "submittal":
        before = adding.plain_before(wrong) or {"anchors": []}
        now = fact.anchors if isinstance(fact, Submittal) else ()
        return sorted({*before["anchors"], *now})
    return [] if wrong.anchor is None or wrong.kind == "planned" else [wrong.anchor]


def _nothing_rests_on_it(adding: Adding, wrong: EntryRow) -> None:
    """Refuse to take away what other entries in force rest on. Raises RefusedError."""
    known, anchor = adding.known, wrong.anchor or ""
    if wrong.kind == "planned":
        others = [one for one in standing(known.rows(anchor)) if one.row.kind != "planned"]
        covered = known.submittals(anchor)
        if others or covered:
            raise RefusedError(f"{anchor}: there are entries about it; withdraw those first")
    elif wrong.kind == "test":
        for one in standing(known.rows(anchor)):
            if one.row.kind == "verdict" and one.row.test == wrong.test:
                raise RefusedError(
                    f"{anchor}: test {wrong.test} has a verdict; withdraw that first"
                )
    elif wrong.kind == "test closed":
        if any(t.open for t in known.tests(anchor)):
            raise RefusedError(f"{anchor}: another test goes on; close it first")
    elif wrong.kind == "jack":
        jack = (adding.plain_before(wrong) or {}).get("jack", {})
        named = (jack.get("name"), jack.get("calibration", {}).get("certificate"))
        for one in standing(known.of_kind("test")):
            if (one.plain["jack"], one.plain["certificate"]) == named:
                raise RefusedError(f"{one.row.anchor}: test {one.row.test} was made with this jack")
        for one in standing(known.of_kind("lifted off")):
            lifted = of_plain(LiftedOff, one.plain)
            if lifted.by_gauge and (lifted.jack, lifted.certificate) == named:
                raise RefusedError(f"{lifted.anchor}: a lift-off was read with this jack")
