"""The people who may use the workbench: names, roles, and the file that keeps them."""

from __future__ import annotations

import json
import os
import secrets
import stat
import sys
import threading
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import Enum
from functools import total_ordering
from pathlib import Path

from backstay.errors import BackstayError
from backstay.files import atomic_write
from backstay.workbench.access.passwords import (
    Cost,
    Hashed,
    fault_of,
    hash_password,
    matches,
    nobody,
)

_VERSION = 1
_LONGEST_NAME = 60
_LARGEST_COST = 2**31  # bytes: a damaged file must not ask for the whole memory


class AccountsError(BackstayError):
    """An account cannot be made or changed as asked, or the file of accounts cannot be used."""


class NotAllowedError(BackstayError):
    """The role of a person does not reach as far as what was asked."""


@total_ordering
class Role(Enum):
    """What a person may do; each role may do what those before it may."""

    READS = "reads"
    RECORDS = "records"
    DESIGNS = "designs"

    @property
    def words(self) -> str:
        """What a person of this role does, as the end of "NAME ..."."""
        return {"reads": "reads", "records": "reads and records tests"}.get(
            self.value, "reads, records tests and designs"
        )

    def __lt__(self, other: object) -> bool:
        if not isinstance(other, Role):
            return NotImplemented
        order = list(Role)
        return order.index(self) < order.index(other)


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody at the workbench; the name is empty where nobody signs in."""

    name: str
    role: Role


def require(person: Person, role: Role) -> None:
    """Raise NotAllowedError, with a plain sentence, if the role of the person falls short."""
    if person.role < role:
        who = f"{person.name} {person.role.words}" if person.name else f"You: {person.role.words}"
        raise NotAllowedError(f"This needs the role “{role.value}”. {who}.")


@dataclass(frozen=True, slots=True)
class Account:
    """One person with the hashed password.

    stamp: changes whenever the password or the role does; a session remembers the stamp it began
    with, and ends when the account shows another.
    """

    person: Person
    hashed: Hashed
    stamp: str


class People:
    """The accounts in one file (JSON) that its owner alone can read and write.

    The file is read again when it has changed, so that a command takes effect on a server that is
    running. path: `default_file()` if not given. Every method may raise AccountsError if the file
    is damaged, open to others or cannot be read; writing may raise OSError.
    """

    def __init__(self, path: Path | None = None, *, cost: Cost | None = None) -> None:
        self.path = path if path is not None else default_file()
        self._cost = cost if cost is not None else Cost()
        self._accounts: dict[str, Account] = {}
        self._seen: tuple[int, ...] | None = None
        self._lock = threading.RLock()  # passwords are compared in threads

    def everybody(self) -> tuple[Person, ...]:
        """List the people, by name."""
        with self._lock:
            return tuple(a.person for _, a in sorted(self._read().items()))

    def person(self, name: str) -> Person:
        """Give the person of a name; raise AccountsError, with the names there are, if none is."""
        return self._account(name).person

    def stamp(self, name: str) -> str | None:
        """Give the stamp of an account, or None if there is none of this name."""
        with self._lock:
            account = self._read().get(_key(name))
            return account.stamp if account else None

    def verify(self, name: str, password: str) -> Account | None:
        """Give the account of a name and password, or None; an unknown name takes as long."""
        with self._lock:
            accounts = self._read()
            account = accounts.get(_key(name))
            dearest = max((a.hashed.cost for a in accounts.values()), default=self._cost)
        right = matches(password, account.hashed if account else nobody(dearest))
        return account if right else None

    def add(self, name: str, role: Role, password: str) -> Person:
        """Make an account; raise AccountsError if the name is taken or something is refused."""
        person = Person(_clean(name), role)
        self._refuse_weak(password, person.name)
        account = Account(person, hash_password(password, self._cost), _stamp())
        with self._lock:
            accounts = dict(self._read())
            if _key(person.name) in accounts:
                raise AccountsError(f"There is an account of the name {person.name!r} already.")
            self._write({**accounts, _key(person.name): account})
        return person

    def remove(self, name: str) -> Person:
        """Take an account away; whoever is signed in with it is signed out."""
        with self._lock:
            account = self._account(name)
            self._write({k: a for k, a in self._read().items() if k != _key(name)})
        return account.person

    def change_role(self, name: str, role: Role) -> Person:
        """Give a person another role; whoever is signed in with the account is signed out."""
        with self._lock:
            account = self._account(name)
            person = Person(account.person.name, role)
            self._replace(replace(account, person=person, stamp=_stamp()))
        return person

    def change_password(self, name: str, password: str) -> Person:
        """Set another password; whoever is signed in with the account is signed out."""
        person = self.person(name)
        self._refuse_weak(password, person.name)
        hashed = hash_password(password, self._cost)
        with self._lock:
            self._replace(replace(self._account(name), hashed=hashed, stamp=_stamp()))
        return person

    def _account(self, name: str) -> Account:
        with self._lock:
            account = self._read().get(_key(name))
            if account is None:
                names = ", ".join(person.name for person in self.everybody()) or "nobody"
                raise AccountsError(f"There is no account of the name {name!r}; there is: {names}.")
            return account

    def _refuse_weak(self, password: str, name: str) -> None:
        if fault := fault_of(password, name):
            raise AccountsError(fault)

    def _replace(self, account: Account) -> None:
        self._write({**self._read(), _key(account.person.name): account})

    def _read(self) -> Mapping[str, Account]:
        try:
            found = self.path.stat()
        except FileNotFoundError:
            self._accounts, self._seen = {}, None
            return self._accounts
        except OSError as error:
            raise AccountsError(f"The accounts file {self.path}: {error.strerror}") from error
        seen = (found.st_mtime_ns, found.st_size, found.st_ino, found.st_mode)
        if seen != self._seen:
            if os.name == "posix" and stat.S_IMODE(found.st_mode) & 0o077:
                raise AccountsError(
                    f"Others can reach the accounts file {self.path}; "
                    f"make it yours alone: chmod 600 {self.path}"
                )
            try:
                content = self.path.read_bytes()
            except OSError as error:
                raise AccountsError(f"The accounts file {self.path}: {error.strerror}") from error
            self._accounts = _parsed(content, self.path)
            self._seen = seen
        return self._accounts

    def _write(self, accounts: Mapping[str, Account]) -> None:
        self.path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        if not self.path.exists():
            # Written with its mode from the first byte: replacing a file keeps its mode.
            os.close(os.open(self.path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
        rows = [_row(account) for _, account in sorted(accounts.items())]
        text = json.dumps({"version": _VERSION, "people": rows}, indent=1, ensure_ascii=False)
        atomic_write(self.path, (text + "\n").encode("utf-8"))
        self._seen = None


def default_file() -> Path:
    """Give the accounts file in the folder where this system keeps a user's settings."""
    if sys.platform == "win32":
        folder = Path(os.environ.get("APPDATA") or Path.home() / "AppData" / "Roaming")
    elif sys.platform == "darwin":
        folder = Path.home() / "Library" / "Application Support"
    else:
        folder = Path(os.environ.get("XDG_CONFIG_HOME") or Path.home() / ".config")
    return folder / "backstay" / "people.json"


def _clean(name: str) -> str:
    clean = " ".join(unicodedata.normalize("NFC", name).split())
    if not clean or len(clean) > _LONGEST_NAME or not clean.isprintable():
        raise AccountsError(f"A name has 1 to {_LONGEST_NAME} letters that can be printed.")
    return clean


def _key(name: str) -> str:
    """Bring to one spelling what is the same name to a person."""
    return unicodedata.normalize("NFC", " ".join(name.split()).casefold())


def _stamp() -> str:
    return secrets.token_hex(8)


def _row(account: Account) -> dict[str, object]:
    cost = account.hashed.cost
    return {
        "name": account.person.name,
        "role": account.person.role.value,
        "stamp": account.stamp,
        "scrypt": {"n": cost.n, "r": cost.r, "p": cost.p},
        "salt": account.hashed.salt.hex(),
        "hash": account.hashed.digest.hex(),
    }


def _parsed(content: bytes, path: Path) -> dict[str, Account]:
    if not content:
        return {}  # made, and not written to yet
    try:
        document = json.loads(content)
        if document["version"] != _VERSION:
            raise ValueError(f"version {document['version']!r} is not known")
        accounts = [_account(row) for row in document["people"]]
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        raise AccountsError(
            f"The accounts file {path} cannot be used ({type(error).__name__}: {error}); "
            "put back a copy of it, or remove it and make the accounts again."
        ) from error
    found = {_key(account.person.name): account for account in accounts}
    if len(found) != len(accounts):
        raise AccountsError(f"The accounts file {path} has two accounts of one name.")
    return found


def _account(row: Mapping[str, object]) -> Account:
    name, role, stamp = row["name"], row["role"], row["stamp"]
    salt, digest, numbers = row["salt"], row["hash"], row["scrypt"]
    texts = (name, stamp, salt, digest)
    if not all(isinstance(text, str) and text for text in texts) or not isinstance(numbers, dict):
        raise ValueError("an account lacks a part")
    cost = Cost(int(numbers["n"]), int(numbers["r"]), int(numbers["p"]))
    if min(cost.n, cost.r, cost.p) < 1 or cost.memory * cost.p > _LARGEST_COST:
        raise ValueError("the cost of a password is out of range")
    hashed = Hashed(cost, bytes.fromhex(str(salt)), bytes.fromhex(str(digest)))
    return Account(Person(str(name), Role(role)), hashed, str(stamp))
