"""When something happened, as a person writes it: a day, or a day with its time of day."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, timezone, tzinfo
from typing import Annotated, Any

from pydantic import BeforeValidator
from pydantic_core import PydanticCustomError

_WRITTEN = re.compile(
    r"(\d{4}-\d{2}-\d{2})(?:[ T]+(\d{1,2}:\d{2}(?::\d{2})?)\s*(Z|[-+]\d{2}:?\d{2})?)?"
)
_ACCEPTED = "year-month-day, with the time of day where it is known, such as 2026-03-02 09:30"


@dataclass(frozen=True, slots=True)
class Moment:
    """A day, and the time of day with its zone where they were written."""

    day: date
    clock: time | None = None

    def at(
        self, zone: tzinfo | None, *, late: bool = False, now: datetime | None = None
    ) -> datetime:
        """Return the moment with its zone.

        zone: where none is written, None for that of the machine; late: a day alone counts as its
        end, else as its beginning; now: never later than that where the day alone is written.
        """
        clock = self.clock or (time(23, 59) if late else time(0, 0))
        told = datetime.combine(self.day, clock)
        if told.tzinfo is None:
            told = told.replace(tzinfo=zone) if zone is not None else told.astimezone()
        if (
            self.clock is None
            and now is not None
            and told > now
            and told.date() == now.astimezone(told.tzinfo).date()
        ):
            return now
        return told

    def same(self, recorded: datetime, zone: tzinfo | None) -> bool:
        """Say whether a recorded moment is this one: the same instant, or the same day."""
        if self.clock is not None:
            return self.at(zone) == recorded
        return recorded.date() == self.day or recorded.astimezone(zone).date() == self.day


def moment_of(text: str) -> Moment:
    """Return the moment that a text says. Raises ValueError with what is accepted."""
    match = _WRITTEN.fullmatch(text.strip())
    if match is None:
        raise ValueError(f"this is not a day; accepted: {_ACCEPTED}")
    try:
        day = date.fromisoformat(match[1])
        clock = None
        if match[2]:
            written = match[2] if len(match[2].split(":")[0]) == 2 else f"0{match[2]}"
            clock = time.fromisoformat(written).replace(
                tzinfo=zone_of(match[3]) if match[3] else None
            )
    except ValueError:
        raise ValueError(f"there is no such day or time; accepted: {_ACCEPTED}") from None
    return Moment(day, clock)


def zone_of(text: str) -> tzinfo:
    """Return the zone that ``-05:00`` or ``Z`` says. Raises ValueError."""
    if text.strip().upper() == "Z":
        return UTC
    match = re.fullmatch(r"([-+])(\d{2}):?(\d{2})", text.strip())
    if match is None or int(match[2]) > 14 or int(match[3]) > 59:
        raise ValueError(
            "this is not a time zone; accepted: hours and minutes off UTC, such as -05:00"
        )
    off = timedelta(hours=int(match[2]), minutes=int(match[3]))
    return timezone(-off if match[1] == "-" else off)


def _read(value: Any) -> Any:
    if isinstance(value, Moment):
        return value
    try:
        return moment_of(str(value) if isinstance(value, str | date) else "")
    except ValueError as error:
        raise PydanticCustomError("not_a_moment", "{reason}", {"reason": str(error)}) from None


def _zone(value: Any) -> Any:
    if value is None or isinstance(value, tzinfo):
        return value
    try:
        return zone_of(value if isinstance(value, str) else "")
    except ValueError as error:
        raise PydanticCustomError("not_a_zone", "{reason}", {"reason": str(error)}) from None


When = Annotated[Any, BeforeValidator(_read, json_schema_input_type=str)]
"""A `Moment` in a field book."""
Zone = Annotated[Any, BeforeValidator(_zone, json_schema_input_type=str)]
"""A time zone in a field book."""
