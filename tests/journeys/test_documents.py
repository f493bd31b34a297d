"""The documents are true: code blocks run, commands exist, the verification page is current."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PAGES = [ROOT / "README.md", *sorted((ROOT / "docs").rglob("*.md"))]
BLOCK = re.compile(r"^```python\n(.*?)^```", re.MULTILINE | re.DOTALL)
FIELD = re.compile(r"(?:^\s{4}|`)backstay field (\w+)", re.MULTILINE)
COMMAND = re.compile(r"^\s{4}backstay (\w+)|`backstay (\w+)", re.MULTILINE)


@pytest.mark.parametrize(
    "code",
    [block for page in PAGES for block in BLOCK.findall(page.read_text("utf-8"))],
)
def test_python_blocks_run(code: str) -> None:
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", code],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr


def test_commands_in_the_documents_exist() -> None:
    from backstay.cli import app
    from backstay.field_cli.commands import app as field

    known = {c.name or c.callback.__name__ for c in app.registered_commands if c.callback}
    known |= {group.typer_instance.info.name for group in app.registered_groups}
    named = {a or b for page in PAGES for a, b in COMMAND.findall(page.read_text("utf-8"))}
    assert named
    assert named <= known
    at_the_jack = {c.name or c.callback.__name__ for c in field.registered_commands if c.callback}
    named = {a for page in PAGES for a in FIELD.findall(page.read_text("utf-8"))}
    assert named == at_the_jack  # each of them is documented


def test_the_verification_page_is_current() -> None:
    done = subprocess.run(
        [sys.executable, str(ROOT / "docs" / "make_pages.py"), "--check"],
        cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout


def test_changelog_and_package_agree() -> None:
    from backstay import __version__

    assert f"## {__version__}" in (ROOT / "CHANGELOG.md").read_text("utf-8")


def test_locked_versions_hold_names_and_versions_only() -> None:
    lines = (ROOT / "constraints.txt").read_text("utf-8").splitlines()
    for line in lines:
        assert line.startswith("#") or re.fullmatch(r"[A-Za-z0-9._-]+==[A-Za-z0-9.+!]+", line), line
