"""Reading a submittal: from a file or a mapping, every fault at once, one clear message for each."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path as FilePath
from typing import Any

from pydantic import ValidationError

from backstay.errors import Fault, ProjectError
from backstay.model.document import Node, Path, compose, spelt
from backstay.model.faults import faults_of, shown
from backstay.model.fields import Kind
from backstay.model.reading import text_of_file
from backstay.model.submittal import Submittal
from backstay.model.units import CONTEXT_UNITS
from backstay.quantity import UnitSystem

_WANTED = (
    "this is not a submittal",
    "a mapping with the keys submittal, units, part, rows, free_length, tendon, bond, ...",
)


def read_submittal(path: str | FilePath) -> Submittal:
    """Read a submittal file. Raises ProjectError with every fault, each with line and column."""
    return submittal_text(text_of_file(path), str(path))


def submittal_text(text: str, name: str = "") -> Submittal:
    """Read the text of a submittal; `name` is what to call it in messages."""
    root, faults = compose(text, name, _WANTED)
    return _read(root, text, faults, name)


def submittal_from(mapping: Mapping[str, Any], name: str = "") -> Submittal:
    """Return the submittal that a mapping says. Raises ProjectError with every fault, by field."""
    return _read(_node(dict(mapping)), "", [], name)


def _read(root: Node, text: str, faults: list[Fault], name: str) -> Submittal:
    try:
        units = UnitSystem(root.value.get("units"))
    except ValueError:
        units = UnitSystem.SI
    try:
        made = Submittal.model_validate(root.value, context={CONTEXT_UNITS: units})
    except ValidationError as error:
        listed = error.errors(include_url=False, include_input=False)
        faults = faults + faults_of(listed, root, text, Kind(Submittal), units)
        raise ProjectError(list(dict.fromkeys(faults)), name) from None
    faults = faults + [
        Fault(place.line, place.column, spelt(path), rule, shown(root.at(path), text), accepted)
        for path, rule, accepted in _breaches(made)
        for place in (root.nearest(path),)
    ]
    if faults:
        raise ProjectError(faults, name)
    return made


def _breaches(made: Submittal) -> list[tuple[Path, str, str]]:
    """Return what does not fit together: path, rule, and what would be accepted."""
    found: list[tuple[Path, str, str]] = []
    if len(set(made.rows)) < len(made.rows):
        found.append((("rows",), "a row is named twice", "each row once"))
    if made.tendon.kind == "bar" and made.tendon.strands != 1:
        found.append((("tendon", "strands"), "a bar tendon is one bar", "1"))
    if made.bond.transfer is not None and not made.bond.source:
        rule = "a load transfer of the contractor's own needs its source"
        found.append((("bond", "source"), rule, "text: tests, experience nearby"))
    paper = made.jack.calibration if made.jack else None
    if paper is not None and paper.expires < paper.on:
        rule = "the certificate expires before it was issued"
        found.append((("jack", "calibration", "expires"), rule, f"a day after {paper.on}"))
    if paper is not None and len({p.pressure for p in paper.points}) < 2:
        rule = "all points are at one pressure"
        accepted = "two points or more at different pressures"
        found.append((("jack", "calibration", "points"), rule, accepted))
    return found


def _node(value: Any) -> Node:
    """Return a value as a node without a place."""
    node = Node(0, 0, 0, 0, value)
    if isinstance(value, Mapping):
        node.value = dict(value)
        node.children = {key: _node(inner) for key, inner in value.items()}
        node.keys = {str(key): Node(0, 0, 0, 0, key) for key in value}
    elif isinstance(value, list | tuple):
        node.value = list(value)
        node.children = {i: _node(inner) for i, inner in enumerate(value)}
    return node
