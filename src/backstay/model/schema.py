"""The JSON schema of the project file, for editors that complete and validate."""

from __future__ import annotations

from typing import Any

from backstay.model.project import Project

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def json_schema() -> dict[str, Any]:
    """Return the JSON schema (draft 2020-12) of the project file.

    A physical number may be a number, in the unit of the project, or text with a unit.
    """
    schema = Project.model_json_schema(by_alias=True, mode="validation")
    return {"$schema": DIALECT, "title": "Backstay project file", **_titled(schema)}


def _titled(schema: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in schema.items() if key != "title"}
