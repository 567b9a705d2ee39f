"""The pages as their readers meet them: a service with two ships, people with keys, a browser."""

import os
import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import httpx
import pytest
from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page, expect, sync_playwright

from service.actions.access import Access
from service.actions.assess import Assessor
from service.actions.keys import make_key
from service.actions.records.lifecycle import visited_records
from service.app import create_app
from service.cli.local_server import local_server
from service.wire.key import KeyRequest
from tests.api.office import (
    OPERATOR,
    PEPPER,
    SHIP,
    condition_document,
    settings_for,
    vessel_document,
)
from tests.pages.harbour import Harbour

CHROMIUM = Path("/usr/bin/chromium")
FLAGS = [
    *("--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"),
    *("--disable-background-networking", "--disable-component-update", "--disable-sync"),
]
SIZES = {"phone": (390, 844), "desktop": (1280, 900)}

MARGIN = 1
"""Pixels that rounding may put beyond the edge of the window."""
expect.set_options(
    timeout=20_000
)  # ms: the machine runs other tests too; how quick a page is has tests of its own


@pytest.fixture(scope="session")
def answer() -> dict[str, Any]:
    """An assessment that passes, in metric units."""
    return assessment("departure-homogeneous")


def assessment(name: str, ship: str = SHIP, **changes: Any) -> dict[str, Any]:
    """The answer to a demonstration condition."""
    request = {"vessel": vessel_document(ship), "condition": condition_document(name, ship, **changes)}
    return Assessor().assessment(request)


@pytest.fixture(scope="session")
def harbour(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Harbour]:
    """A running service with the demonstration ships, and keys of every role."""
    with running_harbour(f"sqlite:///{tmp_path_factory.mktemp('pages') / 'records.db'}") as found:
        yield found


@contextmanager
def running_harbour(database: str) -> Iterator[Harbour]:
    """A service of its own on `database`."""
    with local_server(create_app(settings_for(database, demo=True))) as address:
        keys = {}
        with visited_records(database) as records:
            access = Access(records, PEPPER.encode())
            for role in ("ship", "reviewer", "integrator", "administrator"):
                wanted = KeyRequest(name=f"A {role}", role=role)
                keys[role] = make_key(records, access, OPERATOR, wanted)["token"]
        with httpx.Client(base_url=address, timeout=30, trust_env=False) as http:
            yield Harbour(address, http, keys, database)


# not for the session: while it is open, its event loop runs in this thread, and other tests need their own
@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    if not CHROMIUM.exists() and not os.environ.get("REQUIRE_ALL"):
        pytest.skip(f"there is no browser at {CHROMIUM}")
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=str(CHROMIUM), args=FLAGS)
        yield opened
        opened.close()


@pytest.fixture(params=SIZES)
def size(request: pytest.FixtureRequest) -> dict[str, int]:
    """A phone's window and a desk's."""
    width, height = SIZES[request.param]
    return {"width": width, "height": height}


@pytest.fixture
def context(browser: Browser, harbour: Harbour, size: dict[str, int]) -> Iterator[BrowserContext]:
    with_scripts = browser.new_context(base_url=harbour.address, viewport=size)
    yield with_scripts
    with_scripts.close()


@pytest.fixture
def plain(browser: Browser, harbour: Harbour, size: dict[str, int]) -> Iterator[BrowserContext]:
    """A browser that runs no scripts."""
    without = browser.new_context(base_url=harbour.address, viewport=size, java_script_enabled=False)
    yield without
    without.close()


def sign_in(context: BrowserContext, harbour: Harbour, role: str, to: str = "/") -> Page:
    """A page of somebody who typed a key of `role`."""
    page = context.new_page()
    page.goto(f"/sign-in?to={to}")
    page.get_by_label("Key").fill(harbour.keys[role])
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(re.compile(re.escape(to) + "$"))
    return page


def fits(page: Page) -> bool:
    """Whether nothing makes the page wider than the window."""
    page.locator("#main").wait_for(state="attached")  # on the way to another page there is no document
    wide: int = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    return wide <= MARGIN


@pytest.fixture
def complaints(context: BrowserContext) -> list[str]:
    """What the browser complains of: errors of scripts, refusals of the content policy; not that a form was refused."""
    said: list[str] = []

    def heard(message: ConsoleMessage) -> None:
        if message.type == "error" and "the server responded with a status of 4" not in message.text:
            said.append(message.text)

    context.on("console", heard)
    context.on("weberror", lambda error: said.append(str(error.error)))
    return said
