"""One browser and one served folder for all of these tests; each puts a project of its own there."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from typing import Any

import pytest
from playwright.sync_api import Browser

from tests.browser.bench import Bench, workbench
from tests.browser.served import Windows, chromium, windows
from tests.browser.tablet import at_jack, tablet  # noqa: F401 - fixtures of these tests

Opener = Callable[..., Windows]
"""Options of a browser context -> windows of one more person."""


@pytest.fixture(scope="package")
def browser() -> Iterator[Browser]:
    """One Chromium; of the package, not the session, whose other tests run event loops of their own."""
    with chromium() as running:
        yield running


@pytest.fixture(scope="package")
def site(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Bench]:
    """The workbench over one folder, started once."""
    with workbench(tmp_path_factory.mktemp("workbench") / "site") as served:
        yield served


@pytest.fixture
def person(browser: Browser, site: Bench) -> Iterator[Opener]:
    """Give windows of one more person at the shared site."""
    with ExitStack() as stack:

        def make(**options: Any) -> Windows:
            origin = f"http://127.0.0.1:{site.port}"
            return stack.enter_context(windows(browser, origin, **options))

        yield make


@pytest.fixture
def mine(person: Opener) -> Windows:
    """Give the windows of one person."""
    return person()
