"""Where output may go: never onto an input, a folder, or a file of another kind."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner

from backstay.cli import app
from backstay.files import MisplacedError, Written, folder_for, output_at

PROJECT = Path(__file__).parents[2] / "examples" / "two-row-sand.yaml"


def test_a_new_name_and_what_was_written_so_before_will_do(tmp_path: Path) -> None:
    assert output_at(tmp_path / "new.pdf", "PDF") == tmp_path / "new.pdf"
    for kind, begins in (("PDF", b"%PDF-1.7 ..."), ("workbook", b"PK.."), ("zip archive", b"PK..")):
        there = tmp_path / f"there.{kind}"
        there.write_bytes(begins)
        written: Written = kind  # type: ignore[assignment]
        assert output_at(there, written) == there
    empty = tmp_path / "empty"
    empty.touch()
    assert output_at(empty, "PDF") == empty


def test_an_input_is_never_written_over_by_whatever_name(tmp_path: Path) -> None:
    submittal = tmp_path / "submittal.pdf"
    submittal.write_bytes(b"%PDF-1.7")
    other = tmp_path / "link.pdf"
    other.symlink_to(submittal)
    for name in (submittal, other, tmp_path / "." / "submittal.pdf"):
        with pytest.raises(MisplacedError, match="is what is read"):
            output_at(name, "PDF", tmp_path / "none.yaml", submittal)


@pytest.mark.parametrize("content", [b"field_book: B-1\n", b"%PDX", b"\xff\xd8\xff\xe0photo"])
def test_a_file_of_another_kind_is_left_as_it_is(tmp_path: Path, content: bytes) -> None:
    there = tmp_path / "book.yaml"
    there.write_bytes(content)
    with pytest.raises(MisplacedError, match="is no PDF"):
        output_at(there, "PDF")
    assert there.read_bytes() == content


def test_folders_and_files_are_not_taken_for_each_other(tmp_path: Path) -> None:
    with pytest.raises(MisplacedError, match="is a folder"):
        output_at(tmp_path, "PDF")
    with pytest.raises(MisplacedError, match="no such folder"):
        output_at(tmp_path / "none" / "x.pdf", "PDF")
    there = tmp_path / "file"
    there.touch()
    with pytest.raises(MisplacedError, match="is a file"):
        folder_for(there)
    assert folder_for(tmp_path / "a" / "b").is_dir()


@pytest.mark.parametrize("command", ["report", "schedule", "draw"])
def test_no_command_writes_over_its_project(tmp_path: Path, command: str) -> None:
    project = tmp_path / "wall.yaml"
    before = PROJECT.read_bytes()
    project.write_bytes(before)
    ran = CliRunner().invoke(app, [command, str(project), "-o", str(project)])
    assert isinstance(ran.exception, MisplacedError)
    assert project.read_bytes() == before
