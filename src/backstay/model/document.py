"""One YAML document as plain data, with the place of every value.

Only what a project file needs of YAML 1.2 is taken: mappings with text keys, lists, text,
numbers, true/false, null, and aliases within a budget. Tags, several documents and deep nesting
are refused. The text is read as a stream of events, so a hostile file is refused at the event
that shows it, before anything is built from it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.error import MarkedYAMLError, YAMLError
from ruamel.yaml.events import (
    AliasEvent,
    DocumentStartEvent,
    MappingEndEvent,
    MappingStartEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
)

from backstay.errors import Fault, ProjectError

MAX_BYTES = 1_000_000
MAX_DEPTH = 40
MAX_NODES = 20_000
"""Values in one file, those repeated through aliases counted each time (half a second to read)."""

Piece = str | int
Path = tuple[Piece, ...]


class WrittenInt(int):
    """A whole number that remembers how it was written."""

    written: str


class WrittenFloat(float):
    """A number that remembers how it was written."""

    written: str


@dataclass(slots=True)
class Node:
    """A value and its place: line and column from 1, start and end as offsets in the text.

    size: values in it, itself included; plain: a scalar without quotes.
    """

    line: int
    column: int
    start: int
    end: int
    value: Any = None
    children: dict[Piece, Node] = field(default_factory=dict)
    keys: dict[str, Node] = field(default_factory=dict)
    size: int = 1
    anchored: bool = False

    def at(self, path: Path) -> Node | None:
        """Return the node at a path, or None."""
        node: Node | None = self
        for piece in path:
            node = node.children.get(piece) if node else None
        return node

    def nearest(self, path: Path) -> Node:
        """Return where to point for a path: its value, its key if empty, or its nearest parent."""
        node: Node = self
        for i, piece in enumerate(path):
            child = node.children.get(piece)
            if child is None:
                return node if i == 0 else self._head(path[:i], node)
            node = child
        return node

    def _head(self, path: Path, node: Node) -> Node:
        """Return the key that introduces a mapping: it is what the eye looks for."""
        parent = self.at(path[:-1])
        key = parent.keys.get(str(path[-1])) if parent else None
        return key or node


def spelt(path: Path) -> str:
    """Write a path as ``sections[0].anchors[1].elevation``."""
    text = ""
    for piece in path:
        text += f"[{piece}]" if isinstance(piece, int) else f".{piece}" if text else piece
    return text


def decode(raw: bytes, name: str) -> str:
    """Return the text of a file; refuse one that is too large or not UTF-8."""
    if len(raw) > MAX_BYTES:
        raise ProjectError([_too_large()], name)
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        good = raw[: error.start].decode("utf-8", "replace")
        line, column = _line_and_column(good, len(good))
        fault = Fault(
            line, column, "", "this is not UTF-8 text", f"the byte 0x{raw[error.start]:02X}",
            "a text file saved as UTF-8",
        )  # fmt: skip
        raise ProjectError([fault], name) from None


def _too_large() -> Fault:
    return Fault(0, 0, "", "the file is too large for a project file",
                 accepted=f"at most {MAX_BYTES // 1000} kB")  # fmt: skip


PROJECT_FILE = (
    "this is not a project file",
    "a mapping with the keys backstay, project, units, service and sections",
)


def compose(
    text: str, name: str, wanted: tuple[str, str] = PROJECT_FILE
) -> tuple[Node, list[Fault]]:
    """Return the root mapping of a document and the faults found in its form.

    wanted: what a file that is no mapping is told, and what would be accepted.
    Raises ProjectError where nothing sensible can be read: syntax, limits, no mapping.
    """
    if len(text) > MAX_BYTES:
        raise ProjectError([_too_large()], name)
    builder = _Builder()
    try:
        for event in _events(text):
            builder.take(event)
    except _StopReadingError as stop:
        raise ProjectError([*builder.faults, stop.fault], name) from None
    root = builder.root
    if root is None or root.value is None:
        builder.faults.append(Fault(0, 0, "", "the file is empty", accepted=wanted[1]))
    elif not isinstance(root.value, dict):
        builder.faults.append(Fault(root.line, root.column, "", wanted[0], accepted=wanted[1]))
    else:
        return root, builder.faults
    raise ProjectError(builder.faults, name)


class _StopReadingError(Exception):
    def __init__(self, fault: Fault) -> None:
        self.fault = fault


def _events(text: str) -> Iterator[Any]:
    try:
        yield from YAML(typ="safe", pure=True).parse(text)
    except MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        problem = " ".join(str(error.problem or error.context or "cannot be read").split())
        line, column = (mark.line + 1, mark.column + 1) if mark else (0, 0)
        hint = next((say for sign, say in _SYNTAX_HINTS.items() if sign in problem), "")
        raise _StopReadingError(
            Fault(line, column, "", f"not valid YAML: {problem}", hint=hint)
        ) from None
    except YAMLError as error:
        position = getattr(error, "position", 0)
        line, column = _line_and_column(text, position if isinstance(position, int) else 0)
        raise _StopReadingError(
            Fault(line, column, "", "a control character stands here", accepted="printable text")
        ) from None
    except (ValueError, OverflowError, AttributeError, IndexError, TypeError):
        # the scanner itself gave up, e.g. on an escape for a character that does not exist
        raise _StopReadingError(Fault(0, 0, "", "not valid YAML: a value cannot be read")) from None


_SYNTAX_HINTS = {
    "'\\t'": "indent with spaces, not with tabs",
    "mapping values are not allowed": "text that contains a colon must stand in quotes",
    "but found '?'": "check the indentation of this line",
    "but found '<block mapping start>'": "check the indentation of this line",
    "expected ',' or": "a bracket or a comma is missing",
    "end of stream": "a quote or a bracket is not closed",
}


def _line_and_column(text: str, position: int) -> tuple[int, int]:
    before = text[:position]
    return before.count("\n") + 1, position - (before.rfind("\n") + 1) + 1


class _Builder:
    """Build nodes from events."""

    def __init__(self) -> None:
        self.root: Node | None = None
        self.faults: list[Fault] = []
        self._open: list[tuple[Node, Path]] = []
        self._key: list[Node | None] = []
        self._anchors: dict[str, Node | None] = {}
        self._anchor_of: dict[int, str] = {}
        self._nodes = 0
        self._documents = 0

    def take(self, event: Any) -> None:
        """Take the next event."""
        mark = event.start_mark
        if isinstance(event, ScalarEvent):
            node = self._node(event)
            node.value = _scalar(event.value) if event.implicit[0] else event.value
            self._place(node, event.value)
        elif isinstance(event, MappingStartEvent | SequenceStartEvent):
            node = self._node(event)
            node.value = {} if isinstance(event, MappingStartEvent) else []
            path = self._place(node, None)
            self._open.append((node, path))
            self._key.append(None)
            if len(self._open) > MAX_DEPTH:
                self._stop(mark, f"nested deeper than {MAX_DEPTH} levels", path[:4])
        elif isinstance(event, MappingEndEvent | SequenceEndEvent):
            node, _ = self._open.pop()
            self._key.pop()
            node.end = event.end_mark.index
            anchor = self._anchor_of.pop(id(node), None)
            if anchor is not None:
                self._anchors[anchor] = node
            if self._open:
                self._open[-1][0].size += node.size
        elif isinstance(event, AliasEvent):
            self._alias(event)
        elif isinstance(event, DocumentStartEvent):
            self._documents += 1
            if self._documents > 1:
                self._stop(mark, "a second document starts here", (), "one document in a file")

    def _stop(self, mark: Any, rule: str, path: Path, accepted: str = "") -> None:
        raise _StopReadingError(
            Fault(mark.line + 1, mark.column + 1, spelt(path), rule, accepted=accepted)
        )

    def _count(self, mark: Any, size: int) -> None:
        self._nodes += size
        if self._nodes > MAX_NODES:
            self._stop(
                mark, f"the file has more than {MAX_NODES} values, aliases counted each time", ()
            )

    def _node(self, event: Any) -> Node:
        mark = event.start_mark
        self._count(mark, 1)
        node = Node(mark.line + 1, mark.column + 1, mark.index, event.end_mark.index)
        if event.anchor is not None:
            node.anchored = True
            scalar = isinstance(event, ScalarEvent)
            self._anchors[event.anchor] = node if scalar else None
            if not scalar:
                self._anchor_of[id(node)] = event.anchor
        if event.tag not in (None, "!"):
            self.faults.append(
                Fault(node.line, node.column, spelt(self._path()), "tags are not accepted",
                      f"the tag {str(event.tag)[:40]!r}", "plain text, numbers, lists and mappings")
            )  # fmt: skip
        return node

    def _alias(self, event: Any) -> None:
        mark = event.start_mark
        if event.anchor not in self._anchors:
            self._stop(mark, f"the alias *{event.anchor[:40]} stands for nothing", self._path())
        node = self._anchors[event.anchor]
        if node is None:
            self._stop(mark, f"the alias *{event.anchor[:40]} refers to itself", self._path())
            return
        self._count(mark, node.size)
        written = node.value if isinstance(node.value, str) else None
        self._place(node, written)
        if self._open:
            self._open[-1][0].size += node.size

    def _path(self) -> Path:
        if not self._open:
            return ()
        node, path = self._open[-1]
        if isinstance(node.value, list):
            return (*path, len(node.value))
        key = self._key[-1]
        return path if key is None else (*path, key.value)

    def _place(self, node: Node, written: str | None) -> Path:
        """Put a value (or a key) where it belongs, and return its path."""
        if not self._open:
            self.root = node
            return ()
        parent, path = self._open[-1]
        if isinstance(parent.value, list):
            where: Piece = len(parent.value)
            parent.value.append(node.value)
            parent.children[where] = node
            return (*path, where)
        key = self._key[-1]
        if key is None:
            name = written if written is not None else "?"
            if written is None:
                self.faults.append(
                    Fault(
                        node.line, node.column, spelt(path), "a key must be text", accepted="a word"
                    )
                )
            self._key[-1] = Node(node.line, node.column, node.start, node.end, name)
            return (*path, name)
        self._key[-1] = None
        name = key.value
        if name in parent.children:
            first = parent.keys[name].line
            self.faults.append(
                Fault(key.line, key.column, spelt((*path, name)), "this key is given twice",
                      hint=f"it stands on line {first} already")
            )  # fmt: skip
        else:
            parent.keys[name] = key
            parent.children[name] = node
            parent.value[name] = node.value
        return (*path, name)


_INTEGER = re.compile(r"[-+]?[0-9]{1,30}")
_FLOAT = re.compile(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?")
_WORDS: dict[str, Any] = {
    "": None, "~": None, "null": None, "Null": None, "NULL": None,
    "true": True, "True": True, "TRUE": True, "false": False, "False": False, "FALSE": False,
    ".nan": float("nan"), ".NaN": float("nan"), ".NAN": float("nan"),
}  # fmt: skip
_INFINITY = re.compile(r"([-+]?)\.(inf|Inf|INF)")


def _scalar(text: str) -> Any:
    """Return the value of an unquoted scalar, by the core schema of YAML 1.2.

    Octal and hexadecimal numbers stay text: nobody means them in a project file.
    """
    if text in _WORDS:
        return _WORDS[text]
    if _INTEGER.fullmatch(text):
        whole = WrittenInt(text)
        whole.written = text
        return whole
    if _FLOAT.fullmatch(text):
        number = WrittenFloat(text)
        number.written = text
        return number
    infinity = _INFINITY.fullmatch(text)
    return float(f"{infinity[1]}inf") if infinity else text
