"""The common form of every entry of a project file: frozen, and closed to unknown keys."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, StringConstraints


def _as_text(value: Any) -> Any:
    """Take an unquoted number or date as the text it was written as (``number: 0417``)."""
    written = getattr(value, "written", None)
    if isinstance(written, str):
        return written
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, int | float) and not isinstance(value, bool):
        return str(value)
    return value


_Text = str | int | float
Name = Annotated[
    str,
    BeforeValidator(_as_text, json_schema_input_type=_Text),
    StringConstraints(min_length=1, max_length=120, strip_whitespace=True),
]
Note = Annotated[
    str,
    BeforeValidator(_as_text, json_schema_input_type=_Text),
    StringConstraints(max_length=2000, strip_whitespace=True),
]


class Entry(BaseModel):
    """One mapping of the file.

    Building the validators is deferred to the first use: the project's is then built once,
    instead of one for every class at import (measured: 85 ms become 35 ms).
    """

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False, defer_build=True)
