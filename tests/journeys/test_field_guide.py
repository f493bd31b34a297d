"""The guide of the field is true: its commands run, one after the other, as they stand there."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from tests.journeys.field import run, site

pytestmark = pytest.mark.journey
GUIDE = Path(__file__).parents[2] / "docs" / "guide" / "field.md"
NOT_ACCEPTED = ("judge wall.yaml 1-5", "judge wall.yaml", "sign wall.yaml 1-5", "derate")


def test_every_command_of_the_guide_runs(tmp_path: Path) -> None:
    site(tmp_path)
    lines = re.findall(r"^    backstay field (.+)$", GUIDE.read_text("utf-8"), re.MULTILINE)
    assert len(lines) > 20
    for line in lines:
        words, _, source = line.partition(" < ")
        stdin = (tmp_path / source).read_text("utf-8") if source else ""
        ran = run(*shlex.split(words), cwd=tmp_path, stdin=stdin)
        wanted = (
            1
            if any(words == n or words.startswith((f"{n} --", f"{n} wall")) for n in NOT_ACCEPTED)
            else 0
        )
        assert ran.returncode == wanted, f"{line}\n{ran.stdout}{ran.stderr}"
    for made in ("wall-sheets.pdf", "row-1.pdf", "papers/summary.pdf", "all.zip", "copy.records"):
        assert (tmp_path / made).exists()
