"""Where field commands write: what cannot be written to is said before anything is done."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
import typer

from backstay.field_cli.app import WRONG_INPUT, folder_at, page_at


def refused(call: Callable[[Path], Path], path: Path, capsys: pytest.CaptureFixture[str]) -> str:
    with pytest.raises(typer.Exit) as left:
        call(path)
    assert left.value.exit_code == WRONG_INPUT
    return capsys.readouterr().err


def test_a_page_is_written_to_a_file_in_a_folder_that_is_there(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert page_at(tmp_path / "x.pdf") == tmp_path / "x.pdf"
    assert f"{tmp_path} is a folder" in refused(page_at, tmp_path, capsys)
    assert "nowhere: there is no such folder" in refused(
        page_at, tmp_path / "nowhere" / "x.pdf", capsys
    )


def test_a_folder_is_made_where_it_is_not_there(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert folder_at(tmp_path / "a" / "b").is_dir()
    assert folder_at(tmp_path / "a") == tmp_path / "a"
    (tmp_path / "file").write_text("x", "utf-8")
    assert "is a file; name a folder" in refused(folder_at, tmp_path / "file", capsys)
