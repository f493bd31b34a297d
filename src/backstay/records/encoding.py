"""Facts as JSON and back, and the hash that chains every entry to the one before.

A fact is checked on its way in: types, and text and numbers that any database keeps. Its JSON is
canonical (sorted keys, shortest form of each number), so that the same fact has the same bytes in
every database and on every machine.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import date, datetime, timezone
from hashlib import sha256
from math import isfinite
from typing import TYPE_CHECKING, Any, TypeVar

from backstay.errors import BackstayError
from backstay.records.facts import KINDS, Fact
from backstay.records.refusal import RefusedError
from backstay.stressing.procedure import Procedure

if TYPE_CHECKING:
    from pydantic import TypeAdapter

T = TypeVar("T")
_JSON = json.JSONEncoder(ensure_ascii=False, allow_nan=False, sort_keys=True, separators=(",", ":"))
START = sha256(b"backstay field records").digest()
"""What the hash of the first entry covers in the place of one before it."""
LONGEST_TEXT = 20_000
LONGEST_NAME = 200
_SIGNED = frozenset({"inclination", "skew", "depth", "station", "dials", "reference"})
_NAMES = frozenset({"anchor", "anchors", "replaces", "replacement", "jack", "certificate", "name"})


_ADAPTERS: dict[type, TypeAdapter[Any]] = {}


def _adapter(kind: type) -> TypeAdapter[Any]:
    """Return what reads and writes a kind of fact; it takes time to make, so it is made once."""
    from pydantic import TypeAdapter

    if kind not in _ADAPTERS:
        _ADAPTERS[kind] = TypeAdapter(kind)
    return _ADAPTERS[kind]


def canonical(value: Any) -> str:
    """Return the JSON of plain data, always the same for the same data."""
    return _JSON.encode(value)


def checked(fact: T, what: str) -> T:
    """Return a fact with every field of its declared type. Raises RefusedError, naming every fault."""
    from pydantic import ValidationError
    from pydantic_core import PydanticSerializationError

    adapter = _adapter(type(fact))
    try:
        plain = adapter.dump_python(fact, warnings=False)
        _sound(plain, "")
        text = json.dumps(plain, default=_day)  # as given: canonical form comes after the check
        sound: T = adapter.validate_json(text, strict=True)
        return sound
    except ValidationError as error:
        faults = "; ".join(
            f"{'.'.join(map(str, e['loc'])) or 'value'}: {e['msg'].lower()}, not {_shown(e['input'])}"
            for e in error.errors(include_url=False)[:5]
        )
        raise RefusedError(f"{what}: {faults}") from None
    except RefusedError as error:
        raise RefusedError(f"{what}: {error}") from None
    except BackstayError as error:
        raise RefusedError(f"{what}: {error}") from None
    except (
        PydanticSerializationError,
        TypeError,
        ValueError,
        ArithmeticError,
        RecursionError,
    ) as error:
        raise RefusedError(f"{what}: {str(error).splitlines()[0]}") from None


def _day(value: object) -> str:
    if isinstance(value, date):
        return value.isoformat()
    raise TypeError(f"{type(value).__name__} is nothing that can be recorded")


def plain_of(fact: Fact | Procedure) -> Any:
    """Return a fact as plain data, ready for JSON."""
    return _adapter(type(fact)).dump_python(fact, mode="json")


def fact_of(kind: str, payload: str, procedures: Mapping[int, Procedure]) -> Fact | None:
    """Return the fact of an entry. Raises RefusedError where the payload is not one."""
    plain = json.loads(payload)
    if plain is None:
        return None
    if kind == "test":
        plain = plain | {"procedure": plain_of(procedures[plain["procedure"]])}
    return of_plain(KINDS[kind], plain)


def of_plain(kind: type[T], plain: Any) -> T:
    """Return a fact from plain data. Raises RefusedError where it is none."""
    return of_text(kind, canonical(plain))


def of_text(kind: type[T], text: str) -> T:
    """Return a fact from its JSON. Raises RefusedError where it is none."""
    from pydantic import ValidationError

    try:
        fact: T = _adapter(kind).validate_json(text, strict=True)
        return fact
    except (ValidationError, BackstayError) as error:
        first = str(error).splitlines()[0]
        raise RefusedError(f"this is no {kind.__name__}: {first}") from None


def _sound(value: Any, field: str) -> None:
    """Refuse numbers and text that no database or engineer can stand behind. Raises RefusedError."""
    if isinstance(value, Mapping):
        for key, inner in value.items():
            _sound(inner, str(key))
    elif isinstance(value, list | tuple):
        for inner in value:
            _sound(inner, field)
    elif isinstance(value, str):
        sound_text(value, field, LONGEST_NAME if field in _NAMES else LONGEST_TEXT)
    elif isinstance(value, float | int) and not isinstance(value, bool):
        sound_number(value, field)


def sound_number(value: float, field: str) -> None:
    """Refuse what is not finite, and negative where the field cannot be. Raises RefusedError."""
    try:
        finite = isfinite(value)
    except OverflowError:
        finite = False
    if not finite:
        raise RefusedError(f"{field} is not a finite number")
    if value < 0 and field not in _SIGNED:
        raise RefusedError(f"{field} is negative ({value:g})")


def sound_text(value: str, field: str, longest: int = LONGEST_TEXT) -> str:
    """Return a text that every database keeps as it is. Raises RefusedError."""
    if len(value) > longest:
        raise RefusedError(f"{field} is longer than {longest} characters")
    if any(ord(letter) < 32 and letter not in "\n\t\r" for letter in value) or any(
        0xD800 <= ord(letter) <= 0xDFFF for letter in value
    ):
        raise RefusedError(f"{field} holds characters that are not text")
    return value


def name(value: object, field: str) -> str:
    """Return a name: one line of text, not empty. Raises RefusedError."""
    if not isinstance(value, str) or not value.strip() or value != value.strip():
        raise RefusedError(f"{field} must be a name, not {_shown(value)}")
    if "\n" in value or "\r" in value or "\t" in value:
        raise RefusedError(f"{field} must be one line of text")
    return sound_text(value, field, LONGEST_NAME)


def moment(value: object, field: str) -> str:
    """Return a time with its zone as text, the offset kept. Raises RefusedError."""
    if not isinstance(value, datetime):
        raise RefusedError(f"{field} must be a date with time, not {_shown(value)}")
    offset = value.utcoffset()
    if offset is None:
        raise RefusedError(f"{field} has no time zone; give one")
    return value.astimezone(timezone(offset)).isoformat()


def chained(before: bytes, row: tuple[object, ...]) -> bytes:
    """Return the hash of a row: of all its columns and of the hash before it."""
    return sha256(before + canonical(row).encode("utf-8")).digest()


def _shown(value: object) -> str:
    text = repr(value)
    return text if len(text) <= 60 else f"{text[:57]}..."
