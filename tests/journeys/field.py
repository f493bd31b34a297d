"""The demonstration wall with its field records, as the command line makes them."""

from __future__ import annotations

import subprocess
from pathlib import Path
from shutil import copytree

from tests.commands import run as command

EXAMPLES = Path(__file__).parents[2] / "examples"
CREW, ENGINEER, OFFICE = "R. Field", "A. Example, PE", "E. Record"
DAY = "2025-03-24 09:00"


def run(
    *words: str | Path, cwd: Path, stdin: str | bytes = "", **environment: str
) -> subprocess.CompletedProcess[str]:
    """Run a field command as a person runs it."""
    given = stdin.encode() if isinstance(stdin, str) else stdin
    return command("field", *words, cwd=cwd, stdin=given, environment=environment)


def done(*words: str | Path, cwd: Path, status: int = 0, stdin: str = "") -> str:
    """Run a command that must end with a status, and return all that it said."""
    ran = run(*words, cwd=cwd, stdin=stdin)
    said = ran.stdout + ran.stderr
    assert ran.returncode == status, f"{words}: {ran.returncode}\n{said}"
    assert "Traceback" not in said
    return said


def site(folder: Path) -> Path:
    """Lay out the project with its field files in a folder."""
    (folder / "wall.yaml").write_text((EXAMPLES / "two-row-sand.yaml").read_text("utf-8"), "utf-8")
    copytree(EXAMPLES / "field", folder / "field")
    return folder


def ready(folder: Path) -> Path:
    """Bring three anchors as far as their tests: planned, submitted, drilled, grouted."""
    site(folder)
    done("register", "wall.yaml", "--by", OFFICE, "--on", "2025-02-20", cwd=folder)
    done(
        "submittal",
        "wall.yaml",
        "field/submittal.yaml",
        "--by",
        OFFICE,
        "--on",
        "2025-03-05",
        cwd=folder,
    )
    done("enter", "wall.yaml", "field/book.yaml", "--by", CREW, cwd=folder)
    return folder


def copied(source: Path, target: Path) -> Path:
    """Return a copy of a site with its records, which no command has open."""
    copytree(source, target, dirs_exist_ok=True)
    return target
