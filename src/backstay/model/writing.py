"""Changing values of a project file while keeping its comments, order and layout."""

from __future__ import annotations

from collections.abc import Mapping
from io import StringIO
from pathlib import Path as FilePath
from typing import Any

from backstay.errors import Fault, ProjectError
from backstay.files import atomic_write
from backstay.model.document import Node, Path, compose, decode, spelt
from backstay.model.project import Project
from backstay.model.reading import read_text

Value = str | int | float | bool | None | list[Any] | dict[str, Any]


def write_project(path: str | FilePath, changes: Mapping[Path, Value]) -> Project:
    """Change values in a project file, all or none, and return the changed project.

    changes: value by path, e.g. ``{("sections", 0, "anchors", 1, "elevation"): 78.5}``.
    Raises ProjectError, and leaves the file as it is, if the changed project would be faulty.
    """
    file = FilePath(path)
    text = decode(file.read_bytes(), str(path))
    for where, value in changes.items():
        text = set_value(text, where, value)
    project = read_text(text, str(path))
    atomic_write(file, text.encode("utf-8"))
    return project


def set_value(text: str, path: Path, value: Value) -> str:
    """Return the text of a project file with one value changed or added.

    A plain value in place of a plain value touches nothing else in the text, so that a
    comparison of versions shows one line. Anything larger is rewritten with its comments kept.
    Raises ProjectError if there is no such place.
    """
    root, _ = compose(text, "")
    node = root.at(path)
    if node is not None and _is_plain(node, text) and not isinstance(value, list | dict):
        return text[: node.start] + _scalar_text(value) + text[node.end :]
    return _rewritten(text, path, value, root)


def _is_plain(node: Node, text: str) -> bool:
    written = text[node.start : node.end]
    return (
        not isinstance(node.value, list | dict)
        and not node.anchored
        and node.end > node.start
        and written[0] not in "|>&*!"
        and "\n" not in written
    )


def _scalar_text(value: Value) -> str:
    """Return a scalar as YAML on one line."""
    return _dumped({"v": value}).removeprefix("v:").strip()


def _rewritten(text: str, path: Path, value: Value, root: Node) -> str:
    if not path or root.at(path[:-1]) is None:
        fault = Fault(0, 0, spelt(path), "there is no such place in the file")
        raise ProjectError([fault])
    yaml = round_trip()
    data = yaml.load(text)
    holder = data
    for piece in path[:-1]:
        holder = holder[piece]
    last = path[-1]
    if isinstance(holder, list) and isinstance(last, int) and last == len(holder):
        holder.append(value)
    elif isinstance(holder, list) == isinstance(last, int) and hasattr(holder, "__setitem__"):
        try:
            holder[last] = value
        except IndexError:
            fault = Fault(0, 0, spelt(path), "there is no such place in the file")
            raise ProjectError([fault]) from None
    else:
        raise ProjectError([Fault(0, 0, spelt(path), "there is no such place in the file")])
    stream = StringIO()
    yaml.dump(data, stream)
    return stream.getvalue()


def round_trip() -> Any:
    """Return the YAML library, set to keep comments, quotes and order."""
    from ruamel.yaml import YAML

    yaml = YAML()
    yaml.preserve_quotes = True
    yaml.width = 4096
    yaml.indent(mapping=2, sequence=4, offset=2)
    return yaml


def _dumped(data: dict[str, Any]) -> str:
    stream = StringIO()
    round_trip().dump(data, stream)
    return stream.getvalue()
