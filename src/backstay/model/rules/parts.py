"""Running the rules on a sound project, or on what is sound of a faulty one."""

from __future__ import annotations

from contextlib import suppress
from functools import cache
from typing import Annotated, Any, get_args

from pydantic import BaseModel, TypeAdapter, ValidationError

from backstay.model.document import Path
from backstay.model.project import Project, Section, Service
from backstay.model.rules import cut, loads, plasticity, rows, stages, strata, surface, wall, water
from backstay.model.rules.rule import ELEMENTS, PARTS, Breach, Say, run, twice
from backstay.model.rules.service import service_rules
from backstay.model.rules.slopes import NOTHING, rules_of_slope, slope_rules
from backstay.model.rules.testing import testing_rules
from backstay.model.testing import LoadTests
from backstay.model.units import CONTEXT_UNITS
from backstay.quantity import UnitSystem

_MODULES = (strata, plasticity, surface, water, cut, rows, wall, loads, stages)
"""Imported for their rules; this is the order in which they run."""


def breaches(project: Project) -> list[Breach]:
    """Return every breach of a rule in a project whose fields are sound."""
    found = service_rules(project.service)
    found += [] if project.sections or project.slopes else [NOTHING]
    found += testing_rules(project.tests, project.units)
    found += slope_rules(project.slopes, project.units)
    found += _names(project.sections)
    for i, section in enumerate(project.sections):
        given = _given(project.units, project.service)

        def part(name: str, section: Section = section, given: dict[str, Any] = given) -> Any:
            return given[name] if name in given else _attribute(section, PARTS[name])

        def elements(name: str, section: Section = section) -> dict[int, Any]:
            return dict(enumerate(_attribute(section, ELEMENTS[name])))

        found += (b.under(("sections", i)) for b in run(part, elements))
    return found


def _given(units: UnitSystem, service: Service | None) -> dict[str, Any]:
    given: dict[str, Any] = {"units": units, "say": Say(units)}
    return given if service is None else {**given, "service": service}


def _names(sections: tuple[Section, ...]) -> list[Breach]:
    names = [section.name for section in sections]
    return [
        Breach(("sections", i, "name"), f"another section is called {name} already")
        for i, name in twice(names)
    ]


def _attribute(section: Section, path: Path) -> Any:
    value: Any = section
    for piece in path:
        value = getattr(value, str(piece))
    return value


def breaches_of_parts(data: Any, units: UnitSystem) -> list[Breach]:
    """Return the breaches of rules in those parts of a faulty project that are sound."""
    found: list[Breach] = []
    service: Service | None = None
    try:
        service = _valid(Project, ("service",), data, units)
        found += service_rules(service) if service else []
    except KeyError:
        pass
    with suppress(KeyError):
        tests: LoadTests | None = _valid(Project, ("tests",), data, units)
        found += testing_rules(tests, units) if tests else []
    if not data.get("sections") and not data.get("slopes"):
        found.append(NOTHING)
    for i, slope in _valid_elements(Project, ("slopes",), data, units).items():
        found += rules_of_slope(slope, i, units)
    sections = data.get("sections")
    for i, section in enumerate(sections if isinstance(sections, list) else []):
        if not isinstance(section, dict):
            continue
        given = _given(units, service)
        known: dict[str, Any] = {}

        def part(name: str, section: Any = section, given: Any = given, known: Any = known) -> Any:
            if name in given:
                return given[name]
            if name == "service":
                raise KeyError(name)
            if name not in known:
                known[name] = _valid(Section, PARTS[name], section, units)
            return known[name]

        def elements(name: str, section: Any = section) -> dict[int, Any]:
            return _valid_elements(Section, ELEMENTS[name], section, units)

        found += (b.under(("sections", i)) for b in run(part, elements))
    return found


def _holder(model: type[BaseModel], path: Path, data: Any) -> tuple[type[BaseModel], Any, str]:
    """Return the model and the raw mapping that hold the last piece of a path."""
    for piece in path[:-1]:
        data = data.get(piece)
        if not isinstance(data, dict):
            raise KeyError(piece)
        inner = model.model_fields[str(piece)].annotation
        assert isinstance(inner, type)  # noqa: S101 - PARTS pass through plain mappings alone
        model = inner
    return model, data, str(path[-1])


def _valid(model: type[BaseModel], path: Path, data: Any, units: UnitSystem) -> Any:
    """Return the validated value at a path of raw data; raise KeyError if it is faulty."""
    model, data, name = _holder(model, path, data)
    info = model.model_fields[name]
    if name not in data:
        if info.is_required():
            raise KeyError(name)
        return info.get_default(call_default_factory=True)
    try:
        return _adapter(model, name, False).validate_python(
            data[name], context={CONTEXT_UNITS: units}
        )
    except ValidationError:
        raise KeyError(name) from None


def _valid_elements(
    model: type[BaseModel], path: Path, data: Any, units: UnitSystem
) -> dict[int, Any]:
    """Return the sound elements of a list of raw data, by index."""
    try:
        model, data, name = _holder(model, path, data)
    except KeyError:
        return {}
    listed = data.get(name)
    sound = {}
    for i, element in enumerate(listed if isinstance(listed, list) else []):
        try:
            sound[i] = _adapter(model, name, True).validate_python(
                element, context={CONTEXT_UNITS: units}
            )
        except ValidationError:
            continue
    return sound


@cache
def _adapter(model: type[BaseModel], name: str, element: bool) -> TypeAdapter[Any]:
    info = model.model_fields[name]
    if element:
        return TypeAdapter(get_args(info.annotation)[0])
    return TypeAdapter(Annotated[info.annotation, info])  # type: ignore[arg-type]
