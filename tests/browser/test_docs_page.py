"""The docs page in a real browser: one click answers, and nothing but the service itself is ever asked."""

from hashlib import sha256

import httpx
import pytest
from serving import PATIENCE_S, serving

from service.settings import Settings
from service.web.keys import entry

pytestmark = pytest.mark.slow

MINE = '{"reference": "mine", "opening": {"width_mm": 900}}'


@pytest.fixture
def page(opened):
    return opened(viewport={"width": 1280, "height": 1600}).page


def open_operation(page, operation_id):
    """The block of an operation, unfolded."""
    operation = page.locator(f"[id$='-{operation_id}']")
    operation.locator(".opblock-summary-control").click()
    operation.locator("button.execute").wait_for()
    return operation


def test_one_click_answers_and_no_other_host_is_asked(page, service):
    page.goto(f"{service}/docs")
    operation = page.locator("#operations-Fittings-calculateFitting")
    operation.locator(".opblock-summary-control").click()
    operation.locator("button.execute").click()
    answer = operation.locator(".live-responses-table .response-col_description .highlight-code").first
    answer.wait_for()
    assert '"verdict": "fits"' in answer.inner_text()
    assert '"radius_mm": 80.333' in answer.inner_text()
    # nothing made up from the schema stands below the answer, and nothing asks for a key that there is not
    assert operation.locator(".responses-table:not(.live-responses-table)").is_hidden()
    assert page.locator(".authorize, .authorization__btn").count() == 0


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


def test_a_body_goes_on_to_every_operation_that_takes_the_same(page, service):
    page.goto(f"{service}/docs")
    first = open_operation(page, "calculateFitting")
    first.locator("textarea").fill(MINE)
    sheet = open_operation(page, "printSheet")
    assert sheet.locator("textarea").input_value() == MINE
    sheet.locator(".opblock-section-request-body .examples-select select").select_option("pump-van")
    page.wait_for_function("area => area.value.includes('pump van')", arg=first.locator("textarea").element_handle())
    assert "pump van" in sheet.locator("textarea").input_value()


def test_a_table_is_answered_as_a_table(page, service):
    page.goto(f"{service}/docs")
    operation = open_operation(page, "calculateTable")
    with page.expect_response("**/v1/fittings/table") as expected:
        operation.locator("button.execute").click()
    assert expected.value.status == 200
    assert expected.value.headers["content-type"].startswith("text/csv")


def test_a_key_can_be_entered_where_keys_are_asked_for(opened, tmp_path):
    keys = tmp_path / "keys.toml"
    keys.write_text(entry("shop", ("calculate",), "shop-key-nobody-guesses"))
    with serving(Settings(keys_file=str(keys))) as base:
        page = opened(base, complaints=["401"]).page
        page.goto(f"{base}/docs")
        operation = open_operation(page, "calculateShort")
        with page.expect_response("**/v1/fittings/short") as refused:
            operation.locator("button.execute").click()
        assert refused.value.status == 401
        page.locator(".scheme-container button.authorize").click()
        dialog = page.locator(".dialog-ux")
        dialog.locator("input[type=text]").first.fill("shop-key-nobody-guesses")
        dialog.locator("button[type=submit]").first.click()
        dialog.locator(".btn-done").first.click()
        with page.expect_response("**/v1/fittings/short") as answered:
            operation.locator("button.execute").click()
        assert answered.value.status == 200


def test_the_page_is_no_wider_than_a_narrow_screen(opened, service):
    page = opened(viewport={"width": 360, "height": 740}).page
    page.goto(f"{service}/docs")
    operation = open_operation(page, "drawSection")
    operation.locator("button.execute").click()
    operation.locator("img.lathwind-drawing").wait_for()
    assert page.evaluate("document.documentElement.scrollWidth") == 360


def test_every_control_has_a_name(opened, service, node_modules):
    page = opened(bypass_csp=True).page  # the page's own policy would keep the judge out
    page.goto(f"{service}/docs")
    operation = open_operation(page, "calculateFitting")
    operation.locator("button.execute").click()
    operation.locator(".live-responses-table .highlight-code").first.wait_for()
    page.add_script_tag(path=node_modules / "axe-core" / "axe.min.js")
    found = page.evaluate("axe.run({resultTypes: ['violations']})")["violations"]
    assert [one["id"] for one in found if one["impact"] == "critical"] == []
