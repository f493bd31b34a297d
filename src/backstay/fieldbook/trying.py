"""Recording, or the same way gone on trial: everything is held against the records, nothing stays."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Literal

from backstay.records.store import Records
from backstay.records.together import Together

Course = Literal["record", "try"]
"""record: what fits is recorded; try: what would not fit is told, and nothing is recorded."""


class _TriedError(Exception):
    """Ends a trial; nothing of it is recorded."""


@contextmanager
def recording(records: Records, *, by: str, course: Course) -> Iterator[Together]:
    """Give what takes several entries, recorded all or none; on trial none.

    Raises what an entry that does not fit raises, on trial as well.
    """
    if course == "record":
        with records.together(by=by) as together:
            yield together
        return
    try:
        with records.together(by=by) as together:
            yield together
            raise _TriedError
    except _TriedError:
        return
