"""A real browser that asks nobody but the service, and what judges pages."""

import shutil
from pathlib import Path

import pytest
from npm import installed
from playwright.sync_api import sync_playwright
from serving import PATIENCE_S

HERE = Path(__file__).parent
CHROMIUM = shutil.which("chromium") or "/usr/bin/chromium"
QUIET = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


@pytest.fixture(scope="module")  # no longer: while it runs, no other test in this thread could start an event loop
def browser():
    with sync_playwright() as playwright:
        one = playwright.chromium.launch(executable_path=CHROMIUM, args=QUIET)
        yield one
        one.close()


class Opened:
    """A page in a profile of its own, with everything it asked for and everything that its console complained of."""

    def __init__(self, browser, base, **how):
        """Open a page for the service at `base`, on a screen and in a language as Playwright says them."""
        self.base = base
        self.context = browser.new_context(**{"viewport": {"width": 1280, "height": 900}, "locale": "en-GB", **how})
        self.page = self.context.new_page()
        self.page.set_default_timeout(PATIENCE_S * 1000)
        self.asked = []
        self.complaints = []
        self.page.on("request", lambda request: self.asked.append((request.method, request.url)))
        self.page.on("console", lambda message: self.complaints.append(message.text) if message.type == "error" else None)
        self.page.on("pageerror", lambda error: self.complaints.append(str(error)))

    def foreign(self):
        """What was asked of others."""
        return [url for _, url in self.asked if not url.startswith((self.base, "data:", "blob:"))]

    def posted(self):
        """The paths that something was sent to."""
        return [url.removeprefix(self.base) for method, url in self.asked if method == "POST"]


@pytest.fixture
def opened(browser, service):
    """Opens pages, and sees to it that they ask nobody else and complain of nothing."""
    pages = []

    def one(base=service, *, complaints=(), **how):
        page = Opened(browser, base, **how)
        pages.append((page, complaints))
        return page

    yield one
    for page, expected in pages:
        assert page.foreign() == []
        assert [text for text in page.complaints if not any(known in text for known in expected)] == []
        page.context.close()


@pytest.fixture(scope="session")
def node_modules():
    """The programs of package.json."""
    return installed(HERE)
