"""What is not saved outlives the program: it is kept after each step, offered, and removed on saving."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from backstay.model.changes import Set
from backstay.workbench.draft import Draft
from backstay.workbench.opened import OpenProjects
from backstay.workbench.project_file import OutsideChangeError, ProjectFile, UndecidedError

DEMO = Path(__file__).parents[3] / "examples" / "two-row-sand.yaml"
LOAD = ("sections", 0, "anchors", 0, "design_load")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    shutil.copy(DEMO, tmp_path / "wall.yaml")
    return tmp_path / "wall.yaml"


def beside(path: Path) -> Path:
    return path.with_name(".wall.yaml.unsaved")


def load(file: ProjectFile, value: float) -> None:
    file.change([Set(LOAD, value)], f"Design load {value}", on=file.revision)


def test_a_program_that_is_killed_loses_no_step(path: Path) -> None:
    script = (
        "import os, signal, sys; from pathlib import Path\n"
        "from backstay.model.changes import Set\n"
        "from backstay.workbench.project_file import ProjectFile\n"
        "f = ProjectFile(Path(sys.argv[1]))\n"
        f"for v in (120, 125): f.change([Set({LOAD!r}, v)], 'Load', on=f.revision)\n"
        "os.kill(os.getpid(), signal.SIGKILL)\n"
    )
    killed = subprocess.run([sys.executable, "-c", script, str(path)], check=False)
    assert killed.returncode == -signal.SIGKILL
    assert path.read_text() == DEMO.read_text()
    file = ProjectFile(path)
    left = file.state.left
    assert left is not None
    assert left.text is not None
    assert [line.split("#")[0].split() for line in left.lines] == [
        ["-", "design_load:", "115"],
        ["+", "design_load:", "125"],
    ]
    assert not left.later
    taken = file.take_up(who="Ann")
    assert (taken.text, taken.unsaved, taken.left) == (left.text, True, None)
    assert taken.undo == "Take up what was left unsaved"
    assert file.undo(on=file.revision).text == DEMO.read_text()


def test_it_is_kept_after_each_step_and_gone_once_saved(path: Path) -> None:
    file = ProjectFile(path)
    assert not beside(path).exists()
    for value in (120, 125):
        load(file, value)
        assert beside(path).read_text() == file.text
    file.undo(on=file.revision)
    assert "design_load: 120" in beside(path).read_text()
    file.undo(on=file.revision)
    assert not beside(path).exists(), "what is as it was saved needs no draft"
    file.redo(on=file.revision)
    assert beside(path).exists()
    file.save()
    assert not beside(path).exists()
    assert ProjectFile(path).state.left is None


def test_it_is_kept_where_saving_is_refused(path: Path) -> None:
    file = ProjectFile(path)
    load(file, 120)
    path.write_text(DEMO.read_text() + "\n# by somebody else\n")
    with pytest.raises(OutsideChangeError):
        file.save()
    assert beside(path).read_text() == file.text
    file.take_outside()
    assert not beside(path).exists()


def test_listeners_are_told_after_it_is_kept(path: Path) -> None:
    file = ProjectFile(path)
    seen: list[bool] = []
    file.listen(lambda state: seen.append(beside(path).read_text() == state.text))
    load(file, 120)
    assert seen == [True]


def test_nothing_is_written_over_what_is_not_decided(path: Path) -> None:
    load(ProjectFile(path), 120)
    was = beside(path).read_text()
    file = ProjectFile(path)
    for change in (
        lambda: load(file, 130),
        lambda: file.replace("x", "x", on=file.revision),
        lambda: file.undo(on=file.revision),
        file.take_outside,
    ):
        with pytest.raises(UndecidedError, match="take up or drop"):
            change()
    file.save(over=True)
    assert beside(path).read_text() == was
    told: list[object] = []
    file.listen(lambda state: told.append(state.left))
    file.drop_left()
    assert told == [None]
    assert not beside(path).exists()
    load(file, 130)
    assert "design_load: 130" in beside(path).read_text()


def test_what_is_as_saved_is_no_offer(path: Path) -> None:
    """The machine may stop between saving and removing the draft."""
    beside(path).write_text(path.read_text())
    assert ProjectFile(path).state.left is None
    assert not beside(path).exists()


def test_a_file_written_since_is_said(path: Path) -> None:
    load(ProjectFile(path), 120)
    os.utime(beside(path), (1_000_000_000, 1_000_000_000))
    left = ProjectFile(path).state.left
    assert left is not None
    assert left.later
    assert left.when.timestamp() == 1_000_000_000


def test_one_that_cannot_be_read_can_only_be_dropped(path: Path) -> None:
    beside(path).write_bytes(b"\xff\xfe\x00broken")
    file = ProjectFile(path)
    left = file.state.left
    assert left is not None
    assert left.text is None
    before = file.text
    assert file.take_up().text == before
    assert beside(path).exists()
    file.drop_left()
    assert not beside(path).exists()


def test_a_folder_that_takes_no_file_stops_no_step_and_is_said(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    file = ProjectFile(path)
    with monkeypatch.context() as patched:
        patched.setattr("backstay.workbench.draft.atomic_write", full)
        load(file, 120)
        assert "design_load: 120" in file.text
        assert file.state.trouble == "No space left on device"
    load(file, 125)
    assert file.state.trouble == ""
    assert "design_load: 125" in beside(path).read_text()


def test_a_link_is_neither_read_nor_followed(path: Path, tmp_path: Path) -> None:
    other = tmp_path / "other.txt"
    other.write_text("secret")
    beside(path).symlink_to(other)
    file = ProjectFile(path)
    assert file.state.left is None
    load(file, 120)
    assert other.read_text() == "secret"
    assert file.state.trouble == ".wall.yaml.unsaved is a link"


def test_drafts_are_no_projects(path: Path) -> None:
    Draft(path).keep("text")
    with OpenProjects(path.parent).closing() as projects:
        assert projects.names() == ["wall.yaml"]
