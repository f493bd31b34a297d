from __future__ import annotations

import hashlib

import pytest

from backstay.workbench.access import passwords
from backstay.workbench.access.passwords import (
    Cost,
    Hashed,
    fault_of,
    hash_password,
    matches,
    nobody,
)

CHEAP = Cost(n=16)


def test_the_digest_is_the_published_one_of_scrypt() -> None:
    """RFC 7914, section 12, second vector (published), cut to the length that is kept."""
    digest = bytes.fromhex("fdbabe1c9d3472007856e7190d01e9fe7c6ad7cbc8237830e77376634b373162")
    assert matches("password", Hashed(Cost(n=1024, r=8, p=16), b"NaCl", digest))


def test_a_password_matches_its_hash_and_no_other() -> None:
    hashed = hash_password("four short words", CHEAP)
    assert matches("four short words", hashed)
    assert not matches("four short word", hashed)
    assert not matches("", hashed)


def test_each_hash_has_a_salt_of_its_own() -> None:
    first, second = (hash_password("four short words", CHEAP) for _ in range(2))
    assert first.salt != second.salt
    assert first.digest != second.digest
    assert len(first.salt) >= 16


def test_the_cost_is_at_least_the_recommended_one() -> None:
    """OWASP Password Storage Cheat Sheet: n = 2^17, r = 8, p = 1 at least (published)."""
    assert Cost().n >= 2**17
    assert Cost().r >= 8
    assert Cost().p >= 1
    hashlib.scrypt(b"x", salt=b"y", n=Cost().n, r=Cost().r, p=Cost().p, maxmem=Cost().memory)


def test_one_word_in_two_spellings_is_one_password() -> None:
    hashed = hash_password(
        "Mu\u0308hle am Bach 12", CHEAP
    )  # u and a mark, as some keyboards send it
    assert matches("M\u00fchle am Bach 12", hashed)


def test_nobody_is_matched_by_nothing() -> None:
    assert not any(matches(word, nobody(CHEAP)) for word in ("", "nobody", "four short words"))


def test_digests_are_compared_in_constant_time(monkeypatch: pytest.MonkeyPatch) -> None:
    compared = []

    def compare(one: bytes, other: bytes) -> bool:
        compared.append((one, other))
        return True

    monkeypatch.setattr(passwords.hmac, "compare_digest", compare)
    assert matches("wrong", hash_password("four short words", CHEAP))
    assert len(compared) == 1


@pytest.mark.parametrize(
    ("password", "said"),
    [
        ("elevenchars", "12 characters"),
        ("", "12 characters"),
        ("x" * 201, "at most 200"),
        ("aaaaaaaaaaaa", "few different"),
        ("ababababababab", "few different"),
        ("Jane Doe Smith", "may not be the name"),
        ("jane doe smithJane Doe Smith", "may not be the name"),
    ],
)
def test_weak_passwords_are_refused_with_the_reason(password: str, said: str) -> None:
    assert said in fault_of(password, "Jane Doe Smith")


@pytest.mark.parametrize(
    "password", ["four short words", "Zwölf kleine Jägermeister", "q8#Lw2!xT5vz"]
)
def test_good_passwords_are_taken(password: str) -> None:
    assert fault_of(password, "Jane") == ""
