"""Faults from what the validators report: one clear sentence for each place in the file."""

from __future__ import annotations

from collections.abc import Mapping
from difflib import get_close_matches
from typing import Any

from backstay.errors import Fault
from backstay.model.document import Node, Path, spelt
from backstay.model.fields import Kind, kinds_of, listed
from backstay.quantity import UnitSystem

_NUMBERS = ("not_a_quantity", "wrong_unit", "not_finite")
_BOUNDS = {
    "greater_than": ("gt", "greater than"),
    "greater_than_equal": ("ge", "at least"),
    "less_than": ("lt", "less than"),
    "less_than_equal": ("le", "at most"),
}
_TAGS = ("union_tag_invalid", "union_tag_not_found")
_SHOWN = 40


def faults_of(
    errors: list[Any], root: Node, text: str, kind: Kind, units: UnitSystem
) -> list[Fault]:
    """Return the faults that pydantic's errors stand for, one for each place.

    Several errors at one place are the branches of a union: the most telling is kept. Where a
    branch got deeper into a mapping, the errors of the other branches at the mapping itself go.
    """
    by_path: dict[Path, tuple[Any, Kind | None]] = {}
    for error in errors:
        path, at = _resolve(error["loc"], error["type"], root, kind)
        if path not in by_path or _telling(error) < _telling(by_path[path][0]):
            by_path[path] = (error, at)
    deep = {path[:i] for path in by_path for i in range(len(path))}
    return [
        _fault(error, path, at, root, text, kind, units)
        for path, (error, at) in by_path.items()
        if path not in deep or error["type"] in _TAGS
    ]


def _telling(error: Any) -> int:
    kind = error["type"]
    if kind in _BOUNDS:
        return 0
    if kind in _NUMBERS:
        return 1
    return 3 if kind in ("literal_error", "model_type", "dict_type") else 2


def _resolve(
    loc: tuple[str | int, ...], error: str, root: Node, kind: Kind
) -> tuple[Path, Kind | None]:
    """Return the path in the file of a location, leaving out the names of union branches."""
    node: Node | None = root
    at: Kind | None = kind
    path: list[str | int] = []
    for i, piece in enumerate(loc):
        last = i + 1 == len(loc)
        if node is None:
            break
        branch = at is not None and len(at.models) > 1 and piece in _tags(at)
        skipped = path and loc[i - 1] != path[-1]
        if piece in node.children and not (branch and not skipped and not last):
            at = at.child(piece, node.value) if at else None
            node = node.children[piece]
            path.append(piece)
        elif last and error == "missing":
            at = at.child(piece, node.value) if at else None
            path.append(piece)
            node = None
    if error in _TAGS:
        path.append("kind")
    return tuple(path), at


def _tags(kind: Kind) -> tuple[str, ...]:
    return tuple(k for m in kind.models for k in kinds_of(m))


def _fault(
    error: Any, path: Path, at: Kind | None, root: Node, text: str, whole: Kind, units: UnitSystem
) -> Fault:
    node = root.at(path)
    place = root.nearest(path)
    read = shown(node, text)
    rule, accepted, hint = _said(error, path, at, node, root, whole, units)
    if error["type"] == "extra_forbidden":
        parent = root.at(path[:-1])
        place = parent.keys.get(str(path[-1]), place) if parent else place
        read = ""
    return Fault(place.line, place.column, spelt(path), rule, read, accepted, hint)


def _said(
    error: Any,
    path: Path,
    at: Kind | None,
    node: Node | None,
    root: Node,
    whole: Kind,
    units: UnitSystem,
) -> tuple[str, str, str]:
    """Return rule, accepted and hint of one error."""
    kind, context = error["type"], error.get("ctx", {})
    accepted = at.accepted(units) if at else ""
    if kind in _TAGS:
        words = _tags(at) if at else ()
        rule = "this is missing" if node is None else "this is not one of the kinds"
        hint = likely(node.value, words) if node else _misspelt("kind", root.at(path[:-1]))
        return rule, listed(words) if words else "", hint
    if kind == "extra_forbidden":
        parent = root.at(path[:-1])
        holder = _kind_at(root, path[:-1], whole)
        model = holder.model_for(parent.value) if holder and parent else None
        keys = tuple(model.model_fields) if model else ()
        free = tuple(k for k in keys if not parent or k not in parent.children)
        hint = likely(path[-1], free) or likely(path[-1], keys)
        return "this key is unknown", ", ".join(keys), hint
    if kind == "missing":
        meaning = f" ({at.description})" if at and at.description else ""
        return f"this is missing{meaning}", accepted, ""
    if node is not None and node.value is None and kind != "extra_forbidden":
        return "nothing stands here", accepted, ""
    if kind in _BOUNDS:
        key, words_ = _BOUNDS[kind]
        quantity = at.quantity if at else None
        limit = context.get(key, 0)
        said = quantity.text(limit, units) if quantity and limit else f"{limit:g}"
        return f"this must be {words_} {said}", accepted, ""
    if kind in _NUMBERS:
        words = at.words if at else ()
        return str(context["reason"]), accepted, likely(node.value if node else None, words)
    if kind in ("literal_error", "enum"):
        words = at.words if at else ()
        rule = "this is not one of the choices" if len(words) > 1 else "this is not accepted"
        return rule, accepted, likely(node.value if node else None, words)
    if node is not None and isinstance(node.value, str):  # a bound on text, not on a list
        kind = {"too_short": "string_too_short", "too_long": "string_too_long"}.get(kind, kind)
    return _simple(kind, context, error), "" if accepted in ("a list", "text") else accepted, ""


def _misspelt(wanted: str, holder: Node | None) -> str:
    """Return a hint where a key of a mapping looks like the one that is missing."""
    keys = [k for k in holder.children if isinstance(k, str)] if holder else []
    near = get_close_matches(wanted, keys, n=1, cutoff=0.6)
    return f'"{near[0]}" is not a key: write "{wanted}"' if near else ""


def _simple(kind: str, context: Mapping[str, Any], error: Any) -> str:
    match kind:
        case "model_type" | "dict_type" | "model_attributes_type":
            return "a mapping is wanted here"
        case "tuple_type" | "list_type":
            return "a list is wanted here"
        case "string_type":
            return "text is wanted here"
        case "string_too_short":
            return "this is empty"
        case "string_too_long":
            return f"this is longer than {context.get('max_length')} characters"
        case "too_short":
            return f"this list needs at least {context.get('min_length')}"
        case "too_long":
            return f"this list has more than {context.get('max_length')}"
        case "int_parsing" | "int_type" | "int_from_float" | "int_parsing_size":
            return "a whole number is wanted here"
        case _:
            return str(error["msg"])


def _kind_at(root: Node, path: Path, whole: Kind) -> Kind | None:
    """Return the kind at a path of the file. whole: of the file itself."""
    kind: Kind | None = whole
    node: Node | None = root
    for piece in path:
        kind = kind.child(piece, node.value if node else None) if kind else None
        node = node.children.get(piece) if node else None
    return kind


def likely(read: Any, words: tuple[str, ...]) -> str:
    """Return ``did you mean "elevation"?`` if one of the words is near what was read."""
    if not isinstance(read, str) or not words or len(read) > _SHOWN:
        return ""
    folded = {w.casefold(): w for w in words}
    plain = read.strip().casefold().replace("_", " ")
    spaced = {w.casefold().replace("_", " "): w for w in words}
    if plain in spaced:
        return f'did you mean "{spaced[plain]}"?'
    near = get_close_matches(read.casefold(), list(folded), n=1, cutoff=0.6)
    return f'did you mean "{folded[near[0]]}"?' if near else ""


def shown(node: Node | None, text: str) -> str:
    """Return what stands in the file, shortened."""
    if node is None:
        return ""
    if isinstance(node.value, dict):
        return "a mapping"
    if isinstance(node.value, list):
        return "an empty list" if not node.value else f"a list of {len(node.value)}"
    if node.value is None:
        return "nothing"
    written = " ".join(text[node.start : node.end].split()) or str(node.value)
    if written[0] in "'\"|>&":
        written = " ".join(str(node.value).split())
    return f"'{written[:_SHOWN]}…'" if len(written) > _SHOWN else f"'{written}'"
