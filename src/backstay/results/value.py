"""The common form of every part of the result, and a number with its unit."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict


class Result(BaseModel):
    """The common form: closed to unknown fields."""

    model_config = ConfigDict(extra="forbid")


class Value(Result):
    """A number with its unit; null where it is infinite or does not apply."""

    value: float | None
    unit: str
