"""Anchors by their names, whole or short, and moments as people write them."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone

import pytest

from backstay.fieldbook.moments import Moment, moment_of, zone_of
from backstay.fieldbook.names import AnchorNames, UnknownAnchorError

NAMES = ("A (Alder Street)-1-001", "A (Alder Street)-1-010", "B-1-001", "B-2-003", "B-1-T01")


@pytest.mark.parametrize(
    ("written", "meant"),
    [("A (Alder Street)-1-001", NAMES[0]), ("a (alder street)-1-1", NAMES[0]), ("A-1-1", NAMES[0]),
     ("1-10", NAMES[1]), ("1/010", NAMES[1]), ("2-3", NAMES[3]), ("b-1-1", NAMES[2]), ("1-T1", NAMES[4])],
)  # fmt: skip
def test_a_short_name_means_one_anchor(written: str, meant: str) -> None:
    assert AnchorNames(NAMES).meant(written) == meant


@pytest.mark.parametrize(
    ("written", "words"),
    [("1-1", "may be"), ("C-1-1", "no anchor 'C-1-1'"), ("3-3", "no anchor"), ("", "no anchor"), ("B-1-00", "no anchor")],
)  # fmt: skip
def test_a_name_that_means_none_or_several_is_refused(written: str, words: str) -> None:
    with pytest.raises(UnknownAnchorError, match=words):
        AnchorNames(NAMES).meant(written)


def test_moments_keep_zone_and_day() -> None:
    east = timezone(-timedelta(hours=5))
    assert moment_of("2026-03-02 9:30").at(east) == datetime(2026, 3, 2, 9, 30, tzinfo=east)
    assert moment_of("2026-03-02T09:30Z").at(east) == datetime(2026, 3, 2, 9, 30, tzinfo=UTC)
    day = moment_of("2026-03-02")
    assert day == Moment(date(2026, 3, 2))
    assert day.at(UTC, late=True).hour == 23
    now = datetime(2026, 3, 2, 11, 0, tzinfo=UTC)
    assert day.at(UTC, late=True, now=now) == now  # today has not ended yet
    assert day.same(datetime(2026, 3, 2, 17, 5, tzinfo=UTC), UTC)
    assert not moment_of("2026-03-02 09:30").same(datetime(2026, 3, 2, 17, 5, tzinfo=UTC), UTC)
    assert zone_of("+05:30").utcoffset(None) == timedelta(hours=5, minutes=30)


@pytest.mark.parametrize(
    "text", ["", "2 March", "2026-02-30", "2026-03-02 25:00", "2026-3-2", "09:30"]
)
def test_what_is_no_moment_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="accepted"):
        moment_of(text)


@pytest.mark.parametrize("text", ["", "EST", "5", "-5", "+15:00", "-05:60", "05:00", "+05:00 x"])
def test_what_is_no_zone_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="not a time zone"):
        zone_of(text)
