"""The command line, run as a person runs it."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
from pathlib import Path

import jsonschema
import pytest

pytestmark = pytest.mark.journey
EXAMPLES = Path(__file__).parents[2] / "examples"
SAND = EXAMPLES / "two-row-sand.yaml"
FAILING = EXAMPLES / "soft-over-weaker-clay.yaml"


def run(
    *words: str | Path, cwd: Path | None = None, **environment: str
) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "backstay", *map(str, words)],
        cwd=cwd, capture_output=True, text=True, timeout=60, encoding="utf-8",
        env={**os.environ, "PYTHONUTF8": "1", **environment}, check=False,
    )  # fmt: skip


@pytest.mark.parametrize("units", ["SI", "US"])
def test_new_then_check(units: str, tmp_path: Path) -> None:
    made = run("new", "--units", units, cwd=tmp_path)
    assert (made.returncode, made.stdout) == (0, "")
    assert f"units: {units}" in (tmp_path / "wall.yaml").read_text("utf-8")
    checked = run("check", "wall.yaml", cwd=tmp_path)
    assert checked.returncode == 0, checked.stdout + checked.stderr
    assert max(map(len, checked.stdout.splitlines())) <= 100
    for words in ("Envelope", "Loads of rows", "Anchor schedule", "Checks", "Cautions", "jack"):
        assert words in checked.stdout
    assert re.search(r"(PASSES|FAILS): .*checks", checked.stdout)
    assert "\x1b" not in checked.stdout


def test_new_refuses_to_overwrite(tmp_path: Path) -> None:
    file = tmp_path / "wall.yaml"
    file.write_text("mine")
    made = run("new", file)
    assert made.returncode == 2
    assert "left as it is" in made.stderr
    assert file.read_text() == "mine"


def test_a_faulty_file_lists_every_fault_with_its_line(tmp_path: Path) -> None:
    file = tmp_path / "wall.yaml"
    run("new", file, "--units", "US")
    text = file.read_text("utf-8").replace("life: temporary ", "life: tempory ")
    file.write_text(text.replace("elevation: 156.2 ", "elevation: 82 kg "), "utf-8")
    checked = run("check", file)
    assert (checked.returncode, checked.stdout) == (2, "")
    assert "2 faults" in checked.stderr
    assert re.search(
        r'line \d+, column 9: service.life: .*did you mean "temporary"\?', checked.stderr
    )
    assert "sections[0].anchors[0].elevation: read '82 kg'" in checked.stderr
    as_data = run("check", file, "--json")
    assert as_data.returncode == 2
    faults = json.loads(as_data.stdout)["faults"]
    assert [f["path"] for f in faults] == ["service.life", "sections[0].anchors[0].elevation"]


def test_a_missing_file() -> None:
    checked = run("check", "nowhere.yaml")
    assert checked.returncode == 2
    assert "there is no such file" in checked.stderr
    assert "Traceback" not in checked.stderr


def test_json_is_all_that_is_printed() -> None:
    from backstay.results import result_schema

    checked = run("check", SAND, "--json")
    assert checked.returncode in (0, 1), checked.stderr
    result = json.loads(checked.stdout)
    jsonschema.Draft202012Validator(result_schema()).validate(result)


def test_units_are_shown_as_asked() -> None:
    assert "kN" in run("check", SAND, "--units", "SI").stdout
    assert "kip" in run("check", SAND, "--units", "us").stdout
    wrong = run("check", SAND, "--units", "metric")
    assert wrong.returncode == 2


def test_a_failing_design_says_what_would_help() -> None:
    checked = run("check", FAILING)
    assert checked.returncode == 1, checked.stderr
    assert "What fails, and what would help" in checked.stdout
    assert re.search(r"FAILS: \d+ of \d+ checks fail", checked.stdout)


def test_a_continuous_wall_has_neither_spacing_nor_grade() -> None:
    line = next(x for x in run("check", FAILING).stdout.splitlines() if x.startswith("Wall "))
    assert line.split(maxsplit=1)[1] == "Hot-rolled sheet piles, 36 in3/ft"


def test_a_wall_that_cannot_be_designed_says_why(tmp_path: Path) -> None:
    file = tmp_path / "wall.yaml"
    run("new", file, "--units", "US")
    text = file.read_text("utf-8")
    assert "section: HP14x89" in text
    file.write_text(text.replace("section: HP14x89", "section: MC18x58"), "utf-8")
    checked = run("check", file)
    assert (checked.returncode, checked.stdout) == (1, "")
    assert re.search(r"cannot be designed as described: section A, .*channel", checked.stderr)
    refused = json.loads(run("check", file, "--json").stdout)
    assert "channel" in refused["reason"]
    assert "{" not in checked.stderr


def test_explain_prints_the_whole_derivation() -> None:
    result = json.loads(run("check", SAND, "--json").stdout)
    for section in result["sections"]:
        for check in section["checks"]:
            identifier = check["id"]
    explained = run("explain", identifier, SAND)
    assert explained.returncode in (0, 1), explained.stderr
    assert " = " in explained.stdout
    assert "utilisation" in explained.stdout
    assert max(map(len, explained.stdout.splitlines())) <= 100


def test_explain_suggests_the_likely_check() -> None:
    asked = run("explain", "wall.pile-bendin", SAND)
    assert (asked.returncode, asked.stdout) == (2, "")
    assert "Did you mean wall.pile-bending" in asked.stderr
    elsewhere = run("explain", "wall.pile-bending", SAND, "--section", "Z")
    assert elsewhere.returncode == 2
    assert "no section" in elsewhere.stderr


def test_explain_knows_checks_by_words_of_their_names() -> None:
    by_id = run("explain", "wall.pile-bending", SAND)
    by_name = run("explain", "bending of the soldier pile", SAND)
    assert "wall.pile-bending" in by_id.stdout
    several = run("explain", "tendon", SAND)
    assert several.returncode == 2
    assert "Several checks" in several.stderr
    assert by_name.returncode == 2 or by_name.stdout == by_id.stdout


def test_report_and_drawings_are_written(tmp_path: Path) -> None:
    pdf = tmp_path / "out.pdf"
    reported = run("report", SAND, "-o", pdf)
    assert reported.returncode in (0, 1), reported.stderr
    assert reported.stdout == ""
    assert pdf.read_bytes().startswith(b"%PDF")
    drawn = run("draw", SAND, "-o", tmp_path / "drawings")
    assert drawn.returncode in (0, 1), drawn.stderr
    assert {p.suffix for p in (tmp_path / "drawings").iterdir()} == {".svg", ".pdf", ".dxf"}


def test_a_place_that_cannot_be_written(tmp_path: Path) -> None:
    reported = run("report", SAND, "-o", tmp_path / "no" / "such" / "folder.pdf")
    assert reported.returncode == 2
    assert reported.stderr == f"{tmp_path / 'no' / 'such'}: there is no such folder\n"


def test_schema_prints_json() -> None:
    printed = run("schema")
    assert printed.returncode == 0
    assert json.loads(printed.stdout)["$schema"].endswith("2020-12/schema")


def test_version_and_help() -> None:
    from backstay import __version__

    assert run("--version").stdout == f"backstay {__version__}\n"
    for words in ((), *((c,) for c in ("new", "check", "explain", "report", "draw", "schema"))):
        shown = run(*words, "--help")
        assert shown.returncode == 0
        assert "Usage: backstay" in shown.stdout


def test_shell_completion_is_offered() -> None:
    shown = run("--show-completion", "bash", _TYPER_COMPLETE_TEST_DISABLE_SHELL_DETECTION="1")
    assert "backstay" in shown.stdout
    completed = run(_BACKSTAY_COMPLETE="complete_bash", COMP_WORDS="backstay ch", COMP_CWORD="1")
    assert completed.stdout.split() == ["check"]


BREAK = "import backstay.model.reading as r\ndef f(path): raise RuntimeError('broken inside')\nr.read_project = f\n"


def test_a_fault_of_the_program_is_one_line(tmp_path: Path) -> None:
    code = (
        BREAK
        + "import sys; sys.argv = ['backstay', 'check', 'x']\nfrom backstay.cli import main; main()"
    )
    broken = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=False
    )
    assert broken.returncode == 3
    assert "fault of the program, not of the project: RuntimeError: broken inside" in broken.stderr
    assert "Traceback" not in broken.stderr
    shown = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=False,
        env={**os.environ, "BACKSTAY_DEBUG": "1"},
    )  # fmt: skip
    assert "Traceback" in shown.stderr


@pytest.mark.skipif(os.name != "posix", reason="sends a signal")
def test_interrupting_is_clean() -> None:
    code = (
        "import time, backstay.model.reading as r\n"
        "def f(path): print('reading', flush=True); time.sleep(30)\nr.read_project = f\n"
        "import sys; sys.argv = ['backstay', 'check', 'x']\nfrom backstay.cli import main; main()"
    )
    with subprocess.Popen(
        [sys.executable, "-c", code], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    ) as process:
        assert process.stdout is not None
        process.stdout.readline()
        process.send_signal(signal.SIGINT)
        _, words = process.communicate(timeout=10)
    assert process.returncode == 130
    assert "Traceback" not in words


@pytest.mark.skipif(os.name != "posix", reason="closes a pipe")
def test_a_reader_that_leaves_is_no_fault() -> None:
    command = f"{sys.executable} -m backstay schema | head -c 1; exit ${{PIPESTATUS[0]}}"
    left = subprocess.run(["bash", "-c", command], capture_output=True, text=True, check=False)
    assert "fault" not in left.stderr
    assert "Traceback" not in left.stderr


def test_help_loads_nothing_heavy() -> None:
    """How quick it is stands in the benchmarks."""
    code = (
        "import sys; sys.argv = ['backstay', '--help']\nfrom backstay.cli import main\n"
        "try: main()\nexcept SystemExit: pass\n"
        "heavy = {'numpy', 'pydantic', 'ruamel', 'rich', 'pint', 'typst', 'ezdxf'} & set(sys.modules)\n"
        "print('heavy:', sorted(heavy))"
    )
    shown = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=False
    )
    assert shown.stdout.endswith("heavy: []\n")


def test_stages_are_told_and_drawn_within_a_hundred_columns() -> None:
    done = run("stages", SAND)
    assert done.returncode == 0, done.stderr
    lines = done.stdout.splitlines()
    assert any(line.startswith("Stage 5: excavate to elevation 68.00 ft") for line in lines)
    assert "Greatest deflection toward the cut" in done.stdout
    assert "{" not in done.stdout
    assert max(len(line) for line in lines) <= 100
