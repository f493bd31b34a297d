from __future__ import annotations

import pytest

from backstay.workbench.access.tries import (
    FREE_BY_ADDRESS,
    FREE_BY_NAME,
    TooManyTriesError,
    Tries,
)
from tests.unit.workbench.access.asking import Clock


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def tries(clock: Clock) -> Tries:
    return Tries(clock=clock)


def fail(tries: Tries, count: int, *, name: str = "Ann", address: str = "10.0.0.1") -> None:
    for _ in range(count):
        tries.begin(name, address)


def test_a_few_failures_cost_nothing(tries: Tries) -> None:
    fail(tries, FREE_BY_NAME)
    with pytest.raises(TooManyTriesError, match="failed\\. Wait 30 seconds"):
        tries.begin("Ann", "10.0.0.1")


def test_another_address_does_not_help_with_one_name(tries: Tries) -> None:
    for i in range(FREE_BY_NAME):
        tries.begin("Ann", f"10.0.0.{i}")
    with pytest.raises(TooManyTriesError):
        tries.begin(" ANN ", "10.0.0.99")
    tries.begin("Bob", "10.0.0.99")


def test_another_name_does_not_help_at_one_address(tries: Tries) -> None:
    for i in range(FREE_BY_ADDRESS):
        tries.begin(f"name {i}", "10.0.0.1")
    with pytest.raises(TooManyTriesError):
        tries.begin("Ann", "10.0.0.1")
    tries.begin("Ann", "10.0.0.2")


def test_one_machine_with_many_addresses_of_ipv6_is_one(tries: Tries) -> None:
    for i in range(FREE_BY_ADDRESS):
        tries.begin(f"name {i}", f"2001:db8:0:1::{i + 1:x}")
    with pytest.raises(TooManyTriesError):
        tries.begin("Ann", "2001:db8:0:1:ffff::1")
    tries.begin("Ann", "2001:db8:0:2::1")


def test_the_wait_doubles_to_a_quarter_of_an_hour_and_no_more(tries: Tries, clock: Clock) -> None:
    fail(tries, FREE_BY_NAME)
    waits = []
    for _ in range(8):
        with pytest.raises(TooManyTriesError) as refused:
            tries.begin("Ann", "10.0.0.1")
        waits.append(refused.value.wait)
        clock.now += refused.value.wait
        fail(tries, 1)
    assert waits == [30, 60, 120, 240, 480, 900, 900, 900]
    assert "15 minutes" in str(TooManyTriesError(900))


def test_a_refused_try_does_not_lengthen_the_wait(tries: Tries, clock: Clock) -> None:
    fail(tries, FREE_BY_NAME)
    for _ in range(10):
        with pytest.raises(TooManyTriesError):
            tries.begin("Ann", "10.0.0.1")
    clock.now += 30
    tries.begin("Ann", "10.0.0.1")


def test_success_begins_the_name_anew_but_forgives_the_address_one_try(tries: Tries) -> None:
    for _ in range(FREE_BY_ADDRESS):
        fail(tries, 1)
        tries.succeeded("Ann", "10.0.0.1")
    for i in range(FREE_BY_ADDRESS):
        tries.begin(f"name {i}", "10.0.0.1")
        if i == 3:
            tries.begin("Ann", "10.0.0.1")
            tries.succeeded("Ann", "10.0.0.1")
    with pytest.raises(TooManyTriesError):
        tries.begin("Ann", "10.0.0.1")


def test_failures_are_forgotten_after_an_hour(tries: Tries, clock: Clock) -> None:
    fail(tries, FREE_BY_NAME)
    clock.now += 3600
    fail(tries, FREE_BY_NAME)


def test_many_names_from_many_addresses_do_not_fill_the_memory(tries: Tries) -> None:
    for i in range(12_000):
        tries.begin(f"name {i}", f"address {i}")
    assert len(tries._counts) <= 10_001
