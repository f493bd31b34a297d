"""Reading a project file: every fault at once, each with its line and column."""

from __future__ import annotations

from pathlib import Path as FilePath

from pydantic import ValidationError

from backstay.errors import Fault, ProjectError
from backstay.model.document import MAX_BYTES, Node, compose, decode
from backstay.model.faults import faults_of, shown
from backstay.model.fields import Kind
from backstay.model.project import Project
from backstay.model.rules import Breach, breaches, breaches_of_parts
from backstay.model.units import CONTEXT_UNITS
from backstay.quantity import UnitSystem


def read_project(path: str | FilePath) -> Project:
    """Read a project file.

    Raises ProjectError with every fault: form, fields, and the rules between fields.
    """
    return read_text(text_of_file(path), str(path))


def text_of_file(path: str | FilePath) -> str:
    """Return the text of a file. Raises ProjectError where it cannot be read."""
    file = FilePath(path)
    try:
        if not file.is_file():
            what = "this is a folder" if file.is_dir() else "there is no such file"
            raise ProjectError([Fault(0, 0, "", what, f"'{path}'")], str(path))
        with file.open("rb") as stream:
            raw = stream.read(MAX_BYTES + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        fault = Fault(0, 0, "", f"the file cannot be read: {reason}", f"'{path}'")
        raise ProjectError([fault], str(path)) from None
    return decode(raw, str(path))


def read_text(text: str, name: str = "") -> Project:
    """Read the text of a project file; `name` is what to call it in messages."""
    root, faults = compose(text, name)
    units = _units(root)
    context = {CONTEXT_UNITS: units or UnitSystem.SI}
    try:
        project = Project.model_validate(root.value, context=context)
    except ValidationError as error:
        listed = error.errors(include_url=False, include_input=False)
        faults += faults_of(listed, root, text, Kind(Project), context[CONTEXT_UNITS])
        if units is not None:
            faults += _placed(breaches_of_parts(root.value, units), root, text)
        raise ProjectError(_once(faults), name) from None
    faults += _placed(breaches(project), root, text)
    if faults:
        raise ProjectError(_once(faults), name)
    return project


def _units(root: Node) -> UnitSystem | None:
    try:
        return UnitSystem(root.value.get("units"))
    except ValueError:
        return None


def _placed(found: list[Breach], root: Node, text: str) -> list[Fault]:
    """Give each breach of a rule its place in the file."""
    return [
        breach.fault(root.nearest(breach.path), shown(root.at(breach.path), text))
        for breach in found
    ]


def _once(faults: list[Fault]) -> list[Fault]:
    return list(dict.fromkeys(faults))
