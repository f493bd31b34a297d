from __future__ import annotations

import re
from http.cookies import SimpleCookie
from pathlib import Path

import httpx
import pytest

from backstay.workbench.access import passwords
from backstay.workbench.access.exposure import Exposure
from backstay.workbench.access.pages import local_target
from backstay.workbench.access.people import Person, Role
from tests.unit.workbench.access.asking import HERE, PASSWORD, Bench, pieces

MARKUP = "<script>alert('x')</script>\"&"


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    return Bench(tmp_path, Ann=Role.RECORDS, Rob=Role.READS)


def cookie(response: httpx.Response) -> SimpleCookie:
    return SimpleCookie(response.headers["set-cookie"])


def test_pages_lead_to_the_sign_in_page_and_back(bench: Bench) -> None:
    browser = bench.browser()
    sent = browser.page("/page?at=section&x=1")
    assert sent.status_code == 303
    assert sent.headers["location"] == "/sign-in?next=%2Fpage%3Fat%3Dsection%26x%3D1"
    form = browser.page(sent.headers["location"])
    assert form.status_code == 200
    assert 'name="next" value="/page?at=section&amp;x=1"' in form.text
    back = browser.sign_in("Ann", next="/page?at=section&x=1")
    assert (back.status_code, back.headers["location"]) == (303, "/page?at=section&x=1")
    assert browser.page("/page").status_code == 200


def test_interfaces_get_401_in_json(bench: Bench) -> None:
    answer = bench.browser().get("/me")
    assert answer.status_code == 401
    assert answer.json() == {"detail": "Sign in first.", "sign_in": "/sign-in"}
    changed = bench.browser().ask("POST", "/record", headers={"accept": "text/html"})
    assert changed.status_code == 401


def test_nothing_is_public_but_the_door(bench: Bench) -> None:
    for path in ("/", "/page", "/asset.js", "/_nicegui/x/static/nicegui.js", "/sign-in/", "/x"):
        assert bench.browser().get(path).status_code == 401
    assert bench.browser().socket("/echo", "hello") == [4401]
    assert bench.browser().get("/who-am-i").status_code == 401


def test_the_form_works_without_scripts_and_is_labelled(bench: Bench) -> None:
    page = bench.browser().page("/sign-in")
    assert "<script" not in page.text
    assert not re.search(r"\son\w+=", page.text)
    for field in ("name", "password"):
        assert f'<label for="{field}">' in page.text
        assert f'id="{field}"' in page.text
    assert 'autocomplete="current-password"' in page.text
    assert '<html lang="en">' in page.text
    policy = page.headers["content-security-policy"]
    assert "script-src" not in policy
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy


def test_the_cookie_is_out_of_reach(bench: Bench) -> None:
    morsel = cookie(bench.browser().sign_in("Ann"))["backstay-8080"]
    assert morsel["httponly"]
    assert morsel["samesite"].lower() == "strict"
    assert morsel["path"] == "/"
    assert not morsel["domain"]
    assert not morsel["secure"]
    assert int(morsel["max-age"]) == 14 * 3600


def test_over_https_the_cookie_is_secure_and_bound_to_the_host(tmp_path: Path) -> None:
    exposure = Exposure(public="https://wall.example")
    bench = Bench(tmp_path, exposure=exposure, Ann=Role.READS)
    browser = bench.browser("https://wall.example")
    morsel = cookie(browser.sign_in("Ann"))["__Host-backstay-8080"]
    assert morsel["secure"]
    assert not morsel["domain"]
    assert browser.get("/me").json()["name"] == "Ann"


def test_wrong_names_and_wrong_passwords_are_told_alike(bench: Bench) -> None:
    answers = [
        bench.browser().sign_in("Ann", "wrong words here"),
        bench.browser().sign_in("Eve", "wrong words here"),
        bench.browser().sign_in("Eve", ""),
    ]
    assert {answer.status_code for answer in answers} == {403}
    texts = [a.text.replace('value="Eve"', 'value="Ann"') for a in answers]
    assert len(set(texts)) == 1
    assert "The name or the password is not right." in texts[0]
    assert not any("set-cookie" in answer.headers for answer in answers)


@pytest.mark.parametrize("name", ["Ann", "Eve", MARKUP, ""])
def test_every_try_is_paid_for(bench: Bench, monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    calls = []
    real = passwords.hashlib.scrypt
    monkeypatch.setattr(
        passwords.hashlib, "scrypt", lambda *a, **k: calls.append(1) or real(*a, **k)
    )
    bench.browser().sign_in(name, "wrong words here")
    assert calls == [1]


@pytest.mark.parametrize("field", ["name", "next"])
def test_markup_is_shown_as_text(bench: Bench, field: str) -> None:
    browser = bench.browser()
    page = browser.ask("POST", "/sign-in", data={"password": "x", field: MARKUP})
    assert page.status_code == 403
    assert "<script" not in page.text
    assert ("&lt;script&gt;" in page.text) == (field == "name")
    asked = browser.page(f"/sign-in?{httpx.QueryParams({'next': '/' + MARKUP})}")
    assert "<script" not in asked.text


def test_a_person_may_be_called_anything(tmp_path: Path) -> None:
    bench = Bench(tmp_path)
    bench.people.add(MARKUP, Role.READS, PASSWORD)
    bench = Bench(tmp_path)
    browser = bench.signed_in(MARKUP)
    assert browser.get("/me").json()["name"] == MARKUP
    page = browser.page("/who-am-i").text
    assert "<script" not in page
    assert "&lt;script&gt;" in page
    refused = browser.post("/record", headers={"accept": "text/html"})
    assert refused.status_code == 403
    assert "<script" not in refused.text


@pytest.mark.parametrize(
    "target",
    ["//evil.example", "https://evil.example", "/\\evil.example", "\\\\evil.example",
     "javascript:alert(1)", "/\t/evil.example", "/\n/evil.example", " //evil.example", "",
     "evil.example", "///evil.example", "http:evil", "/ /evil", "//[", "/sign-in", "/sign-out?x"],
)  # fmt: skip
def test_signing_in_leads_nowhere_else(bench: Bench, target: str) -> None:
    assert local_target(target) == "/"
    answer = bench.browser().sign_in("Ann", next=target)
    assert (answer.status_code, answer.headers["location"]) == (303, "/")


def test_a_key_that_was_there_before_is_worth_nothing_after(bench: Bench) -> None:
    """Session fixation: a key that a thief made up or owns does not become the victim's."""
    thief = bench.signed_in("Rob")
    for planted in ("k" * 43, thief.client.cookies["backstay-8080"]):
        victim = bench.browser()
        victim.client.cookies.set("backstay-8080", planted, domain="127.0.0.1", path="/")
        answer = victim.sign_in("Ann")
        assert cookie(answer)["backstay-8080"].value != planted
        other = bench.browser()
        other.client.cookies.set("backstay-8080", planted, domain="127.0.0.1", path="/")
        assert other.get("/me").status_code == 401


def test_a_second_sign_in_ends_the_first(bench: Bench) -> None:
    browser = bench.signed_in("Rob")
    before = browser.client.cookies["backstay-8080"]
    browser.sign_in("Ann")
    assert browser.get("/me").json()["name"] == "Ann"
    assert bench.sessions.find(before) is None
    assert len(bench.sessions) == 1


def test_a_cookie_of_our_name_from_elsewhere_does_not_shut_one_out(bench: Bench) -> None:
    browser = bench.signed_in("Ann")
    key = browser.client.cookies["backstay-8080"]
    both = bench.browser().get(
        "/me", headers={"cookie": f"backstay-8080=junk; backstay-8080={key}"}
    )
    assert both.json()["name"] == "Ann"


def test_signing_out_by_the_form(bench: Bench) -> None:
    browser = bench.signed_in("Ann")
    page = browser.page("/who-am-i").text
    token = re.search(r'name="token" value="([^"]+)"', page)
    assert token is not None
    answer = browser.ask("POST", "/sign-out", data={"token": token[1]})
    assert (answer.status_code, answer.headers["location"]) == (303, "/sign-in")
    assert "max-age=0" in answer.headers["set-cookie"].lower()
    assert len(bench.sessions) == 0
    assert browser.get("/me").status_code == 401
    assert "clear-site-data" not in answer.headers  # readings that are not sent yet must stay


def test_who_am_i(bench: Bench) -> None:
    browser = bench.signed_in("Ann")
    said = browser.get("/who-am-i").json()
    assert {k: said[k] for k in ("name", "role", "signs_in")} == {
        "name": "Ann", "role": "records", "signs_in": True,
    }  # fmt: skip
    assert said["token"] == browser.get("/me").json()["token"]
    assert "reads and records tests" in browser.page("/who-am-i").text


def test_asking_who_one_is_keeps_nobody_signed_in(bench: Bench) -> None:
    browser = bench.signed_in("Ann")
    for _ in range(3):
        bench.clock.now += 3600
        assert browser.get("/who-am-i").status_code == 200
    bench.clock.now += 3600
    assert browser.get("/who-am-i").status_code == 401


def test_work_keeps_one_signed_in_for_a_shift(bench: Bench) -> None:
    browser = bench.signed_in("Ann")
    for _ in range(13):
        bench.clock.now += 3600
        assert browser.get("/me").status_code == 200
    bench.clock.now += 3600
    assert browser.get("/me").status_code == 401


def test_changing_an_account_signs_the_person_out(bench: Bench) -> None:
    for change in (
        lambda: bench.people.change_role("Ann", Role.READS),
        lambda: bench.people.change_password("Ann", PASSWORD),
        lambda: bench.people.remove("Ann"),
    ):
        ann, rob = bench.signed_in("Ann"), bench.signed_in("Rob")
        change()
        assert ann.get("/me").status_code == 401
        assert rob.get("/me").status_code == 200


def test_too_many_tries_are_told_plainly(bench: Bench) -> None:
    browser = bench.browser()
    for _ in range(5):
        browser.sign_in("Ann", "wrong words here")
    answer = browser.sign_in("Ann")
    assert answer.status_code == 429
    assert "Too many tries have failed. Wait 30 seconds, then try again." in answer.text
    assert answer.headers["retry-after"] == "30"
    bench.clock.now += 30
    assert browser.sign_in("Ann").status_code == 303


def test_the_address_counts_the_tries_with_many_names(bench: Bench) -> None:
    for i in range(20):
        bench.browser(address="10.0.0.5").sign_in(f"name {i}", "wrong words here")
    assert bench.browser(address="10.0.0.5").sign_in("Ann").status_code == 429
    assert bench.browser(address="10.0.0.6").sign_in("Ann").status_code == 303


def test_what_is_no_form_of_ours_is_refused_before_it_is_paid_for(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(passwords.hashlib, "scrypt", None)
    form = "application/x-www-form-urlencoded"
    browser = bench.browser()
    for content, kind, status in (
        (b'{"name": "Ann"}', "application/json", 400),
        (b"&".join(b"a%d=1" % i for i in range(50)), form, 400),
        (b"name=" + b"x" * 9000, form, 413),
        (pieces(90, 100), form, 413),
    ):
        answer = browser.ask("POST", "/sign-in", content=content, headers={"content-type": kind})
        assert answer.status_code == status
    assert browser.ask("PUT", "/sign-in").status_code == 405
    assert browser.get("/sign-out").status_code == 405


def test_the_form_is_short_whatever_else_may_be_sent(tmp_path: Path) -> None:
    bench = Bench(tmp_path, largest=10**6, Ann=Role.READS)
    answer = bench.browser().sign_in("Ann", "x" * 9000)
    assert answer.status_code == 413
    assert "at most 8 kB" in answer.text


def test_bytes_that_are_no_text_do_no_harm(bench: Bench) -> None:
    answer = bench.browser().ask(
        "POST",
        "/sign-in",
        content=b"name=%ff%fe\xff&password=%00%ed%a0%80",
        headers={"content-type": "application/x-www-form-urlencoded"},
    )
    assert answer.status_code == 403


def test_accounts_that_cannot_be_read_let_nobody_in(bench: Bench) -> None:
    browser = bench.signed_in("Ann")
    bench.people.path.write_text("{")
    for answer in (browser.get("/me"), bench.browser().sign_in("Ann")):
        assert answer.status_code == 503
        assert str(bench.people.path) not in answer.text
    assert browser.socket("/echo", "hello") == [4403]


def test_where_nobody_signs_in_the_door_says_so(tmp_path: Path) -> None:
    bench = Bench(tmp_path)
    browser = bench.browser()
    assert browser.get("/me").json()["role"] == "designs"
    assert browser.get("/who-am-i").json()["signs_in"] is False
    assert "Nobody signs in here" in browser.page("/who-am-i").text
    assert browser.page("/sign-in").status_code == 303
    assert browser.sign_in("x").headers["location"] == "/"


def test_taking_the_last_account_away_opens_nothing(bench: Bench) -> None:
    for person in bench.people.everybody():
        bench.people.remove(person.name)
    assert bench.people.everybody() == ()
    assert bench.browser().get("/me").status_code == 401


def test_an_account_made_while_it_runs_can_be_used(bench: Bench) -> None:
    bench.people.add("Zoe", Role.DESIGNS, PASSWORD)
    assert bench.signed_in("Zoe", HERE).get("/me").json()["name"] == "Zoe"
    assert Person("Zoe", Role.DESIGNS) in bench.people.everybody()


def test_the_script_that_watches_the_session_is_for_everybody(bench: Bench) -> None:
    answer = bench.browser().get("/who-am-i.js")
    assert answer.status_code == 200
    assert answer.headers["content-type"].startswith("text/javascript")
    assert '"/who-am-i"' in answer.text
    assert bench.browser().get("/who-am-i.js/../me").status_code == 401


def test_a_right_password_forgives_the_wrong_ones_before_it(bench: Bench) -> None:
    browser = bench.browser()
    for _ in range(3):
        for _ in range(4):
            assert browser.sign_in("Ann", "wrong words here").status_code == 403
        assert browser.sign_in("Ann").status_code == 303
