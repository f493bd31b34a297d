"""Which page a request comes from, and for whom it is: every answer of the two questions by itself."""

from __future__ import annotations

import pytest
from starlette.datastructures import Headers

from backstay.workbench.access.exposure import Exposure
from backstay.workbench.access.origin import came_through_proxy, host_fault, origin_fault

ALONE = Exposure()
HOST = "127.0.0.1:8080"
OURS = f"http://{HOST}"


def asked(
    method: str = "GET", scheme: str = "http", *, exposure: Exposure = ALONE, websocket: bool = False,
    host: str = HOST, **headers: str,
) -> bool:  # fmt: skip
    """Say whether a request with these headers (by their names with _) is taken for one of ours."""
    given = {name.replace("_", "-"): value for name, value in headers.items()}
    made = Headers({"host": host, **given})
    return not origin_fault(
        made, method=method, scheme=scheme, exposure=exposure, websocket=websocket
    )


@pytest.mark.parametrize("site", ["cross-site", "same-site"])
@pytest.mark.parametrize("method", ["GET", "HEAD"])
def test_another_site_may_follow_a_link_to_a_page_and_nothing_else(site: str, method: str) -> None:
    link = {"sec_fetch_site": site, "sec_fetch_mode": "navigate", "sec_fetch_dest": "document"}
    assert asked(method, **link)
    older = {name: value for name, value in link.items() if name != "sec_fetch_dest"}
    assert asked(method, **older), "older browsers do not say what it is for"
    for change in (
        {"sec_fetch_mode": "no-cors"}, {"sec_fetch_mode": "cors"}, {"sec_fetch_dest": "iframe"},
        {"sec_fetch_dest": "script"}, {"sec_fetch_dest": "image"},
    ):  # fmt: skip
        assert not asked(method, **{**link, **change}), change
    assert not asked(method, sec_fetch_site=site, sec_fetch_mode="no-cors"), "no word of what for"
    assert not asked(method, sec_fetch_site=site)
    for other in ("POST", "PUT", "DELETE", "OPTIONS"):
        assert not asked(other, **link), other
        assert not asked(other, origin=OURS, **link), other


@pytest.mark.parametrize("site", [None, "none", "same-origin"])
def test_what_changes_something_says_where_it_comes_from(site: str | None) -> None:
    said = {} if site is None else {"sec_fetch_site": site}
    for method in ("GET", "HEAD", "OPTIONS"):
        assert asked(method, **said)
    for method in ("POST", "PUT", "DELETE", "PATCH"):
        assert asked(method, **said) is (site == "same-origin")
        assert asked(method, origin=OURS, **said)
        assert not asked(method, origin="http://evil.example", **said)
    assert not asked("GET", origin="http://evil.example", **said)


def test_a_word_that_no_browser_says_is_refused() -> None:
    assert not asked("GET", sec_fetch_site="odd")
    assert not asked("POST", sec_fetch_site="odd", origin=OURS)


@pytest.mark.parametrize(
    ("origin", "ours"),
    [
        (OURS, True), ("HTTP://127.0.0.1:8080", True), ("http://127.0.0.1.:8080", True),
        ("http://127.0.0.1:8081", False), ("http://127.0.0.1", False), ("https://127.0.0.1:8080", False),
        ("http://localhost:8080", False), ("null", False), ("", False), ("http://127.0.0.1:8080/", False),
        ("http://127.0.0.1:8080/page", False), ("http://127.0.0.1:8080.evil.example", False),
        ("http://127.0.0.1:99999", False),
    ],
)  # fmt: skip
def test_an_origin_is_ours_whole_or_not(origin: str, ours: bool) -> None:
    assert asked("POST", origin=origin) is ours
    assert asked(origin=origin, websocket=True) is ours


def test_every_origin_that_is_named_must_be_ours() -> None:
    made = Headers(raw=[(b"host", HOST.encode()), *((b"origin", o.encode()) for o in (OURS, "http://evil.example"))])  # fmt: skip
    assert origin_fault(made, method="POST", scheme="http", exposure=ALONE)
    made = Headers(raw=[(b"host", HOST.encode()), *((b"origin", OURS.encode()),) * 2])
    assert not origin_fault(made, method="POST", scheme="http", exposure=ALONE)


def test_a_web_socket_names_its_page() -> None:
    assert not asked(scheme="ws", websocket=True)
    assert not asked(scheme="ws", websocket=True, sec_fetch_site="same-origin")
    assert asked(scheme="ws", websocket=True, origin=OURS)
    assert asked(scheme="ws", websocket=True, origin=OURS, sec_fetch_site="cross-site")
    assert asked(scheme="wss", websocket=True, origin="https://wall.example", host="wall.example")
    assert not asked(
        scheme="ws", websocket=True, origin="https://wall.example", host="wall.example"
    )


def test_usual_ports_need_not_be_named_and_a_proxy_has_its_own_address() -> None:
    for scheme, port in (("http", 80), ("https", 443)):
        for host, origin in (
            (f"wall.example:{port}", f"{scheme}://wall.example"),
            ("wall.example", f"{scheme}://wall.example:{port}"),
        ):
            assert asked("POST", scheme, host=host, origin=origin)
        assert not asked(
            "POST", scheme, host="wall.example", origin=f"{scheme}://wall.example:8443"
        )
    behind = Exposure(public="https://wall.example")
    assert asked("POST", exposure=behind, origin="https://wall.example")
    assert asked("POST", exposure=behind, origin=OURS)
    assert not asked("POST", exposure=behind, origin="http://wall.example")


@pytest.mark.parametrize("name", ["forwarded", "via", "x-forwarded-for", "x-forwarded-host", "x-forwarded-proto"])  # fmt: skip
def test_a_proxy_gives_itself_away_by_each_of_its_words(name: str) -> None:
    assert came_through_proxy(Headers({"host": HOST, name: "x"}))
    assert not came_through_proxy(Headers({"host": HOST, "accept": "x"}))


@pytest.mark.parametrize(
    ("host", "server", "fine"),
    [
        ("127.0.0.1:8080", None, True), ("localhost", None, True), ("LOCALHOST.", None, True),
        ("[::1]:8080", None, True), ("127.0.0.2", None, True), ("evil.example", None, False),
        ("wall.example", None, True), ("wall.example.", None, True), ("wall.example.evil.org", None, False),
        ("192.168.1.7", ("192.168.1.7", 8080), True), ("192.168.1.8", ("192.168.1.7", 8080), False),
        ("192.168.1.7", ("::ffff:192.168.1.7", 8080), True), ("192.168.1.7", None, False),
        ("[fe80::1]", ("fe80::1", 8080), True), ("evil.example", ("192.168.1.7", 8080), False),
        ("", None, False), ("127.0.0.1:8080@evil.example", None, False), ("127.0.0.1:123456", None, False),
        ("127.0.0.1 ", None, False), ("a b", None, False),
    ],
)  # fmt: skip
def test_a_request_is_for_us_by_name_or_by_the_number_it_came_in_at(
    host: str, server: tuple[str, int] | None, fine: bool
) -> None:
    fault = host_fault(Headers({"host": host}), server, Exposure(names=("wall.example",)))
    assert (fault == "") is fine


def test_a_request_names_one_host() -> None:
    for hosts in ((), (HOST, HOST), (HOST, "evil.example")):
        made = Headers(raw=[(b"host", host.encode()) for host in hosts])
        assert host_fault(made, None, ALONE)
