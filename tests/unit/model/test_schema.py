"""The JSON schema, judged by an independent validator, and the starters against it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import jsonschema
import pytest

from backstay.model import Project, json_schema, starter
from backstay.model.document import compose
from backstay.model.schema import _models
from backstay.quantity import UnitSystem

SCHEMA = json_schema()
VALIDATOR = jsonschema.Draft202012Validator(SCHEMA)
EXAMPLES = sorted((Path(__file__).parents[3] / "examples").glob("*.yaml"))


def data(text: str) -> Any:
    return compose(text, "")[0].value


def test_the_schema_is_one() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    assert SCHEMA["$schema"] == "https://json-schema.org/draft/2020-12/schema"


@pytest.mark.parametrize("units", list(UnitSystem))
def test_starters_are_valid(units: UnitSystem) -> None:
    assert [e.message for e in VALIDATOR.iter_errors(data(starter(units)))] == []


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.stem)
def test_examples_are_valid(path: Path) -> None:
    assert [e.message for e in VALIDATOR.iter_errors(data(path.read_text("utf-8")))] == []


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("units: SI", "units: metric"), ("wall_length: 45.0", "wall_length: -3"), ("spt_n", "spt"),
        ("kind: soldier piles", "kind: piles"), ("test_factor: 1.33", "test_factor: 3"), ("every: 1", "every: 1.5"),
        ("name: A\n", "\n"), ("subgrade: 42.00", "subgrade: [42]"),
    ],
)  # fmt: skip
def test_faults_that_an_editor_shows(old: str, new: str) -> None:
    text = starter(UnitSystem.SI).replace(old, new, 1)
    assert list(VALIDATOR.iter_errors(data(text)))


def test_a_number_may_carry_its_unit() -> None:
    text = starter(UnitSystem.SI).replace("wall_length: 45.0", "wall_length: 148 ft")
    assert not list(VALIDATOR.iter_errors(data(text)))


def test_every_number_names_its_unit_in_both_systems() -> None:
    row = SCHEMA["$defs"]["AnchorRow"]["properties"]
    assert row["elevation"]["description"].endswith("(m or ft)")
    assert row["tail_length"]["description"].endswith("default 1.200 m or 3.937 ft")
    assert row["inclination"]["default"] == 15.0


@pytest.mark.parametrize("units", list(UnitSystem))
def test_a_starter_shows_every_field(units: UnitSystem) -> None:
    """Each field of the model stands in the starter, as an entry or as a comment."""
    text = starter(units)
    missing = [
        f"{model.__name__}.{key}"
        for model in _models(Project, {})
        for key in model.model_fields
        if f"{key}:" not in text
    ]
    assert missing == []
