from __future__ import annotations

import json
import os
import stat
from pathlib import Path

import pytest

from backstay.workbench.access import passwords
from backstay.workbench.access.people import (
    AccountsError,
    NotAllowedError,
    People,
    Person,
    Role,
    default_file,
    require,
)
from tests.unit.workbench.access.asking import CHEAP, PASSWORD, people

ELSE = "another four words there"


def test_roles_are_in_order() -> None:
    assert Role.READS < Role.RECORDS < Role.DESIGNS
    assert Role.DESIGNS >= Role.RECORDS >= Role.RECORDS


@pytest.mark.parametrize("needed", Role)
@pytest.mark.parametrize("has", Role)
def test_a_role_reaches_itself_and_those_before_it(has: Role, needed: Role) -> None:
    person = Person("Ann", has)
    if list(Role).index(has) >= list(Role).index(needed):
        require(person, needed)
    else:
        with pytest.raises(NotAllowedError, match=f"“{needed.value}”.*Ann reads"):
            require(person, needed)


def test_an_account_is_found_again_by_another_reader_of_the_file(tmp_path: Path) -> None:
    people(tmp_path, Ann=Role.RECORDS)
    again = People(tmp_path / "people.json")
    account = again.verify("Ann", PASSWORD)
    assert account is not None
    assert account.person == Person("Ann", Role.RECORDS)
    assert again.verify("Ann", PASSWORD + "!") is None
    assert again.verify("Bob", PASSWORD) is None


def test_names_are_one_whatever_the_case_and_spaces(tmp_path: Path) -> None:
    made = people(tmp_path)
    made.add("  Ann   Lee ", Role.READS, PASSWORD)
    assert made.everybody() == (Person("Ann Lee", Role.READS),)
    assert made.verify("ann lee", PASSWORD) is not None
    with pytest.raises(AccountsError, match="already"):
        made.add("ANN LEE", Role.DESIGNS, PASSWORD)


@pytest.mark.skipif(os.name != "posix", reason="modes are of POSIX")
def test_the_file_is_its_owners_alone_whatever_the_mask(tmp_path: Path) -> None:
    old = os.umask(0)
    try:
        made = People(tmp_path / "deep" / "people.json", cost=CHEAP)
        made.add("Ann", Role.READS, PASSWORD)
        made.add("Bob", Role.READS, PASSWORD)
    finally:
        os.umask(old)
    assert stat.S_IMODE(made.path.stat().st_mode) == 0o600
    assert stat.S_IMODE(made.path.parent.stat().st_mode) == 0o700
    assert [file.name for file in made.path.parent.iterdir()] == ["people.json"]


@pytest.mark.skipif(os.name != "posix", reason="modes are of POSIX")
@pytest.mark.parametrize("mode", [0o640, 0o604, 0o660])
def test_a_file_that_others_reach_is_refused(tmp_path: Path, mode: int) -> None:
    made = people(tmp_path, Ann=Role.READS)
    made.path.chmod(mode)
    with pytest.raises(AccountsError, match="chmod 600"):
        made.verify("Ann", PASSWORD)


def test_no_password_stands_in_the_file(tmp_path: Path) -> None:
    made = people(tmp_path, Ann=Role.READS)
    text = made.path.read_text()
    assert PASSWORD not in text
    row = json.loads(text)["people"][0]
    assert row["scrypt"] == {"n": CHEAP.n, "r": CHEAP.r, "p": CHEAP.p}


@pytest.mark.parametrize("name", ["", "   ", "x" * 61, "a\x00b", "a\x1b[31mb", "a\u202eb"])
def test_names_that_cannot_be_shown_are_refused(tmp_path: Path, name: str) -> None:
    with pytest.raises(AccountsError, match="can be printed"):
        people(tmp_path).add(name, Role.READS, PASSWORD)


def test_weak_passwords_are_refused_and_nothing_is_written(tmp_path: Path) -> None:
    made = people(tmp_path, Ann=Role.READS)
    before = made.path.read_bytes()
    with pytest.raises(AccountsError, match="12 characters"):
        made.add("Bob", Role.READS, "short")
    with pytest.raises(AccountsError, match="12 characters"):
        made.change_password("Ann", "short")
    assert made.path.read_bytes() == before


def test_each_change_gives_a_new_stamp(tmp_path: Path) -> None:
    made = people(tmp_path, Ann=Role.READS, Bob=Role.READS)
    stamps = [made.stamp("Ann")]
    bob = made.stamp("Bob")
    made.change_role("Ann", Role.DESIGNS)
    stamps.append(made.stamp("Ann"))
    made.change_password("Ann", ELSE)
    stamps.append(made.stamp("Ann"))
    made.remove("Ann")
    made.add("Ann", Role.DESIGNS, ELSE)
    stamps.append(made.stamp("Ann"))
    assert len(set(stamps)) == 4
    assert None not in stamps
    assert made.stamp("Bob") == bob


def test_changes_take_effect(tmp_path: Path) -> None:
    made = people(tmp_path, Ann=Role.READS)
    made.change_role("ann", Role.DESIGNS)
    made.change_password("ann", ELSE)
    account = made.verify("Ann", ELSE)
    assert account is not None
    assert account.person == Person("Ann", Role.DESIGNS)
    assert made.verify("Ann", PASSWORD) is None
    made.remove("Ann")
    assert made.verify("Ann", ELSE) is None
    assert made.everybody() == ()


def test_an_unknown_name_to_change_is_refused_with_the_known(tmp_path: Path) -> None:
    made = people(tmp_path, Ann=Role.READS)
    for change in (
        lambda: made.remove("Bob"),
        lambda: made.change_role("Bob", Role.READS),
        lambda: made.change_password("Bob", PASSWORD),
    ):
        with pytest.raises(AccountsError, match="'Bob'; there is: Ann"):
            change()


def test_a_change_by_a_command_reaches_a_server_that_runs(tmp_path: Path) -> None:
    server = people(tmp_path, Ann=Role.READS)
    assert server.verify("Ann", PASSWORD) is not None
    People(server.path, cost=CHEAP).remove("Ann")
    assert server.verify("Ann", PASSWORD) is None
    assert server.stamp("Ann") is None


@pytest.mark.parametrize("known", [True, False])
def test_an_unknown_name_costs_what_a_known_one_does(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, known: bool
) -> None:
    """Time cannot be asserted; that the one thing which takes time is done as often, at one cost."""
    made = people(tmp_path, Ann=Role.READS)
    calls = []
    scrypt = passwords.hashlib.scrypt

    def counted(password: bytes, **given: object) -> bytes:
        calls.append((given["n"], given["r"], given["p"], given["dklen"]))
        return scrypt(password, **given)  # type: ignore[arg-type]

    monkeypatch.setattr(passwords.hashlib, "scrypt", counted)
    assert made.verify("Ann" if known else "Bob", "wrong words entirely") is None
    assert calls == [(CHEAP.n, CHEAP.r, CHEAP.p, 32)]


@pytest.mark.parametrize(
    "content",
    [
        "{",
        "[]",
        "null",
        '{"version": 2, "people": []}',
        '{"version": 1}',
        '{"version": 1, "people": [{}]}',
        '{"version": 1, "people": [{"name": "A", "role": "king", "stamp": "s", "salt": "00", '
        '"hash": "00", "scrypt": {"n": 16, "r": 8, "p": 1}}]}',
        '{"version": 1, "people": [{"name": "A", "role": "reads", "stamp": "s", "salt": "00", '
        '"hash": "00", "scrypt": {"n": 1073741824, "r": 8, "p": 1}}]}',
    ],
)
def test_a_damaged_file_lets_nobody_in(tmp_path: Path, content: str) -> None:
    made = people(tmp_path, A=Role.READS)
    made.path.write_text(content)
    with pytest.raises(AccountsError, match="cannot be used"):
        made.verify("A", PASSWORD)


def test_the_file_is_with_the_settings_of_the_user(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.platform", "linux")
    monkeypatch.setenv("XDG_CONFIG_HOME", "/somewhere/settings")
    assert default_file() == Path("/somewhere/settings/backstay/people.json")
