"""A project file that is open in several windows: steps, refusals, and what lies on the disk."""

from __future__ import annotations

import shutil
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from backstay.errors import ProjectError
from backstay.model.changes import Remove, Set
from backstay.workbench.project_file import (
    MOST_STEPS,
    OutsideChangeError,
    ProjectFile,
    StaleError,
    State,
)

DEMO = Path(__file__).parents[3] / "examples" / "two-row-sand.yaml"
LOAD = ("sections", 0, "anchors", 0, "design_load")


@pytest.fixture
def file(tmp_path: Path) -> ProjectFile:
    path = tmp_path / "wall.yaml"
    shutil.copy(DEMO, path)
    return ProjectFile(path)


def load(file: ProjectFile, value: float) -> State:
    return file.change([Set(LOAD, value)], f"Design load {value}", on=file.revision)


def test_a_change_is_a_step_that_goes_back_and_forth(file: ProjectFile) -> None:
    before = file.text
    after = load(file, 120)
    assert (after.revision, after.unsaved, after.undo, after.redo) == (
        1,
        True,
        "Design load 120",
        "",
    )
    assert "design_load: 120 " in file.text
    assert "# kip, rounded up" in file.text
    back = file.undo(on=1)
    assert (file.text, back.unsaved, back.undo, back.redo) == (before, False, "", "Design load 120")
    again = file.redo(on=back.revision)
    assert again.text == after.text
    load(file, 125)
    file.undo(on=file.revision)
    other = load(file, 130)
    assert other.redo == "", "a new step ends what could be redone"
    assert file.undo(on=file.revision).text == after.text


def test_nothing_to_undo_changes_nothing(file: ProjectFile) -> None:
    assert file.undo(on=0).revision == 0
    assert file.redo(on=0).revision == 0
    assert file.change([Set(LOAD, 115)], "the same", on=0).revision == 0


def test_the_window_that_was_slower_is_refused(file: ProjectFile) -> None:
    seen = file.revision
    file.change([Set(LOAD, 120)], "Design load 120", on=seen, who="Ann")
    text = file.text
    with pytest.raises(StaleError, match=r"Design load 120 by Ann.*make the change again"):
        file.change([Set(LOAD, 130)], "Design load 130", on=seen)
    for late in (file.undo, file.redo):
        with pytest.raises(StaleError):
            late(on=seen)
    assert file.text == text


def test_of_many_windows_at_once_one_comes_first(file: ProjectFile) -> None:
    def change(value: int) -> bool:
        try:
            file.change([Set(LOAD, value)], str(value), on=0)
        except StaleError:
            return False
        return True

    with ThreadPoolExecutor(8) as windows:
        assert sum(windows.map(change, range(200, 240))) == 1
    assert file.revision == 1


def test_a_faulty_change_leaves_all_as_it_was(file: ProjectFile) -> None:
    before = file.state
    with pytest.raises(ProjectError, match="design_load"):
        file.change([Set(LOAD, 120), Set(LOAD, "much")], "two", on=0)
    with pytest.raises(ProjectError, match="wall"):
        file.change([Remove(("sections", 0, "wall"))], "no wall", on=0)
    assert file.state == before


def test_saving_writes_the_text_whole_and_keeps_comments(file: ProjectFile) -> None:
    load(file, 120)
    assert file.path.read_text() == DEMO.read_text()
    state = file.save()
    assert not state.unsaved
    written = file.path.read_text().splitlines()
    was = DEMO.read_text().splitlines()
    assert [(a, b) for a, b in zip(was, written, strict=True) if a != b] == [
        (was[75], was[75].replace("115 ", "120 "))
    ]
    assert file.undo(on=file.revision).unsaved


def test_what_something_else_wrote_is_noticed_and_never_written_over_silently(
    file: ProjectFile,
) -> None:
    assert file.outside() is None
    load(file, 120)
    other = DEMO.read_text().replace("spacing: 8.0", "spacing: 7.0")
    file.path.write_text(other)
    assert file.outside() == other
    with pytest.raises(OutsideChangeError, match="changed by something else"):
        file.save()
    assert file.path.read_text() == other
    mine = file.text
    taken = file.take_outside()
    assert (taken.text, taken.unsaved, file.outside()) == (other, False, None)
    assert file.undo(on=file.revision).text == mine
    file.path.write_text(DEMO.read_text())
    file.save(over=True)
    assert file.path.read_text() == mine


def test_a_file_that_is_gone_is_noticed(file: ProjectFile) -> None:
    file.path.unlink()
    assert file.outside() == ""
    with pytest.raises(OutsideChangeError):
        file.save()
    file.save(over=True)
    assert file.path.read_text() == file.text


def test_every_window_is_told_until_it_is_closed(file: ProjectFile) -> None:
    told: list[int] = []
    end = file.listen(lambda state: told.append(state.revision))
    load(file, 120)
    file.undo(on=1)
    end()
    load(file, 121)
    assert told == [1, 2]


def test_the_oldest_steps_are_forgotten_first(file: ProjectFile) -> None:
    for value in range(MOST_STEPS + 10):
        text = file.text.split("\n", 1)[1] if value else file.text
        file.replace(f"# {value}\n{text}", f"{value}", on=file.revision)
    for _ in range(MOST_STEPS + 20):
        file.undo(on=file.revision)
    assert file.text.startswith("# 9\n")


def test_a_text_with_faults_can_be_held_and_mended(file: ProjectFile) -> None:
    """An outside edit may be faulty: it is shown with its faults, not refused."""
    file.replace("units: XX\n", "Paste", on=0)
    with pytest.raises(ProjectError):
        file.project()
    file.undo(on=1)
    assert file.project().units == "US"


def test_a_copy_never_takes_a_name_that_exists(file: ProjectFile, tmp_path: Path) -> None:
    file.save_as(tmp_path / "copy.yaml")
    assert (tmp_path / "copy.yaml").read_text() == file.text
    with pytest.raises(FileExistsError):
        file.save_as(tmp_path / "copy.yaml")


def test_what_is_saved_here_is_no_change_from_outside(file: ProjectFile) -> None:
    load(file, 120)
    told: list[tuple[int, bool]] = []
    file.listen(lambda state: told.append((state.revision, state.unsaved)))
    file.save()
    assert file.outside() is None
    assert told == [(1, False)], "saving is told, and is no other text"


def test_what_is_written_outside_and_is_no_text_is_noticed(file: ProjectFile) -> None:
    file.path.write_bytes(b"\xff\xfe\x00")
    assert file.outside() == ""


def test_the_same_text_from_outside_is_taken_as_saved(file: ProjectFile) -> None:
    load(file, 120)
    file.path.write_text(file.text)
    told: list[bool] = []
    file.listen(lambda state: told.append(state.unsaved))
    assert not file.take_outside().unsaved
    assert told == [False]
    assert file.outside() is None
