"""The fields of a thing, read off the model: what each holds, what it accepts, what typing it writes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from backstay.model.changes import Change, Remove, Set
from backstay.model.document import Path, spelt
from backstay.model.fields import Kind
from backstay.workbench.section.spelling import Spelling
from backstay.workbench.section.things import WITHIN, Thing, is_list_of_things, is_point

Form = Literal["text", "choice", "points", "words"]
_LABELS = {
    "spt_n": "SPT N", "cpt_resistance": "CPT resistance", "kh": "kh", "kv": "kv", "m": "m",
    "at_rest_coefficient": "At-rest coefficient K0", "every": "At every … pile",
    "overconsolidation_ratio": "OCR", "right_of_way": "Right-of-way", "lock_off": "Lock-off", "test_factor": "Test load",
    "draw_in": "Draw-in", "over_excavation": "Over-excavation",
}  # fmt: skip
_GIVEN_BY = "as given by the engineer"
"""What stands in a text that a new mapping must have, until the engineer says more."""


@dataclass(frozen=True, slots=True)
class Field:
    """One value of the file.

    holder: path of the first mapping above it that stands in the file; keys: from there down to the
    value; given: whether the file says it; beside: texts that a new mapping must have with it.
    """

    holder: Path
    keys: tuple[str, ...]
    label: str
    kind: Kind
    form: Form
    value: str
    default: str
    required: bool
    given: bool
    group: str = ""
    beside: tuple[tuple[str, str], ...] = ()

    @property
    def path(self) -> Path:
        """Return the place of the value in the file."""
        return (*self.holder, *self.keys)

    @property
    def key(self) -> str:
        """Return the place as text."""
        return spelt(self.path)

    def sent(self, spelling: Spelling) -> dict[str, Any]:
        """Return what the page is sent."""
        choices = list(self.kind.words) if self.form == "choice" else []
        help_text = self.kind.description
        accepted = self.kind.accepted(spelling.shown) if self.form == "text" else ""
        return {
            "key": self.key, "label": self.label, "value": self.value, "default": self.default,
            "form": self.form, "choices": choices, "required": self.required, "given": self.given,
            "words": list(self.kind.words) if self.form == "text" else [],
            "help": ". ".join(filter(None, (help_text, accepted and f"Accepted: {accepted}"))),
        }  # fmt: skip

    def change(self, text: str, spelling: Spelling) -> list[Change] | str:
        """Return what typing a text changes; or why it is refused, in words."""
        text = text.strip()
        if text == self.value and (self.given or not text):
            return []
        if not text:
            if self.required:
                return f"{self.label} needs a value."
            return [Remove(self.path)] if self.given else []
        value = self._value(text, spelling)
        if isinstance(value, _Refused):
            return value.words
        if len(self.keys) == 1:
            return [Set(self.path, value)]
        made: Any = {**dict(self.beside), self.keys[-1]: value}
        for key in reversed(self.keys[1:-1]):
            made = {key: made}
        return [Set((*self.holder, self.keys[0]), made)]

    def _value(self, text: str, spelling: Spelling) -> Any:
        if self.form == "words":
            return [word.strip() for word in text.split(",") if word.strip()]
        if self.form == "points":
            return self._points(text, spelling)
        if self.kind.quantity is None and any(c.annotation is int for c in self.kind.choices()):
            return int(text) if text.lstrip("+-").isdigit() else text
        return spelling.typed(self.kind.quantity, text)

    def _points(self, text: str, spelling: Spelling) -> Any:
        model = next(m for c in self.kind.choices() for m in _members(c) if is_point(m))
        names = list(model.model_fields)
        made = []
        for number, line in enumerate(filter(str.strip, text.splitlines()), 1):
            parts = [p.strip() for p in line.split(",")]
            if len(parts) != len(names):
                return _Refused(f"Line {number}: type {' and '.join(names)} with a comma between.")
            made.append({
                name: spelling.typed(Kind.of_field(model.model_fields[name]).quantity, part)
                for name, part in zip(names, parts, strict=True)
            })  # fmt: skip
        return made


@dataclass(frozen=True, slots=True)
class _Refused:
    words: str


def fields_of(thing: Thing, spelling: Spelling) -> tuple[Field, ...]:
    """Return the fields of a thing in the order of the model, with those of mappings within it."""
    there = len(thing.path) - thing.absent
    keys = tuple(str(key) for key in thing.path[there:])
    return tuple(
        _fields(thing.model, type(thing.model), thing.path[:there], keys, "", spelling, ())
    )


def _fields(
    model: BaseModel | None, cls: type[BaseModel], holder: Path, keys: tuple[str, ...], group: str,
    spelling: Spelling, beside: tuple[tuple[str, str], ...],
) -> Iterator[Field]:  # fmt: skip
    """Yield the fields of a mapping; model: None where it is not in the file and has no default."""
    for key, info in cls.model_fields.items():
        kind = Kind.of_field(info)
        if key == "kind" and len(kind.words) == 1:
            continue  # it tells mappings apart: another kind is another thing
        value = getattr(model, key) if model is not None else None
        given = model is not None and not keys and key in model.model_fields_set
        inner = _mapping(kind, value) if key in WITHIN else None
        if inner is not None and isinstance(value, BaseModel | None):
            title = key.replace("_", " ").capitalize()
            if given:
                yield from _fields(value, inner, (*holder, key), (), title, spelling, ())
            else:
                needed = tuple(
                    (k, _GIVEN_BY) for k, i in inner.model_fields.items()
                    if i.is_required() and _is_text(Kind.of_field(i))
                )  # fmt: skip
                yield from _fields(value, inner, holder, (*keys, key), title, spelling, needed)
            if value is None and kind.quantity is None:
                continue
        if isinstance(value, BaseModel) or is_list_of_things(value):
            continue
        form = _form(kind)
        if form is None:
            continue
        shown = given or (model is not None and info.is_required())
        yield Field(
            holder, (*keys, key), _LABELS.get(key, key.replace("_", " ").capitalize()), kind, form,
            _text(value, kind, spelling) if shown else "", _default(info, kind, spelling),
            info.is_required(), given, group, beside,
        )  # fmt: skip


def _form(kind: Kind) -> Form | None:
    """Return how a value is typed; None where it is no plain value."""
    for choice in kind.choices():
        if get_origin(choice.annotation) is tuple:
            member = get_args(choice.annotation)[0]
            if isinstance(member, type) and issubclass(member, BaseModel):
                return "points" if is_point(member) else None
            return "words" if kind.models == [] and get_origin(member) is Literal else None
    if kind.quantity is None and kind.models:
        return None
    others = kind.quantity is not None or any(
        c.annotation in (int, str, float) for c in kind.choices()
    )
    return "choice" if kind.words and not others else "text"


def _members(choice: Kind) -> list[type[BaseModel]]:
    if get_origin(choice.annotation) is not tuple:
        return []
    member = get_args(choice.annotation)[0]
    return [member] if isinstance(member, type) and issubclass(member, BaseModel) else []


def _mapping(kind: Kind, value: Any) -> type[BaseModel] | None:
    if isinstance(value, BaseModel):
        return type(value)
    return kind.models[0] if len(kind.models) == 1 else None


def _is_text(kind: Kind) -> bool:
    return any(c.annotation is str for c in kind.choices()) and kind.quantity is None


def _default(info: FieldInfo, kind: Kind, spelling: Spelling) -> str:
    """Return what holds where the file says nothing, in words."""
    if info.is_required():
        return ""
    default = info.get_default(call_default_factory=True)
    if default is None or default in ("", ()):
        return "not given"
    if isinstance(default, BaseModel):
        return ""
    if kind.quantity is not None and isinstance(default, int | float):
        return spelling.text(kind.quantity, float(default), digits=4)
    return _text(default, kind, spelling)


def _text(value: Any, kind: Kind, spelling: Spelling) -> str:
    if value is None:
        return ""
    if isinstance(value, tuple):
        if value and isinstance(value[0], BaseModel):
            return "\n".join(_point(p, spelling) for p in value)
        return ", ".join(map(str, value))
    if kind.quantity is not None and isinstance(value, int | float):
        return spelling.text(kind.quantity, float(value))
    return str(value)


def _point(point: BaseModel, spelling: Spelling) -> str:
    said = []
    for name, info in type(point).model_fields.items():
        quantity = Kind.of_field(info).quantity
        if quantity is not None:
            said.append(spelling.text(quantity, getattr(point, name)))
    return ", ".join(said)
