from __future__ import annotations

import pytest

from backstay.workbench.access.people import Person, Role
from backstay.workbench.access.sessions import IDLE, LONGEST, Session, Sessions
from tests.unit.workbench.access.asking import Clock

ANN, BOB = Person("Ann", Role.RECORDS), Person("Bob", Role.READS)


class Kept:
    """Sessions with a clock and stamps to change."""

    def __init__(self) -> None:
        self.clock = Clock()
        self.stamps: dict[str, str | None] = {"Ann": "a", "Bob": "b"}
        self.sessions = Sessions(lambda name: self.stamps.get(name), clock=self.clock)


@pytest.fixture
def kept() -> Kept:
    return Kept()


def test_a_session_is_found_by_its_key_alone(kept: Kept) -> None:
    begun = kept.sessions.begin(ANN, "a")
    assert kept.sessions.find(begun.key) == begun.session
    for other in ("", begun.key[:-1], begun.session.id, begun.session.token):
        assert kept.sessions.find(other) is None


def test_keys_and_tokens_are_long_and_never_the_same(kept: Kept) -> None:
    begun = [kept.sessions.begin(ANN, "a") for _ in range(50)]
    secrets = {b.key for b in begun} | {b.session.token for b in begun}
    assert len(secrets) == 100
    assert min(len(secret) for secret in secrets) >= 43  # 32 bytes


def test_an_idle_session_ends_and_an_action_puts_that_off(kept: Kept) -> None:
    begun = kept.sessions.begin(ANN, "a")
    kept.clock.now += IDLE - 1
    assert kept.sessions.find(begun.key)  # to look is no action
    kept.sessions.touch(begun.session)
    kept.clock.now += IDLE - 1
    assert kept.sessions.find(begun.key)
    kept.clock.now += 1
    assert kept.sessions.find(begun.key) is None


def test_a_session_ends_in_any_case(kept: Kept) -> None:
    begun = kept.sessions.begin(ANN, "a")
    for _ in range(int(LONGEST // 600) - 1):
        kept.clock.now += 600
        kept.sessions.touch(begun.session)
        assert kept.sessions.alive(begun.session)
    kept.clock.now += 600
    assert not kept.sessions.alive(begun.session)


def test_what_has_ended_is_not_brought_back_by_an_action(kept: Kept) -> None:
    begun = kept.sessions.begin(ANN, "a")
    kept.sessions.end(begun.session)
    kept.sessions.touch(begun.session)
    assert kept.sessions.find(begun.key) is None
    assert len(kept.sessions) == 0


@pytest.mark.parametrize("stamp", ["other", None])
def test_a_changed_account_ends_all_its_sessions_and_no_other(
    kept: Kept, stamp: str | None
) -> None:
    ann = [kept.sessions.begin(ANN, "a") for _ in range(2)]
    bob = kept.sessions.begin(BOB, "b")
    kept.stamps["Ann"] = stamp
    assert [kept.sessions.find(b.key) for b in ann] == [None, None]
    assert kept.sessions.find(bob.key)


def test_all_sessions_of_a_person_can_be_ended(kept: Kept) -> None:
    ann = [kept.sessions.begin(ANN, "a") for _ in range(2)]
    bob = kept.sessions.begin(BOB, "b")
    kept.sessions.end_all("Ann")
    assert [kept.sessions.find(b.key) for b in (*ann, bob)] == [None, None, bob.session]


def test_listeners_hear_of_each_end_once(kept: Kept) -> None:
    heard: list[Session] = []
    kept.sessions.on_end(heard.append)
    begun = kept.sessions.begin(ANN, "a")
    kept.clock.now += IDLE
    kept.sessions.sweep()
    kept.sessions.sweep()
    kept.sessions.end(begun.session)
    assert heard == [begun.session]


def test_sessions_that_nobody_asks_for_do_not_pile_up(kept: Kept) -> None:
    for _ in range(30):
        kept.sessions.begin(ANN, "a")
        kept.clock.now += IDLE / 10
    assert len(kept.sessions) == 10


def test_their_number_is_bounded(kept: Kept) -> None:
    first = kept.sessions.begin(ANN, "a")
    kept.clock.now += 1
    for _ in range(1000):
        last = kept.sessions.begin(ANN, "a")
    assert len(kept.sessions) == 1000
    assert kept.sessions.find(first.key) is None
    assert kept.sessions.find(last.key)
