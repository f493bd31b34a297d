from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from backstay.workbench.access.paths import UnsafePathError, safe_path

MESSAGE = "This is not the path of a file in the folder of the projects."


@pytest.fixture
def root(tmp_path: Path) -> Path:
    folder = tmp_path / "projects"
    (folder / "site").mkdir(parents=True)
    (folder / "wall.yaml").write_text("inside")
    (folder / "notes.txt").write_text("inside, but no project")
    (folder / "site" / "east.yml").write_text("inside")
    (tmp_path / "secret.yaml").write_text("outside")
    (tmp_path / "projects-old").mkdir()
    (tmp_path / "projects-old" / "wall.yaml").write_text("outside")
    return folder


@pytest.mark.parametrize(
    "relative",
    ["wall.yaml", "site/east.yml", "site/new.yaml", "new folder/a wall, east (2).YAML",
     "Stützwand Süd.yaml", "wall.v2.yaml", "50% done.yaml", "console.yaml"],
)  # fmt: skip
def test_files_of_the_folder_are_given(root: Path, relative: str) -> None:
    assert safe_path(root, relative) == root.resolve() / relative


@pytest.mark.parametrize(
    "relative",
    [
        "../secret.yaml", "site/../../secret.yaml", "site/../wall.yaml", "./wall.yaml",
        "..", ".", "", "/", "//", "site//east.yml", "site/", "/wall.yaml",
        "/etc/passwd.yaml", "//server/share.yaml", "../projects-old/wall.yaml",
        "..\\secret.yaml", "site\\..\\..\\secret.yaml", "\\\\server\\share\\x.yaml",
        "C:wall.yaml", "C:/wall.yaml", "c:\\wall.yaml", "file:///etc/x.yaml",
        "%2e%2e/secret.yaml", "..%2fsecret.yaml", "%2e%2e%2fsecret.yaml", "..%5csecret.yaml",
        "%252e%252e/secret.yaml", "..%c0%afsecret.yaml", "wall%00.yaml",
        "....//secret.yaml", "..../secret.yaml", ".../secret.yaml", ".. /secret.yaml",
        "../secret.yaml\x00", "wall.yaml\x00.png", "wall\n.yaml", "wall\x7f.yaml",
        "．．／secret.yaml", "..／secret.yaml", "‥/secret.yaml", "․․/secret.yaml",
        "site/．．/x.yaml", "site／east.yml", "..∕secret.yaml/../x.yaml",
        "con.yaml", "CON.yaml", "nul.yaml", "aux.b.yaml", "com1.yaml", "LPT9.yaml", "com¹.yaml",
        "prn/wall.yaml", "conin$.yaml",
        "wall.yaml.", "wall.yaml ", " wall.yaml", "wall.yaml::$DATA", "wall.yaml:stream.yaml",
        ".hidden.yaml", ".git/config.yaml", "~/wall.yaml", "~root/x.yaml",
        "wall", "notes.txt", "wall.yaml/notes.txt", "wall.yaml.txt", "site", "wall.yamlx",
        "a" * 300 + ".yaml", "a/" * 600 + "x.yaml", "*.yaml", "wall?.yaml", "<x>.yaml", 'a"b.yaml',
        "\u202ewall.yaml", "\ud800.yaml",
    ],
)  # fmt: skip
def test_everything_else_is_refused_with_one_message(root: Path, relative: str) -> None:
    with pytest.raises(UnsafePathError) as refused:
        safe_path(root, relative)
    assert str(refused.value) == MESSAGE


def test_a_link_may_lead_about_inside_and_not_out(root: Path) -> None:
    (root / "same.yaml").symlink_to(root / "wall.yaml")
    (root / "out.yaml").symlink_to(root.parent / "secret.yaml")
    (root / "old").symlink_to(root.parent / "projects-old")
    (root / "text.yaml").symlink_to(root / "notes.txt")
    (root / "dead.yaml").symlink_to(root.parent / "nothing.yaml")
    (root / "loop.yaml").symlink_to(root / "loop.yaml")
    assert safe_path(root, "same.yaml") == (root / "wall.yaml").resolve()
    for relative in ("out.yaml", "old/wall.yaml", "text.yaml", "dead.yaml", "loop.yaml"):
        with pytest.raises(UnsafePathError):
            safe_path(root, relative)


def test_a_folder_reached_by_a_link_is_the_folder(root: Path) -> None:
    link = root.parent / "link"
    link.symlink_to(root)
    assert safe_path(link, "wall.yaml") == (root / "wall.yaml").resolve()


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="pipes are of POSIX")
def test_what_is_no_file_is_refused(root: Path) -> None:
    os.mkfifo(root / "pipe.yaml")
    (root / "folder.yaml").mkdir()
    for relative in ("pipe.yaml", "folder.yaml"):
        with pytest.raises(UnsafePathError):
            safe_path(root, relative)


def test_other_suffixes_are_taken_where_they_are_asked_for(root: Path) -> None:
    assert safe_path(root, "notes.txt", suffixes=[".TXT"]).name == "notes.txt"
    with pytest.raises(UnsafePathError):
        safe_path(root, "wall.yaml", suffixes=[".txt"])


def test_a_folder_that_is_not_there_gives_nothing(tmp_path: Path) -> None:
    with pytest.raises(UnsafePathError):
        safe_path(tmp_path / "gone", "wall.yaml")


_PIECES = st.sampled_from(
    ["..", ".", "/", "\\", "a", ".yaml", "%2e", "\x00", "~", ":", " ", "．", "／"]
)


@given(st.one_of(st.text(max_size=40), st.lists(_PIECES, max_size=12).map("".join)))
def test_whatever_is_given_lies_inside(tmp_path_factory: pytest.TempPathFactory, text: str) -> None:
    root = tmp_path_factory.getbasetemp()
    for relative in (text, f"{text}.yaml"):
        try:
            found = safe_path(root, relative)
        except UnsafePathError:
            continue
        assert os.path.realpath(found).startswith(os.path.realpath(root) + os.sep)
        assert found.suffix == ".yaml"
