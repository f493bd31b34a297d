"""Changes of a project file: what is read afterwards, and that the rest of the text stays as it was."""

from __future__ import annotations

from copy import deepcopy
from difflib import ndiff
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from backstay.errors import ProjectError
from backstay.model.changes import Insert, Remove, Set, changed
from backstay.model.document import compose

EXAMPLES = sorted((Path(__file__).parents[3] / "examples").rglob("*.yaml"))
DEMO = (Path(__file__).parents[3] / "examples" / "two-row-sand.yaml").read_text()
ROWS = ("sections", 0, "anchors")
ROW = {"elevation": 86, "inclination": 15, "tendon": {"kind": "strand", "product": "auto"}}


def value(text: str):
    return compose(text, "")[0].value


def lines(before: str, after: str) -> list[str]:
    return [line for line in ndiff(before.splitlines(), after.splitlines()) if line[0] in "+-"]


def places(text: str):
    """Return all paths of a document."""
    found = []

    def walk(node, path):
        for piece, child in node.children.items():
            found.append((*path, piece))
            walk(child, (*path, piece))

    walk(compose(text, "")[0], ())
    return found


def holder(data, path):
    for piece in path[:-1]:
        data = data[piece]
    return data


@given(st.data())
def test_anything_can_be_taken_out(data) -> None:
    """What is read afterwards is the same data without it."""
    text = data.draw(st.sampled_from(EXAMPLES)).read_text()
    path = data.draw(st.sampled_from(places(text)))
    wanted = deepcopy(value(text))
    del holder(wanted, path)[path[-1]]
    assert value(changed(text, [Remove(path)])) == wanted


@given(st.data())
def test_what_is_put_in_is_read_there(data) -> None:
    """By the library's plain lists: at any place of any list."""
    text = data.draw(st.sampled_from(EXAMPLES)).read_text()
    of_lists = [p for p in places(text) if isinstance(p[-1], int)]
    path = data.draw(st.sampled_from(of_lists))
    path = (*path[:-1], path[-1] + data.draw(st.sampled_from([0, 1])))
    new = data.draw(
        st.sampled_from([ROW, 3.5, "a: b # c", [1, [2, 3]], {"a": None, "b": "x\ny", "c": {}}])
    )
    wanted = deepcopy(value(text))
    holder(wanted, path).insert(path[-1], new)
    after = changed(text, [Insert(path, new)])
    assert value(after) == wanted
    back = changed(after, [Remove(path)])
    assert value(back) == value(text)


def test_a_row_that_is_added_and_taken_out_leaves_the_text_as_it_was() -> None:
    for at in range(3):
        after = changed(DEMO, [Insert((*ROWS, at), ROW)])
        assert all(line.startswith("+") for line in lines(DEMO, after))
        assert changed(after, [Remove((*ROWS, at))]) == DEMO


def test_comments_of_others_stay() -> None:
    text = "list:\n  # first\n  - 1\n  # second\n  - 2   # two\n  # end\nkey: 3\n"
    assert changed(text, [Remove(("list", 0))]) == (
        "list:\n  # first\n  # second\n  - 2   # two\n  # end\nkey: 3\n"
    )
    assert "# second" in changed(text, [Remove(("list", 1))])
    assert "two" not in changed(text, [Remove(("list", 1))])


def test_the_last_of_a_list_leaves_an_empty_list() -> None:
    after = changed(DEMO, [Remove(("sections", 0, "buildings", 0))])
    assert value(after)["sections"][0]["buildings"] == []
    assert value(changed(after, [Insert(("sections", 0, "buildings", 0), {"name": "x"})]))[
        "sections"
    ][0]["buildings"] == [{"name": "x"}]


def test_a_list_that_is_not_there_is_begun() -> None:
    text = changed(DEMO, [Remove(("sections", 0, "buildings"))])
    after = changed(text, [Insert(("sections", 0, "buildings", 0), {"name": "x"})])
    assert value(after)["sections"][0]["buildings"] == [{"name": "x"}]


def test_a_value_that_is_set_touches_one_line() -> None:
    after = changed(DEMO, [Set((*ROWS, 0, "elevation"), "91.5 ft")])
    assert [line[:2] for line in lines(DEMO, after)] == ["- ", "+ "]


@pytest.mark.parametrize(
    "change",
    [
        Remove(()), Remove((*ROWS, 2)), Remove(("nothing",)), Insert((), 1), Insert((*ROWS, 3), 1),
        Insert((*ROWS, -1), 1), Insert(("sections", 0, "wall"), 1), Insert((*ROWS, 0, "bond"), 1),
        Insert(("nothing", 0, "list", 0), 1), Set(("nothing", "there"), 1),
    ],
)  # fmt: skip
def test_a_place_that_is_not_there_is_refused(change) -> None:
    with pytest.raises(ProjectError, match="no such place"):
        changed(DEMO, [change])


def test_a_list_that_is_not_there_begins_with_its_first_item() -> None:
    assert changed("a:\n  b: 1\n", [Insert(("a", "c", 0), 2)]) == "a:\n  b: 1\n  c:\n    - 2\n"
    with pytest.raises(ProjectError, match="no such place"):
        changed("a:\n  b: 1\n", [Insert(("a", "c", 1), 2)])


def test_a_last_line_without_its_end_gets_one() -> None:
    assert changed("a:\n  - 1\n  - 2", [Insert(("a", 2), 3)]) == "a:\n  - 1\n  - 2\n  - 3\n"


def test_dashes_are_written_as_those_before() -> None:
    text = "a:\n  -   b: 1\n      c: 2\n"
    assert changed(text, [Insert(("a", 1), {"b": 3, "c": 4})]) == (
        f"{text}  -   b: 3\n      c: 4\n"
    )


@pytest.mark.parametrize("first", ["x: &row\n  b: 1\n", "x:\n  - &row\n    b: 1\n  - 7\n"])
def test_what_an_alias_stands_for_is_left_where_it_is_written(first: str) -> None:
    """What such an item says is written elsewhere: its dash and its end are not found from there."""
    text = f"{first}a:\n  - *row\n  - c: 2\n  - *row\nd:\n  e: *row\n  f: 3\n"
    was = value(text)
    for change, there in (
        (Remove(("a", 0)), {"a": [{"c": 2}, {"b": 1}]}),
        (Remove(("a", 1)), {"a": [{"b": 1}, {"b": 1}]}),
        (Remove(("d", "e")), {"d": {"f": 3}}),
        (Insert(("a", 0), 5), {"a": [5, *was["a"]]}),
        (Insert(("a", 1), 5), {"a": [{"b": 1}, 5, {"c": 2}, {"b": 1}]}),
        (Insert(("a", 3), 5), {"a": [*was["a"], 5]}),
    ):
        assert value(changed(text, [change])) == {**was, **there}, change


def test_an_item_that_is_an_alias_within_ends_where_it_is_written() -> None:
    text = "x: &row\n  b: 1\na:\n  - k: *row\n  - k: *row\nz: 1\n"
    assert changed(text, [Remove(("a", 1))]) == text.replace("  - k: *row\n", "", 1)
    assert changed(text, [Insert(("a", 2), 5)]) == text.replace("z:", "  - 5\nz:")
