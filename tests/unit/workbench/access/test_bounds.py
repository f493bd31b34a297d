"""Bounds of what is taken at the door, on both sides: lengths, passwords, names, addresses, paths."""

from __future__ import annotations

import asyncio
from pathlib import Path
from typing import Any

import pytest

from backstay.workbench.access.body import CountedBody, length_fault
from backstay.workbench.access.exposure import Exposure
from backstay.workbench.access.passwords import LONGEST, SHORTEST, fault_of
from backstay.workbench.access.paths import UnsafePathError, safe_path
from backstay.workbench.access.people import Person, Role
from backstay.workbench.access.sessions import Sessions
from backstay.workbench.access.socket_watch import SocketWatch
from backstay.workbench.access.tries import FREE_BY_ADDRESS, TooManyTriesError, Tries
from tests.unit.workbench.access.asking import Clock


@pytest.mark.parametrize(
    ("stated", "status"),
    [
        ([], None), (["10"], None), (["11"], 413), (["0010"], None), (["0"], None), ([""], 400),
        (["-1"], 400), (["1.0"], 400), (["٣"], 400), (["²"], 400), (["9" * 5000], 413),
        (["0" * 5000 + "7"], None), (["7", "7"], None), (["7", "8"], 400),
    ],
)  # fmt: skip
def test_a_length_is_stated_in_plain_digits_and_within_the_limit(
    stated: list[str], status: int | None
) -> None:
    fault = length_fault(stated, 10)
    assert (fault[0] if fault else None) == status


@pytest.mark.parametrize(("sizes", "asked"), [((6, 4), 2), ((6, 5), 2), ((11,), 1)])
def test_a_body_that_is_too_large_is_not_read_on(sizes: tuple[int, ...], asked: int) -> None:
    left = [{"type": "http.request", "body": b"x" * n} for n in (*sizes, 1, 1)]
    read: list[Any] = []

    async def receive() -> Any:
        read.append(left[0])
        return left.pop(0)

    async def work() -> list[str]:
        body = CountedBody(receive, 10)
        kinds = [(await body())["type"] for _ in sizes]
        over = sum(sizes) > 10
        assert body.exceeded is over
        assert (kinds[-1] == "http.disconnect") is over
        if over:
            assert (await body())["type"] == "http.disconnect"
            assert len(read) == asked, "the rest is left unread"
        return kinds

    asyncio.run(work())


def test_a_socket_that_was_closed_says_and_hears_nothing_more() -> None:
    made = Sessions(lambda _: "stamp", clock=Clock())
    session = made.begin(Person("Ann", Role.READS), "stamp").session
    sent: list[Any] = []

    async def receive() -> Any:
        return {"type": "websocket.receive", "text": "late"}

    async def send(message: Any) -> None:
        sent.append(message["type"])

    async def work() -> None:
        watch = SocketWatch(made, session, receive, send, every=True)
        await watch.send({"type": "websocket.send", "text": "a"})
        await watch.send({"type": "websocket.close", "code": 1000})
        await watch.send({"type": "websocket.send", "text": "b"})
        assert (await watch.receive())["type"] == "websocket.disconnect"

    asyncio.run(work())
    assert sent == ["websocket.send", "websocket.close"]


def test_an_address_of_the_older_kind_is_the_same_however_it_is_written() -> None:
    tries = Tries(clock=Clock())
    for k in range(FREE_BY_ADDRESS):
        tries.begin(f"name {k}", "::ffff:10.0.0.1")
    with pytest.raises(TooManyTriesError):
        tries.begin("another", "10.0.0.1")
    tries.begin("another", "::ffff:10.0.0.2")
    tries.begin("one more", "10.0.0.2")


@pytest.mark.parametrize(
    ("password", "fine"),
    [
        ("abcde" * 3, True), ("abcd" * 4, False), ("AbCd" * 2 + "aBcD" * 2, False),
        ("abcdefghijkl"[:SHORTEST], True), ("abcdefghijkl"[: SHORTEST - 1], False),
        ("abcde" * (LONGEST // 5), True), ("abcde" * (LONGEST // 5) + "x", False),
        ("annannannannann", False),
    ],
)  # fmt: skip
def test_a_password_on_both_sides_of_each_bound(password: str, fine: bool) -> None:
    assert (fault_of(password, "Ann") == "") is fine


@pytest.mark.parametrize(
    ("relative", "fine"),
    [
        ("a" * 195 + ".yaml", True), ("a" * 196 + ".yaml", False), ("é" * 97 + ".yaml", True),
        ("é" * 98 + ".yaml", False), ("job/wall.yaml", True), ("job./wall.yaml", False),
        ("job /wall.yaml", False), ("~job/wall.yaml", False), ("job/con.yaml", False),
    ],
)  # fmt: skip
def test_a_part_of_a_path_on_both_sides_of_each_bound(
    tmp_path: Path, relative: str, fine: bool
) -> None:
    if fine:
        assert safe_path(tmp_path, relative).is_relative_to(tmp_path.resolve())
        return
    with pytest.raises(UnsafePathError):
        safe_path(tmp_path, relative)


def test_what_is_served_to_others_is_named_and_bounded(tmp_path: Path) -> None:
    plain = Exposure(names=("Wall.Example.",), address="192.168.1.7")
    assert plain.hosts == {"wall.example", "192.168.1.7"}
    assert plain.cookie == "backstay-8080"
    assert Exposure(public="https://wall.example").cookie == "__Host-backstay-8080"
    assert Exposure(certificate=tmp_path / "c.pem").cookie == "__Host-backstay-8080"
    options = plain.uvicorn_options()
    assert options["ws_max_size"] == 2 * 2**20
    assert options["proxy_headers"] is False
    assert options["forwarded_allow_ips"] == "127.0.0.1"
