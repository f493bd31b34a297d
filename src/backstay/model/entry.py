"""The common form of every entry of a project file: frozen, and closed to unknown keys."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, StringConstraints

Name = Annotated[str, StringConstraints(min_length=1, max_length=120, strip_whitespace=True)]
Note = Annotated[str, StringConstraints(max_length=2000, strip_whitespace=True)]


class Entry(BaseModel):
    """One mapping of the file."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)
