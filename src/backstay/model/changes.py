"""Changes of a project file as values: set a value, put an item into a list, take something out.

Each touches as little of the text as it can, so that comments, order and layout stay, and a comparison
of versions shows what was meant. Places are paths into the file, as of `writing.write_project`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from io import StringIO
from typing import Any

from backstay.errors import Fault, ProjectError
from backstay.model.document import Node, Path, compose, spelt
from backstay.model.writing import Value, round_trip, set_value


@dataclass(frozen=True, slots=True)
class Set:
    """Give the value at a path; a key that is not there yet is added at the end of its mapping."""

    path: Path
    value: Value


@dataclass(frozen=True, slots=True)
class Insert:
    """Put a value into the list that holds the path, before the item that the path names.

    The last piece of the path is the index; one past the end appends.
    """

    path: Path
    value: Value


@dataclass(frozen=True, slots=True)
class Remove:
    """Take out the item or the key at a path."""

    path: Path


Change = Set | Insert | Remove


def changed(text: str, changes: Iterable[Change]) -> str:
    """Return the text of a project file after changes, made one after the other.

    Raises ProjectError where a path leads nowhere. The text is not checked to be a project.
    """
    for change in changes:
        if isinstance(change, Set):
            text = set_value(text, change.path, change.value)
        elif isinstance(change, Insert):
            text = _inserted(text, change.path, change.value)
        else:
            text = _removed(text, change.path)
    return text


def _inserted(text: str, path: Path, value: Value) -> str:
    root, _ = compose(text, "")
    holder = root.at(path[:-1]) if path else None
    at = path[-1] if path else None
    if holder is None or not isinstance(holder.value, list) or not isinstance(at, int):
        if holder is None and isinstance(at, int) and at == 0 and len(path) > 1:
            return set_value(text, path[:-1], [value])  # the list itself is not there yet
        raise _nowhere(path)
    count = len(holder.value)
    if not 0 <= at <= count:
        raise _nowhere(path)
    if not count:
        return set_value(text, path[:-1], [_in_brackets(value)])
    if _is_flow(text, holder) or not all(_within(holder, c) for c in holder.children.values()):
        return _by_library(text, path, lambda items: items.insert(at, _in_brackets(value)))
    first = holder.children[0]
    dash = _dash(text, first)
    indent = dash - _line_start(text, dash)
    block = _as_item(value, indent, text[dash : first.start])
    if at == count:
        end = _line_end(text, _last(holder.children[count - 1]))
        return text[:end] + ("" if text[:end].endswith("\n") else "\n") + block + text[end:]
    start = _line_start(text, _dash(text, holder.children[at]))
    return text[:start] + block + text[start:]


def _removed(text: str, path: Path) -> str:
    root, _ = compose(text, "")
    node = root.at(path) if path else None
    holder = root.at(path[:-1]) if path else None
    if node is None or holder is None or node is root:
        raise _nowhere(path)
    if len(holder.value) == 1 and len(path) > 1:
        return set_value(text, path[:-1], [] if isinstance(holder.value, list) else {})
    if not _within(holder, node):
        begin = -1
    elif isinstance(holder.value, list):
        begin = -1 if _is_flow(text, holder) else _dash(text, node)
    else:
        begin = -1 if text[holder.start] == "{" else holder.keys[str(path[-1])].start
    start = _line_start(text, begin) if begin >= 0 else -1
    if begin < 0 or text[start:begin].strip():
        # written on one line, on the line of its list's dash, or elsewhere: the library finds its way
        return _by_library(text, path, lambda items: items.__delitem__(path[-1]))
    return text[:start] + text[_line_end(text, _last(node)) :]


def _by_library(text: str, path: Path, change: Callable[[Any], None]) -> str:
    """Return the text with the holder of a path changed by the library that writes it all again."""
    yaml = round_trip()
    data = yaml.load(text)
    holder = data
    for piece in path[:-1]:
        holder = holder[piece]
    change(holder)
    stream = StringIO()
    yaml.dump(data, stream)
    return stream.getvalue()


def _within(holder: Node, item: Node) -> bool:
    """Say whether what an item says is written in its holder, not where an alias leads."""
    return holder.start <= item.start <= holder.end


def _is_flow(text: str, node: Node) -> bool:
    """Say whether a list stands in brackets."""
    return text[node.start : node.start + 1] == "["


def _dash(text: str, item: Node) -> int:
    """Return where the dash of an item of a block list stands."""
    return text.rindex("-", 0, item.start)


def _last(node: Node) -> int:
    """Return the last place of what is written for a node: blank lines and comments after it are not."""
    ends = [_last(child) for child in node.children.values() if child.start >= node.start]
    if not ends or node.start == node.end:
        return max(node.start, node.end - 1)
    return max(ends)


def _line_start(text: str, at: int) -> int:
    return text.rfind("\n", 0, at) + 1


def _line_end(text: str, at: int) -> int:
    """Return the place behind the line break of a line."""
    end = text.find("\n", at)
    return len(text) if end < 0 else end + 1


def _as_item(value: Value, indent: int, dash: str) -> str:
    """Return a value as an item of a block list; dash: how the dash before it is written."""
    stream = StringIO()
    round_trip().dump([_in_brackets(value)], stream)
    lines = stream.getvalue().splitlines()
    own = len(lines[0]) - len(lines[0].lstrip())
    written = [line[own:] for line in lines]
    gap = dash if dash.strip() == "-" and "\n" not in dash else "- "
    pad = " " * indent
    head = pad + gap + written[0].removeprefix("-").lstrip()
    rest = (pad + " " * len(gap) + line[2:] if line.strip() else "" for line in written[1:])
    return "\n".join([head, *rest]) + "\n"


def _in_brackets(value: Value) -> Value:
    """Return a list as one that is written in brackets; other values as they are."""
    if not isinstance(value, list):
        return value
    from ruamel.yaml.comments import CommentedSeq

    written: list[Value] = CommentedSeq(map(_in_brackets, value))
    written.fa.set_flow_style()  # type: ignore[attr-defined]
    return written


def _nowhere(path: Path) -> ProjectError:
    return ProjectError([Fault(0, 0, spelt(path), "there is no such place in the file")])
