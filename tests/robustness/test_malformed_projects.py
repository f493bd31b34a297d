"""Whatever stands in a file, reading it gives a project or faults, and nothing else."""

from __future__ import annotations

import copy
import json
import math
from typing import Any

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from backstay.errors import ProjectError
from backstay.model import Project, read_text, starter
from backstay.model.document import MAX_BYTES, compose, decode
from backstay.model.reading import read_project
from backstay.quantity import UnitSystem

TEXTS = {units: starter(units) for units in UnitSystem}
TREES = {units: compose(text, "")[0].value for units, text in TEXTS.items()}
calm = settings(
    max_examples=200, deadline=None, suppress_health_check=[HealthCheck.too_slow], database=None
)


def outcome(text: str) -> Project | ProjectError:
    """Return the project or the refusal; anything else that is raised fails the test."""
    try:
        return read_text(text, "wall.yaml")
    except ProjectError as error:
        refusal = error
    assert refusal.faults
    for fault in refusal.faults:
        assert fault.rule
        assert "\n" not in str(fault)
        assert 0 <= fault.line <= text.count("\n") + 2
    return refusal


def places(tree: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    found = [path] if path else []
    items = (
        tree.items()
        if isinstance(tree, dict)
        else enumerate(tree)
        if isinstance(tree, list)
        else ()
    )
    for key, value in items:
        found += places(value, (*path, key))
    return found


PLACES = {units: places(tree) for units, tree in TREES.items()}
ODD = st.one_of(
    st.none(), st.booleans(), st.integers(-(10**9), 10**9), st.integers(), st.floats(),
    st.text(max_size=20), st.just([]), st.just({}), st.just([[]]), st.just({"kind": "point"}),
    st.sampled_from([
        "auto", "12 ft", "3 m", "-1 kPa", "1e400", "1e9 psf", "nan", "inf", "0", "12'-6\"", "deg", "5 °",
        "1/0 ft", "10 ** 10 ** 10 ft", "2 m**99999", "(((", "__import__('os')", "1,5", "\x85", "\u2028",
    ]),
    st.lists(st.integers(), max_size=3),
    st.dictionaries(st.text(max_size=5), st.integers(), max_size=3),
)  # fmt: skip


@st.composite
def mutated(draw: st.DrawFn) -> str:
    """A starter with some values replaced, removed or doubled, written as JSON (which is YAML)."""
    units = draw(st.sampled_from(list(UnitSystem)))
    tree = copy.deepcopy(TREES[units])
    for path in draw(st.lists(st.sampled_from(PLACES[units]), min_size=1, max_size=4)):
        holder: Any = tree
        try:
            for piece in path[:-1]:
                holder = holder[piece]
            match draw(st.sampled_from(["replace", "remove", "double", "rename"])):
                case "replace":
                    holder[path[-1]] = draw(ODD)
                case "remove":
                    del holder[path[-1]]
                case "double" if isinstance(holder, list):
                    holder.append(copy.deepcopy(holder[path[-1]]))
                case "rename" if isinstance(holder, dict):
                    holder[draw(st.text(max_size=8))] = holder.pop(path[-1])
        except (KeyError, IndexError, TypeError):
            continue
    return json.dumps(tree).replace("Infinity", ".inf").replace("NaN", ".nan")


@calm
@given(mutated())
def test_mutated_projects(text: str) -> None:
    outcome(text)


@calm
@given(
    st.sampled_from(list(UnitSystem)), st.integers(0, 10_000), st.integers(0, 30), st.text(max_size=12)
)  # fmt: skip
def test_torn_text(units: UnitSystem, at: int, gone: int, put: str) -> None:
    text = TEXTS[units]
    at %= len(text)
    outcome(text[:at] + put + text[at + gone :])


@calm
@given(
    st.one_of(st.text(max_size=200), st.text(alphabet="-:{}[]#&*!|>'\"%@`, \n\tab0.", max_size=80))
)
@example("? ")
@example("&a [*a]")
@example("- - - -")
@example("{a: &x {b: *x}}")
@example('"\\UFFFFFFFF"')
@example("%YAML 9.9\n---\na: 1")
@example("\ufeffa: 1")
def test_any_text(text: str) -> None:
    outcome(text)


@calm
@given(st.binary(max_size=200))
def test_any_bytes(raw: bytes) -> None:
    try:
        raw.decode("utf-8")
    except UnicodeDecodeError:
        with pytest.raises(ProjectError, match="UTF-8"):
            decode(raw, "wall.yaml")
    else:
        outcome(decode(raw, "wall.yaml"))


@calm
@given(st.sampled_from(list(UnitSystem)), st.data())
def test_odd_scalars_in_place(units: UnitSystem, data: st.DataObject) -> None:
    """Every scalar of the file, replaced in the text itself by something odd and unquoted."""
    root, _ = compose(TEXTS[units], "")
    path = data.draw(st.sampled_from(PLACES[units]))
    node = root.at(path)
    assert node is not None
    odd = data.draw(
        st.sampled_from(["", "~", ".nan", "-.inf", "1e999", "true", "[]", "{}", "*x", "&x", "!!set {}",
                         "9" * 5000, "|", "'", "- a", "0x1F", "1_000", "12:30:00", "2026-01-01", "<<"])
    )  # fmt: skip
    text = TEXTS[units]
    outcome(text[: node.start] + odd + text[node.end :])


def bomb(levels: int) -> str:
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{i}: &a{i} [{', '.join([f'*a{i - 1}'] * 9)}]" for i in range(1, levels)]
    return "\n".join(lines)


HOSTILE = {
    "alias bomb": bomb(30),
    "deep lists": "[" * 100_000,
    "deep lists, closed": "[" * 50_000 + "]" * 50_000,
    "deep mappings": "{a: " * 50_000,
    "deep blocks": "\n".join(" " * i + "a:" for i in range(400)),
    "deep sequence": "- " * 20_000 + "x",
    "many values": "a: [" + "1, " * 300_000 + "1]",
    "many keys": "\n".join(f"k{i}: {i}" for i in range(60_000)),
    "long line": "a: " + "x" * (MAX_BYTES - 10),
    "long comment": "# " + "x" * (MAX_BYTES - 10),
    "long key": "x" * (MAX_BYTES - 10) + ": 1",
    "long number": "a: " + "9" * (MAX_BYTES - 10),
    "open quote": 'a: "' + "x" * (MAX_BYTES - 10),
    "blank lines": "\n" * (MAX_BYTES - 10),
    "spaces": " " * (MAX_BYTES - 10),
    "anchors": "\n".join(f"k{i}: &a{i} 1" for i in range(40_000)),
    "units": "units: SI\nsections: [" + ", ".join(f"{{wall_length: 1 q{i}}}" for i in range(2000)) + "]",
}  # fmt: skip


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_text_is_refused(name: str) -> None:
    """How quickly stands in the benchmarks; here it must be refused at all."""
    assert isinstance(outcome(HOSTILE[name]), ProjectError)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"a: 1\n" * 2_000_000, "too large"),
        (b"\xff\xfe\x00a", "not UTF-8"),
        ("project: caf\xe9".encode("latin-1"), "line 1, column 13: read the byte 0xE9"),
        (b"a: \x00", "control character"),
        (b"", "empty"),
    ],
)
def test_hostile_files_are_refused(content: bytes, said: str, tmp_path: Any) -> None:
    file = tmp_path / "wall.yaml"
    file.write_bytes(content)
    with pytest.raises(ProjectError, match=said):
        read_project(file)


def test_what_is_not_a_file_is_refused(tmp_path: Any) -> None:
    with pytest.raises(ProjectError, match="folder"):
        read_project(tmp_path)
    with pytest.raises(ProjectError, match="no such file"):
        read_project(tmp_path / "missing.yaml")
    with pytest.raises(ProjectError, match="no such file"):
        read_project("\0")


@pytest.mark.parametrize("units", list(UnitSystem))
def test_the_unchanged_starter_is_a_project(units: UnitSystem) -> None:
    project = outcome(TEXTS[units])
    assert isinstance(project, Project)
    assert math.isfinite(project.sections[0].height)
