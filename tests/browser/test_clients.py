"""Twenty people at once: each drags an anchor of a project of their own, all change one, and nobody is failed."""

from __future__ import annotations

import asyncio
import re
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import pytest

from tests.browser.bench import Bench
from tests.browser.clients import Client

pytestmark = pytest.mark.journey
PEOPLE = 20
TWO = "two-row-sand.yaml"
HEAD = "row-0-head"


async def drags_and_drops(client: Client, moves: int) -> None:
    """Drag the head of the first row, let it go, and see that it is there."""
    x, y = client.at(HEAD)
    for k in range(moves):
        answer = await client.say("drag", HEAD, (x, y + 1.0 + 0.5 * k))
        assert answer["id"] == HEAD
        assert not answer.get("bad"), answer["bad"]
        assert answer["scene"]["svg"] if "svg" in answer["scene"] else answer["scene"]
    answer = await client.say("drop", HEAD, (x, y + 2.0))
    assert not answer.get("bad"), answer["bad"]
    assert answer["changed"]


def of_their_own(origin: str) -> None:
    async def work() -> None:
        people = [Client(origin, f"crowd-{k}.yaml") for k in range(PEOPLE)]
        await asyncio.gather(*(one.open() for one in people))
        await asyncio.gather(*(drags_and_drops(one, 3) for one in people))
        assert [one.errors for one in people] == [[]] * PEOPLE
        await asyncio.gather(*(one.close() for one in people))

    asyncio.run(work())


def of_one_project(origin: str) -> list[tuple[bool, str]]:
    async def work() -> list[tuple[bool, str]]:
        people = [Client(origin, "crowd.yaml") for _ in range(PEOPLE)]
        await asyncio.gather(*(one.open() for one in people))
        x, y = people[0].at(HEAD)
        answers = await asyncio.gather(
            *(one.say("drop", HEAD, (x, y + 1.0 + 0.4 * k)) for k, one in enumerate(people))
        )
        assert [one.errors for one in people] == [[]] * PEOPLE
        await asyncio.gather(*(one.close() for one in people))
        return [(bool(one.get("changed")), one.get("bad") or "") for one in answers]

    return asyncio.run(work())


def logged(site: Bench) -> str:
    return (site.folder / "served.log").read_text()


def apart(work: Callable[[str], object], origin: str) -> object:
    """Do work in a thread, where no event loop of the browser runs."""
    with ThreadPoolExecutor(1) as thread:
        return thread.submit(work, origin).result()


def test_twenty_people_each_with_a_project_of_their_own(site: Bench) -> None:
    before = len(logged(site))
    for k in range(PEOPLE):
        site.put(f"crowd-{k}.yaml", TWO)
    apart(of_their_own, f"http://127.0.0.1:{site.port}")
    log = logged(site)[before:]
    assert not re.search("Traceback|Error", log), log[-3000:]


def test_twenty_people_on_one_project_change_it_or_are_told(site: Bench) -> None:
    before = len(logged(site))
    site.put("crowd.yaml", TWO)
    answers = apart(of_one_project, f"http://127.0.0.1:{site.port}")
    assert isinstance(answers, list)
    done = [words for changed, words in answers if changed]
    refused = [words for changed, words in answers if not changed]
    assert len(done) >= 1
    assert all("Another window has changed the project meanwhile" in words for words in refused)
    log = logged(site)[before:]
    assert not re.search("Traceback|Error", log), log[-3000:]
