from __future__ import annotations

import asyncio
from pathlib import Path
from typing import Any

import httpx
import pytest

from backstay.workbench.access.exposure import Exposure
from backstay.workbench.access.guard import Guard, needs
from backstay.workbench.access.page_clients import forget_pages_with
from backstay.workbench.access.people import Role
from backstay.workbench.access.socket_watch import SocketWatch
from tests.unit.workbench.access.asking import HERE, PASSWORD, Bench, Browser, application, pieces


@pytest.fixture
def alone(tmp_path: Path) -> Bench:
    """This machine alone, nobody signs in."""
    return Bench(tmp_path)


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    return Bench(tmp_path, Ann=Role.RECORDS, Rob=Role.READS, Dee=Role.DESIGNS)


@pytest.mark.parametrize(
    ("name", "seen"), [("Rob", [403, 403]), ("Ann", [200, 403]), ("Dee", [200, 200])]
)
def test_each_role_gets_as_far_as_it_reaches(bench: Bench, name: str, seen: list[int]) -> None:
    browser = bench.signed_in(name)
    assert [browser.post("/record").status_code, browser.get("/for-designers").status_code] == seen


def test_a_role_too_low_is_told_plainly(bench: Bench) -> None:
    said = bench.signed_in("Rob").get("/for-designers").json()["detail"]
    assert said == "This needs the role “designs”. Rob reads."


def test_alone_everything_may_be_done_but_not_by_other_sites(alone: Bench) -> None:
    browser = alone.browser()
    assert browser.post("/record").json() == {"by": ""}
    assert browser.ask("POST", "/record").status_code == 403  # no token
    assert browser.post("/record", headers={"origin": "http://evil.example"}).status_code == 403
    assert browser.get("/me", headers={"host": "evil.example"}).status_code == 400
    assert browser.socket("/echo", "hello") == ["accept", ": hello"]
    assert browser.socket("/echo", "x", headers={"origin": "http://localhost:3000"}) == [4403]


@pytest.mark.parametrize("header", ["forwarded", "via", "x-forwarded-for", "x-forwarded-proto"])
def test_alone_and_yet_behind_a_proxy_is_refused(alone: Bench, header: str) -> None:
    answer = alone.browser().get("/me", headers={header: "1.1 there"})
    assert answer.status_code == 403
    assert "make accounts" in answer.json()["detail"]
    assert alone.browser().socket("/echo", "x", headers={header: "1.1 there"}) == [4403]


@pytest.mark.parametrize(
    "host",
    ["localhost", "localhost:9000", "LOCALHOST:8080", "localhost.:8080", "127.0.0.1",
     "127.0.0.1:8080", "127.8.9.1", "[::1]:8080"],
)  # fmt: skip
def test_names_of_this_machine_are_ours(alone: Bench, host: str) -> None:
    assert alone.browser().get("/me", headers={"host": host}).status_code == 200


@pytest.mark.parametrize(
    "host",
    ["", " ", "evil.example", "127.0.0.1.evil.example", "localhost.evil.example", "127.1",
     "2130706433", "0x7f.1", "0.0.0.0", "[::]", "localhost:80:80", "localhost:x", "a@localhost",  # noqa: S104
     "localhost/x", "localhost#", "[::ffff:127.0.0.1]", "[::1", "localhost..", "локалхост"],
)  # fmt: skip
def test_other_names_are_not(alone: Bench, host: str) -> None:
    answer = alone.browser().get("/me", headers={"host": host.encode()})
    assert answer.status_code == 400
    assert answer.headers["content-security-policy"]


def test_two_hosts_are_none(alone: Bench) -> None:
    got = raw(alone.guard, [("host", "localhost"), ("host", "evil.example")])
    assert got["status"] == 400
    assert raw(alone.guard, [])["status"] == 400


def test_the_number_that_the_browser_connected_to_is_ours(tmp_path: Path) -> None:
    bench = Bench(tmp_path, exposure=Exposure(address="0.0.0.0"), Ann=Role.READS)  # noqa: S104
    here = [("host", "192.168.1.20:8080")]
    assert raw(bench.guard, here, server=("192.168.1.20", 8080))["status"] == 401
    assert raw(bench.guard, here, server=("192.168.1.21", 8080))["status"] == 400
    assert raw(bench.guard, here, server=("::ffff:192.168.1.20", 8080))["status"] == 401


@pytest.mark.parametrize("public", ["https://wall.example", "https://wall.example:443"])
def test_a_proxy_may_speak_https_for_us(tmp_path: Path, public: str) -> None:
    bench = Bench(tmp_path, exposure=Exposure(public=public), Ann=Role.RECORDS)
    browser = bench.browser("http://wall.example")
    browser.base = "https://wall.example"
    assert browser.sign_in("Ann").status_code == 303


def test_a_link_from_elsewhere_may_lead_to_a_page(alone: Bench) -> None:
    link = {
        "sec-fetch-site": "cross-site",
        "sec-fetch-mode": "navigate",
        "sec-fetch-dest": "document",
    }
    assert alone.browser().get("/page", headers=link).status_code == 200
    assert alone.browser().post("/record", headers=link).status_code == 403
    assert alone.browser().post("/record").status_code == 200


def test_an_address_typed_by_a_person_is_answered(alone: Bench) -> None:
    assert alone.browser().get("/page", headers={"sec-fetch-site": "none"}).status_code == 200
    assert alone.browser().get("/page", headers={"sec-fetch-site": "odd"}).status_code == 403


def test_a_change_needs_the_token_of_this_session(bench: Bench) -> None:
    ann, dee = bench.signed_in("Ann"), bench.signed_in("Dee")
    assert ann.post("/record").status_code == 200
    swapped = ann.ask("POST", "/record", headers={"x-backstay-token": dee.token()})
    assert swapped.status_code == 403
    assert "load it again" in swapped.json()["detail"]
    for method in ("PUT", "DELETE", "PATCH", "TRACE", "get", "PROPFIND"):
        assert ann.ask(method, "/record").status_code in (403, 405)
        assert ann.ask(method, "/me").status_code != 200 or method == "get"


def test_the_token_is_not_needed_by_the_socket_and_its_stand_in(bench: Bench) -> None:
    rob = bench.signed_in("Rob")
    assert rob.ask("POST", "/_nicegui_ws/socket.io/", content=b"40").json() == {"size": 2}
    assert rob.socket("/_nicegui_ws/socket.io/", "40") == ["accept", "Rob: 40"]
    assert bench.browser().ask("POST", "/_nicegui_ws/socket.io/").status_code == 401


def test_a_body_up_to_the_limit_arrives(bench: Bench) -> None:
    ann = bench.signed_in("Ann")
    assert ann.post("/upload", content=b"x" * 1000).json() == {"size": 1000}
    assert ann.post("/upload", content=pieces(10, 100)).json() == {"size": 1000}
    refused = ann.post("/upload", content=b"x" * 1001)
    assert refused.json() == {"detail": "This is too large: at most 0.977 kB can be sent at once."}


def test_of_a_body_that_says_it_is_too_large_nothing_is_read(bench: Bench) -> None:
    ann = bench.signed_in("Ann")

    async def receive() -> dict[str, Any]:
        raise AssertionError("read")

    for length, status in (("1001", 413), ("9" * 30, 413), ("1e3", 400), ("٣", 400), ("-1", 400)):
        headers = [*changing(ann), ("content-length", length)]
        got = raw(bench.guard, headers, method="POST", path="/upload", receive=receive)
        assert got["status"] == status
    headers = [*changing(ann), ("content-length", "5"), ("content-length", "6")]
    assert raw(bench.guard, headers, method="POST", path="/upload")["status"] == 400


def test_no_more_is_read_than_the_limit(bench: Bench) -> None:
    read = 0

    async def endless() -> Any:
        nonlocal read
        while True:
            read += 100
            yield b"x" * 100
            assert read < 5000

    # The transport takes the whole body before it hands on; ask the guard itself, piece by piece.
    body = endless()

    async def receive() -> dict[str, Any]:
        return {"type": "http.request", "body": await anext(body), "more_body": True}

    headers = changing(bench.signed_in("Ann"))
    got = raw(bench.guard, headers, method="POST", path="/upload", receive=receive)
    assert got["status"] == 413
    assert read == 1100


def test_every_answer_is_guarded(bench: Bench) -> None:
    ann = bench.signed_in("Ann")
    answers = [
        ann.page("/page"), ann.get("/me"), ann.get("/nothing"), ann.page("/sign-in"),
        ann.get("/me", headers={"host": "evil.example"}), bench.browser().get("/me"),
        ann.ask("POST", "/record"), ann.page("/who-am-i"),
    ]  # fmt: skip
    for answer in answers:
        policy = answer.headers["content-security-policy"]
        for part in ("default-src 'none'", "frame-ancestors 'none'", "base-uri 'none'",
                     "form-action 'self'"):  # fmt: skip
            assert part in policy
        assert "unsafe-eval" not in policy
        assert "evil" not in policy
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["referrer-policy"] == "same-origin"
        assert answer.headers["x-frame-options"] == "DENY"
        assert answer.headers["cache-control"] == "no-store"


def test_only_pages_of_nicegui_may_have_inline_scripts(alone: Bench) -> None:
    plain = alone.browser().get("/page").headers["content-security-policy"]
    theirs = alone.browser().get("/page?nicegui=1").headers["content-security-policy"]
    assert "script-src 'self';" in plain
    assert "script-src 'self' 'unsafe-inline' 'unsafe-eval';" in theirs
    for policy in (plain, theirs):
        assert "connect-src 'self' ws://127.0.0.1:8080 wss://127.0.0.1:8080;" in policy
        assert "*" not in policy
        assert "https:" not in policy


def test_files_may_be_kept_but_pages_not(alone: Bench) -> None:
    assert alone.browser().get("/asset.js").headers["cache-control"] == "public, max-age=3600"
    assert alone.browser().get("/page").headers["cache-control"] == "no-store"


def test_a_prefix_that_anybody_could_set_is_dropped(alone: Bench) -> None:
    sent = {"x-forwarded-prefix": "https://evil.example"}
    assert alone.browser().get("/prefix", headers=sent).json() == {"prefix": ""}


def test_a_socket_closes_when_its_session_ends(bench: Bench) -> None:
    ann = bench.signed_in("Ann")

    def change() -> None:
        bench.people.change_role("Ann", Role.READS)

    came = ann.socket("/echo", "one", change, "two", "three")
    assert came == ["accept", "Ann: one", 4401]
    assert bench.heard == ["one"]


def test_a_socket_closes_when_the_accounts_are_damaged(bench: Bench) -> None:
    ann = bench.signed_in("Ann")
    came = ann.socket("/echo", "one", lambda: bench.people.path.write_text("{"), "two")
    assert came == ["accept", "Ann: one", 4401]


def move(bench: Bench, seconds: float) -> Any:
    def moved() -> None:
        bench.clock.now += seconds

    return moved


def test_heartbeats_keep_nobody_signed_in(bench: Bench) -> None:
    ann = bench.signed_in("Ann")
    said = [part for _ in range(5) for part in (move(bench, 3600), "3")]
    came = ann.socket("/_nicegui_ws/socket.io/", *said, '42["ack",{}]')
    assert came == ["accept", "Ann: 3", "Ann: 3", "Ann: 3", 4401]


@pytest.mark.parametrize(
    ("path", "said"),
    [("/_nicegui_ws/socket.io/", '42["event",{"client_id":"x"}]'), ("/echo", "anything")],
)
def test_what_a_person_does_keeps_the_person_signed_in(bench: Bench, path: str, said: str) -> None:
    ann = bench.signed_in("Ann")
    came = ann.socket(path, *[part for _ in range(6) for part in (move(bench, 3600), said)])
    assert came == ["accept", *[f"Ann: {said}"] * 6]


def test_the_stand_in_for_a_socket_tells_actions_from_heartbeats(bench: Bench) -> None:
    for said, status in ((b"3", 401), (b'42["event",{}]', 200)):
        ann = bench.signed_in("Ann")
        for _ in range(5):
            bench.clock.now += 3000
            answer = ann.ask("POST", "/_nicegui_ws/socket.io/", content=said)
        assert answer.status_code == status


def test_the_life_of_the_application_is_passed_on(alone: Bench) -> None:
    seen = []

    async def app(scope: Any, receive: Any, send: Any) -> None:
        seen.append(scope["type"])

    guard = Guard(app, exposure=Exposure(), people=alone.people)
    asyncio.run(guard({"type": "lifespan"}, None, None))  # type: ignore[arg-type]
    asyncio.run(guard({"type": "other"}, None, None))  # type: ignore[arg-type]
    assert seen == ["lifespan"]


def test_an_error_of_the_application_is_not_hidden(bench: Bench) -> None:
    async def app(scope: Any, receive: Any, send: Any) -> None:
        raise ZeroDivisionError

    guard = Guard(app, exposure=Exposure(), people=bench.people, sessions=bench.sessions)
    ann = bench.signed_in("Ann")
    ann.client = httpx.AsyncClient(
        transport=httpx.ASGITransport(guard), base_url=HERE, cookies=ann.client.cookies
    )
    with pytest.raises(ZeroDivisionError):
        ann.get("/me")


def test_without_a_guard_nothing_is_answered() -> None:
    transport = httpx.ASGITransport(application())
    client = httpx.AsyncClient(transport=transport, base_url=HERE)
    for path in ("/me", "/for-designers"):
        with pytest.raises(RuntimeError, match="no guard"):
            asyncio.run(client.get(path))
    with pytest.raises(RuntimeError, match="no guard"):
        needs(Role.READS)(httpx_connection())


def httpx_connection() -> Any:
    from starlette.requests import HTTPConnection

    return HTTPConnection({"type": "http", "headers": []})


def test_pages_of_a_session_are_forgotten_when_it_ends(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    from nicegui import Client

    class Page:
        def __init__(self, session: object) -> None:
            self.deleted = False
            self.session = session

        @property
        def request(self) -> Any:
            if self.session is None:
                raise RuntimeError("Request is not set")
            scope = {"type": "http", "state": {"session": self.session}}
            return type("Request", (), {"scope": scope})

        def delete(self) -> None:
            self.deleted = True

    ann = bench.people.verify("Ann", PASSWORD)
    assert ann is not None
    first, second = (bench.sessions.begin(ann.person, ann.stamp).session for _ in range(2))
    pages = {"a": Page(first), "b": Page(second), "c": Page(None)}
    monkeypatch.setattr(Client, "instances", pages)
    forget_pages_with(bench.sessions)
    bench.sessions.end(first)
    assert [page.deleted for page in pages.values()] == [True, False, False]


def changing(browser: Browser) -> list[tuple[str, str]]:
    """Headers with which a browser that is signed in may change something."""
    return [
        ("host", "127.0.0.1:8080"),
        ("origin", HERE),
        ("x-backstay-token", browser.token()),
        ("cookie", f"backstay-8080={browser.client.cookies['backstay-8080']}"),
    ]


def raw(guard: Guard, headers: list[tuple[str, str]], **given: Any) -> dict[str, Any]:
    """Ask with exactly these headers, as no well-behaved client would."""
    got: dict[str, Any] = {}

    async def receive() -> dict[str, Any]:
        return {"type": "http.request", "body": b"", "more_body": False}

    async def send(message: Any) -> None:
        got.update({"status": message["status"]} if "status" in message else {})

    scope = {
        "type": "http",
        "method": given.get("method", "GET"),
        "path": given.get("path", "/me"),
        "query_string": b"",
        "scheme": "http",
        "headers": [(k.encode(), v.encode()) for k, v in headers],
        "client": ("127.0.0.1", 1),
        "server": given.get("server", ("127.0.0.1", 8080)),
    }
    asyncio.run(guard(scope, given.get("receive", receive), send))
    return got


def test_nothing_is_sent_on_a_socket_after_its_session_has_ended(bench: Bench) -> None:
    """What a page is sent without asking, by a timer say, must stop as well."""
    ann = bench.people.verify("Ann", PASSWORD)
    assert ann is not None
    session = bench.sessions.begin(ann.person, ann.stamp).session
    sent: list[Any] = []

    async def send(message: Any) -> None:
        sent.append(message)

    async def receive() -> Any:
        raise AssertionError("received")

    async def run() -> None:
        watch = SocketWatch(bench.sessions, session, receive, send, every=True)
        await watch.send({"type": "websocket.send", "text": "before"})
        bench.sessions.end(session)
        await watch.send({"type": "websocket.send", "text": "after"})
        await watch.send({"type": "websocket.send", "text": "and again"})
        assert (await watch.receive())["type"] == "websocket.disconnect"

    asyncio.run(run())
    assert [message.get("text", message.get("code")) for message in sent] == ["before", 4401]
