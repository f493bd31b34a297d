from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from backstay.workbench import access
from backstay.workbench.access import people
from backstay.workbench.access.passwords import Cost
from backstay.workbench.access.people import People, Person, Role
from backstay.workbench.access.people_command import app
from tests.unit.workbench.access.asking import CHEAP, PASSWORD

ELSE = "another four words there"


@pytest.fixture
def file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(people, "Cost", lambda *given: Cost(*given) if given else CHEAP)
    return tmp_path / "people.json"


def run(file: Path, *words: str, typed: str = "") -> Result:
    return CliRunner().invoke(app, [*words, "--people", str(file)], input=typed)


def test_the_life_of_an_account(file: Path) -> None:
    assert "Nobody has an account yet" in run(file, "list").stderr
    added = run(file, "add", "Ann Lee", "--role", "records", typed=f"{PASSWORD}\n")
    assert added.exit_code == 0
    assert added.stdout == ""
    assert "Ann Lee reads and records tests." in added.stderr
    assert PASSWORD not in added.output
    run(file, "add", "Bo", "--role", "reads", typed=f"{PASSWORD}\n")
    assert run(file, "list").stdout == "Ann Lee  records\nBo       reads\n"

    assert "sign in again" in run(file, "role", "ann lee", "designs").stderr
    assert run(file, "password", "ann lee", typed=f"{ELSE}\n").exit_code == 0
    account = People(file).verify("Ann Lee", ELSE)
    assert account is not None
    assert account.person == Person("Ann Lee", Role.DESIGNS)
    assert "no account any more" in run(file, "remove", "ann lee").stderr
    assert run(file, "list").stdout == "Bo  reads\n"


@pytest.mark.parametrize(
    ("words", "typed", "said"),
    [
        (("add", "Ann", "--role", "reads"), "short\n", "12 characters"),
        (("add", "Ann", "--role", "reads"), "", "12 characters"),
        (("add", "Bo", "--role", "reads"), f"{PASSWORD}\n", "already"),
        (("add", " ", "--role", "reads"), f"{PASSWORD}\n", "can be printed"),
        (("add", "Ann", "--role", "king"), f"{PASSWORD}\n", "king"),
        (("add", "Ann"), f"{PASSWORD}\n", "--role"),
        (("role", "Ann", "reads"), "", "no account of the name 'Ann'; there is: Bo"),
        (("remove", "Ann"), "", "no account of the name"),
        (("password", "Ann"), f"{PASSWORD}\n", "no account of the name"),
    ],
)
def test_what_is_wrong_changes_nothing_and_says_why(
    file: Path, words: tuple[str, ...], typed: str, said: str
) -> None:
    run(file, "add", "Bo", "--role", "reads", typed=f"{PASSWORD}\n")
    before = file.read_bytes()
    result = run(file, *words, typed=typed)
    assert result.exit_code == 2
    assert said in result.stderr
    assert file.read_bytes() == before


def test_other_commands_do_not_wait_for_accounts() -> None:
    code = (
        "import sys, backstay.workbench.access.people_command; "
        "print([m for m in sys.modules if m.startswith('backstay.workbench.access.')])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "['backstay.workbench.access.people_command']"


def test_the_face_gives_what_it_names() -> None:
    for name in access.__all__:
        assert getattr(access, name).__name__ == name
    with pytest.raises(AttributeError, match="nothing_of_ours"):
        _ = access.nothing_of_ours
