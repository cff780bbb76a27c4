"""The docs page in a real browser: one click answers, and nothing but the service itself is ever asked."""

import shutil
from hashlib import sha256

import httpx
import pytest
from playwright.sync_api import sync_playwright
from serving import PATIENCE_S

pytestmark = pytest.mark.slow

CHROMIUM = shutil.which("chromium") or "/usr/bin/chromium"
QUIET = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--disable-background-networking", "--disable-sync"]


@pytest.fixture
def page():
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=[*QUIET, "--disable-component-update"])
        one = browser.new_page(viewport={"width": 1280, "height": 1600})
        one.set_default_timeout(PATIENCE_S * 1000)
        yield one
        browser.close()


def test_one_click_answers_and_no_other_host_is_asked(page, service):
    asked = []
    complaints = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("console", lambda message: complaints.append(message.text) if message.type == "error" else None)
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.goto(f"{service}/docs")
    operation = page.locator("#operations-Fittings-calculateFitting")
    operation.locator(".opblock-summary-control").click()
    operation.locator("button.execute").click()
    answer = operation.locator(".live-responses-table .response-col_description .highlight-code").first
    answer.wait_for()
    assert '"verdict": "fits"' in answer.inner_text()
    assert '"radius_mm": 80.333' in answer.inner_text()
    assert asked
    assert [url for url in asked if not url.startswith((service, "data:", "blob:"))] == []
    assert complaints == []


def test_the_pages_policy_is_strict(page, service):
    response = page.goto(f"{service}/docs")
    assert response is not None
    policy = response.headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "http" not in policy


def test_a_drawing_shows_up_as_a_picture(page, service):
    page.goto(f"{service}/docs")
    operation = page.locator("[id$='-drawSection']")
    operation.locator(".opblock-summary-control").click()
    operation.locator("button.execute").click()
    picture = operation.locator("img.lathwind-drawing")
    picture.wait_for()
    page.wait_for_function("image => image.naturalWidth > 300", arg=picture.element_handle())
    box = picture.bounding_box()
    assert box is not None
    assert box["width"] > 300


@pytest.mark.parametrize(
    ("operation_id", "path"),
    [
        ("printSheet", "/v1/sheets/fitting.pdf"),
        ("printPlate", "/v1/drawings/plate.pdf"),
        ("exportPlate", "/v1/drawings/plate.dxf"),
    ],
)
def test_a_document_is_saved_under_its_name_byte_for_byte(page, service, operation_id, path):
    page.goto(f"{service}/docs")
    operation = page.locator(f"[id$='-{operation_id}']")
    operation.locator(".opblock-summary-control").click()
    sent = []
    page.on(
        "request", lambda request: sent.append(request.post_data) if request.url.partition("?")[0].endswith(path) else None
    )
    operation.locator("button.execute").click()
    link = operation.locator("a[download]")
    link.wait_for()
    with page.expect_download() as expected:
        link.click()
    download = expected.value
    assert download.suggested_filename == f"lock-gate-truck-nearside-2-{path.rpartition('/')[2]}"
    headers = {"Content-Type": "application/json"}
    direct = httpx.post(f"{service}{path}", content=sent[0], headers=headers, timeout=PATIENCE_S)
    assert direct.status_code == 200
    assert sha256(download.path().read_bytes()).hexdigest() == sha256(direct.content).hexdigest()
