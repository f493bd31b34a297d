"""The JSON schema of the project file, for editors that complete and validate."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from backstay.model.fields import Kind
from backstay.model.project import Project
from backstay.quantity import Quantity, UnitSystem

DIALECT = "https://json-schema.org/draft/2020-12/schema"
_BOUNDS = {"gt": "exclusiveMinimum", "ge": "minimum", "lt": "exclusiveMaximum", "le": "maximum"}


def json_schema() -> dict[str, Any]:
    """Return the JSON schema (draft 2020-12) of the project file.

    A physical number may be a number, in the unit of the project, or text with a unit; its
    description names the unit in either system.
    """
    schema = Project.model_json_schema(by_alias=True, mode="validation")
    definitions = schema["$defs"]
    for model in _models(Project, {}):
        entry = schema if model is Project else definitions[model.__name__]
        for key, info in model.model_fields.items():
            entry["properties"][key] = _property(entry["properties"][key], key, info)
    schema["title"] = "Backstay project file"
    return {"$schema": DIALECT, **schema}


def _models(model: type[BaseModel], seen: dict[type[BaseModel], None]) -> list[type[BaseModel]]:
    if model not in seen:
        seen[model] = None
        for info in model.model_fields.values():
            kinds = [Kind.of_field(info)]
            element = kinds[0].child(0, None)
            for kind in [*kinds, *([element] if element else [])]:
                for inner in kind.models:
                    _models(inner, seen)
    return list(seen)


def _property(entry: dict[str, Any], key: str, info: FieldInfo) -> dict[str, Any]:
    """Describe one field as a person would: unit, bounds, and a default in words."""
    quantity = Kind.of_field(info).quantity
    bounded: dict[str, Any] = _bounded(entry, {})
    bounded["title"] = key.replace("_", " ").capitalize()
    if quantity is None:
        return bounded
    bounded["description"] = _described(info.description or bounded["title"], quantity)
    default = bounded.get("default")
    if isinstance(default, float) and default and quantity.si != quantity.us:
        del bounded["default"]
        shown = " or ".join(quantity.text(default, system) for system in UnitSystem)
        bounded["description"] += f"; default {shown}"
    elif isinstance(default, float):
        bounded["default"] = round(quantity.shown(default, UnitSystem.SI), 9)
    return bounded


def _described(words: str, quantity: Quantity) -> str:
    units = list(dict.fromkeys(quantity.unit(system).label for system in UnitSystem))
    label = " or ".join(units).strip()
    return f"{words} ({label})" if label else words


def _bounded(entry: Any, bounds: dict[str, Any]) -> Any:
    """Put the bounds of a number on the branch that is a number."""
    if not isinstance(entry, dict):
        return entry
    bounds = {**bounds, **{_BOUNDS[k]: v for k, v in entry.items() if k in _BOUNDS}}
    rest = {k: v for k, v in entry.items() if k not in _BOUNDS}
    if "anyOf" in rest:
        rest["anyOf"] = [_bounded(branch, bounds) for branch in rest["anyOf"]]
    elif rest.get("type") == "number":
        rest |= bounds
    return rest
