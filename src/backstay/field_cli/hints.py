"""What the commands call what was not told: added to words that any way of bringing it shares."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace


@contextmanager
def with_options() -> Iterator[None]:
    """Name the options of the command in what is refused within."""
    from backstay.errors import ProjectError
    from backstay.fieldbook.not_told import NO_ANCHOR, NO_DAY, TestGoesOnError
    from backstay.records.refusal import RefusedError

    options = {NO_DAY: "--on WHEN", NO_ANCHOR: "--anchor NAME"}
    try:
        yield
    except ProjectError as error:
        faults = [
            replace(fault, hint=options[fault.rule]) if fault.rule in options else fault
            for fault in error.faults
        ]
        raise ProjectError(faults, error.name) from None
    except TestGoesOnError as error:
        raise RefusedError(f"{error} (readings --over, or --stopped WHY)") from None
