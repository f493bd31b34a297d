"""What each field of a project file accepts, in words, read off the model itself."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from backstay.model.units import accepted as accepted_number
from backstay.quantity import Quantity, UnitSystem


@dataclass(frozen=True, slots=True)
class Kind:
    """What may stand at one place: a type and what is annotated to it."""

    annotation: Any
    metadata: tuple[Any, ...] = ()
    description: str = ""

    @classmethod
    def of_field(cls, info: FieldInfo) -> Kind:
        """Return the kind of a field of a model."""
        return cls(info.annotation, tuple(info.metadata), info.description or "")

    def choices(self) -> Iterator[Kind]:
        """Return the members of a union (nothing for None), else the kind itself."""
        origin = get_origin(self.annotation)
        if origin is Annotated:
            inner, *extra = get_args(self.annotation)
            flat = [m for e in extra for m in (e.metadata if isinstance(e, FieldInfo) else (e,))]
            yield from Kind(inner, (*self.metadata, *flat), self.description).choices()
        elif origin in (Union, UnionType):
            for member in get_args(self.annotation):
                if member is not NoneType:
                    yield from Kind(member, self.metadata, self.description).choices()
        else:
            yield self

    @property
    def models(self) -> list[type[BaseModel]]:
        """Return the mappings that may stand here."""
        return [
            c.annotation
            for c in self.choices()
            if isinstance(c.annotation, type) and issubclass(c.annotation, BaseModel)
        ]

    def model_for(self, value: Any) -> type[BaseModel] | None:
        """Return the model of a mapping, told apart by its `kind` where there are several."""
        models = self.models
        if len(models) == 1:
            return models[0]
        said = value.get("kind") if isinstance(value, Mapping) else None
        return next((m for m in models if said in kinds_of(m)), None)

    def child(self, piece: str | int, value: Any) -> Kind | None:
        """Return the kind of one entry of the mapping or list `value` that stands here."""
        if isinstance(piece, int):
            for choice in self.choices():
                if get_origin(choice.annotation) is tuple:
                    return Kind(get_args(choice.annotation)[0])
            return None
        model = self.model_for(value)
        info = model.model_fields.get(piece) if model else None
        return Kind.of_field(info) if info else None

    @property
    def quantity(self) -> Quantity | None:
        """Return the quantity of a number that may stand here."""
        for choice in self.choices():
            for item in choice.metadata:
                if isinstance(item, Quantity):
                    return item
        return None

    @property
    def words(self) -> tuple[str, ...]:
        """Return the words that may stand here."""
        return tuple(
            str(getattr(w, "value", w))
            for c in self.choices()
            for w in (
                get_args(c.annotation) if get_origin(c.annotation) is Literal else _members(c)
            )
        )

    def accepted(self, units: UnitSystem) -> str:
        """Say what may stand here: ``a number in ft, or text with a unit, or "auto"``."""
        said: list[str] = []
        for choice in self.choices():
            text = _accepted(choice, units)
            if text and text not in said:
                said.append(text)
        if self.words:
            said.append(listed(self.words))
        return ", or ".join(said)


def _members(choice: Kind) -> tuple[Any, ...]:
    return tuple(UnitSystem) if choice.annotation is UnitSystem else ()


def kinds_of(model: type[BaseModel]) -> tuple[str, ...]:
    """Return the words that the key `kind` may have in a model."""
    info = model.model_fields.get("kind")
    return Kind.of_field(info).words if info else ()


def _accepted(choice: Kind, units: UnitSystem) -> str:
    quantity = next((m for m in choice.metadata if isinstance(m, Quantity)), None)
    kind = choice.annotation
    if quantity is not None:
        return accepted_number(quantity, units)
    if kind is int:
        return f"a whole number{_limits(choice)}"
    if kind is str:
        return "text"
    if get_origin(kind) is tuple:
        return "a list"
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        return f"a mapping with the keys {', '.join(kind.model_fields)}"
    return ""


def _limits(choice: Kind) -> str:
    low = next((m.ge for m in choice.metadata if hasattr(m, "ge")), None)
    high = next((m.le for m in choice.metadata if hasattr(m, "le")), None)
    if low is not None and high is not None:
        return f" from {low} to {high}"
    return f", at least {low}" if low is not None else ""


def listed(words: tuple[str, ...]) -> str:
    """Write choices as ``"sand", "stiff clay" or "soft clay"``."""
    quoted = [w if w.isdigit() else f'"{w}"' for w in words]
    return quoted[0] if len(quoted) == 1 else f"{', '.join(quoted[:-1])} or {quoted[-1]}"
