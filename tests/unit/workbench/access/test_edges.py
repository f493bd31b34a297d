"""What the guard does at its edges: cookies by the handful, senders that leave, sessions that are over."""

from __future__ import annotations

import asyncio
from pathlib import Path
from typing import Any

import pytest

from backstay.workbench.access import sessions as sessions_module
from backstay.workbench.access.guard import Guard
from backstay.workbench.access.people import Person, Role
from backstay.workbench.access.sessions import Sessions
from tests.unit.workbench.access.asking import Bench, Clock


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    return Bench(tmp_path, Ann=Role.RECORDS)


def key_of(bench: Bench) -> tuple[str, str]:
    """Return the name and the key of a new session's cookie."""
    (cookie,) = bench.signed_in("Ann").client.cookies.jar
    return cookie.name, str(cookie.value)


def asked_with(bench: Bench, cookie: str) -> int:
    return int(bench.browser().get("/me", headers={"cookie": cookie}).status_code)


def test_a_cookie_may_stand_in_quotes_and_among_a_few_of_its_name(bench: Bench) -> None:
    name, key = key_of(bench)
    assert asked_with(bench, f'{name}="{key}"') == 200
    assert asked_with(bench, f"other=1;  {name}={key} ; more=2") == 200
    others = "; ".join(f"{name}=x{k}" for k in range(4))
    assert asked_with(bench, f"{others}; {name}={key}") == 200


def test_no_more_than_five_cookies_of_a_name_are_tried(bench: Bench) -> None:
    name, key = key_of(bench)
    others = "; ".join(f"{name}=x{k}" for k in range(5))
    assert asked_with(bench, f"{others}; {name}={key}") == 401


@pytest.mark.parametrize("method", ["GET", "HEAD"])
def test_whoever_asks_for_a_page_is_led_to_the_door(bench: Bench, method: str) -> None:
    answer = bench.browser().ask(method, "/page?a=1&b=2", headers={"accept": "text/html"})
    assert answer.status_code == 303
    assert "a%3D1" in answer.headers["location"]
    assert bench.browser().ask(method, "/page").status_code == 401


def told(guard: Guard, path: str, *messages: dict[str, Any], **headers: str) -> list[Any]:
    """Hand the guard a request piece by piece; return everything that it sends."""
    given = {"host": "127.0.0.1:8080", "origin": "http://127.0.0.1:8080", **headers}
    scope = {
        "type": "http", "method": "POST", "path": path, "raw_path": path.encode(), "scheme": "http",
        "query_string": b"", "client": ("127.0.0.1", 50000), "server": ("127.0.0.1", 8080),
        "headers": [(k.replace("_", "-").encode(), v.encode()) for k, v in given.items()],
    }  # fmt: skip
    left, sent = list(messages), []

    async def receive() -> dict[str, Any]:
        return left.pop(0) if left else {"type": "http.disconnect"}

    async def send(message: Any) -> None:
        sent.append(message)

    asyncio.run(guard(scope, receive, send))
    return sent


FORM = {"content_type": "application/x-www-form-urlencoded"}
PIECE = {"type": "http.request", "body": b"name=Ann", "more_body": True}


def test_a_sender_that_leaves_at_the_door_gets_no_answer(bench: Bench) -> None:
    assert told(bench.guard, "/sign-in", PIECE, **FORM) == []


def test_a_sender_that_sends_too_much_at_the_door_is_told_so(bench: Bench) -> None:
    much = {**PIECE, "body": b"x" * 9000}
    sent = told(bench.guard, "/sign-in", much, **FORM)
    assert [m["status"] for m in sent if m["type"] == "http.response.start"] == [413]


def test_what_an_application_says_after_a_body_was_too_large_is_not_sent(tmp_path: Path) -> None:
    async def talks_on(_: Any, receive: Any, send: Any) -> None:
        while (await receive())["type"] != "http.disconnect":
            pass
        for _ in range(2):
            await send({"type": "http.response.start", "status": 200, "headers": []})
            await send({"type": "http.response.body", "body": b"all is well"})

    bench = Bench(tmp_path)
    guard = Guard(talks_on, exposure=bench.exposure, people=bench.people, largest=100)
    much = {"type": "http.request", "body": b"x" * 101, "more_body": False}
    sent = told(guard, "/record", much, x_backstay_token=guard._open_token)
    assert [m["status"] for m in sent if m["type"] == "http.response.start"] == [413]
    assert b"all is well" not in b"".join(m.get("body", b"") for m in sent)


def test_sessions_that_are_over_leave_nothing_behind(monkeypatch: pytest.MonkeyPatch) -> None:
    """One that is touched after its end is not among those that make room for others."""
    monkeypatch.setattr(sessions_module, "_MOST", 2)
    clock = Clock()
    made = Sessions(lambda _: "stamp", clock=clock)
    ann = Person("Ann", Role.READS)
    first, second = made.begin(ann, "stamp"), made.begin(ann, "stamp")
    made.end(first.session)
    made.touch(first.session)
    assert made.find(first.key) is None
    clock.now += 1.0
    made.touch(second.session)
    clock.now += 1.0
    third = made.begin(ann, "stamp")
    clock.now += 1.0
    fourth = made.begin(ann, "stamp")
    assert made.find(second.key) is None, "the one that was idle longest made room"
    assert made.find(third.key) is not None
    assert made.find(fourth.key) is not None
    assert len(made) == 2


@pytest.mark.parametrize("target", ["https://evil.example/", "//evil.example", "/\\evil.example"])
def test_the_door_leads_nowhere_else(bench: Bench, target: str) -> None:
    """Neither whoever is signed in already, nor whoever is about to be."""
    asked = {"next": target}
    inside = bench.signed_in("Ann").ask("GET", "/sign-in", params=asked)
    assert (inside.status_code, inside.headers["location"]) == (303, "/")
    assert "evil" not in bench.browser().ask("GET", "/sign-in", params=asked).text
    signed = bench.browser().sign_in("Ann", next=target)
    assert (signed.status_code, signed.headers["location"]) == (303, "/")


def test_a_name_that_is_far_too_long_is_not_shown_back_whole(bench: Bench) -> None:
    answer = bench.browser().sign_in("N" * 300, "wrong")
    assert answer.status_code == 403
    assert "N" * 100 in answer.text
    assert "N" * 101 not in answer.text
