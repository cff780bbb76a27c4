"""The pages for people as files: what is served, how, and whether their texts are whole."""

import json
import re

import pytest

from service.web import desk, docs
from service.web.static_page import POLICY

TEXTS = (desk.FILES / "texts.js").read_text(encoding="utf-8")
OTHERS = "\n".join(path.read_text(encoding="utf-8") for path in sorted(desk.FILES.iterdir()) if path.name != "texts.js")
ROWS = {
    key: json.loads(re.sub(r",\s*\]$", "]", row))
    for key, row in re.findall(r"^  (\w+): (\[.*?\]),\n(?=  \w+: \[|\};)", TEXTS, re.MULTILINE | re.DOTALL)
}
LANGUAGES = 3


def assets(client, path):
    """The addresses of what a page loads."""
    return re.findall(r'(?:href|src)="/?((?:desk|docs)/[^"]+\.(?:js|css))"', client.get(path).text)


def test_the_address_alone_leads_to_the_desk(client):
    answer = client.get("/")
    assert (answer.status_code, answer.headers["location"]) == (307, "/desk")
    assert client.head("/").status_code == 307
    assert client.get("/", follow_redirects=True).headers["content-type"].startswith("text/html")


@pytest.mark.parametrize("page", [desk.PAGE, docs.PAGE], ids=lambda one: one.id)
def test_pages_are_asked_for_again_and_their_assets_never(client, page):
    answer = client.get(page.path)
    assert answer.headers["content-security-policy"] == POLICY
    assert "unsafe" not in POLICY
    assert answer.headers["cache-control"] == "no-cache"
    loaded = assets(client, page.path)
    assert len(loaded) >= 4
    for path in loaded:
        asset = client.get(f"/{path}", headers={"Accept-Encoding": "gzip"})
        assert asset.status_code == 200
        assert asset.headers["content-encoding"] == "gzip"
        assert "immutable" in asset.headers["cache-control"]


def test_the_desk_loads_every_module_that_is_there_at_once(client):
    named = {path.rpartition("/")[2] for path in assets(client, "/desk")}
    assert named == {path.name for path in desk.FILES.iterdir() if path.suffix in {".js", ".css"}}


def test_the_desk_is_small(client):
    # kind: hand, a tenth of a second of 1.6 Mbit/s is 20 kB; the figures and the picture come on top
    sizes = [
        int(client.head(f"/{path}", headers={"Accept-Encoding": "gzip"}).headers["content-length"])
        for path in {*assets(client, "/desk"), "desk"}
    ]
    assert sum(sizes) < 60_000


def test_the_page_knows_what_the_contract_allows(client):
    embedded = re.search(r'id="ranges">(.*?)</script>', client.get("/desk").text)[1]
    ranges = json.loads(embedded)
    assert ranges == desk.ranges()
    # kind: hand, from the ranges that the contract's document gives
    assert ranges["/opening/width_mm"] == {"minimum": 250, "maximum": 3000}
    assert ranges["/opening/survey/diagonals_mm/-"] == {"minimum": 350, "maximum": 4300}
    assert ranges["/opening/obstacles/-/x_mm"] == {"minimum": -500, "maximum": 4000}
    assert ranges["/duty/road_speed_km_h"] == {"minimum": 0, "maximum": 160, "default": 110}
    assert ranges["/shutter/mount"] == {"default": "reveal"}


def test_the_page_knows_what_every_code_is_called(client):
    embedded = json.loads(re.search(r'id="labels">(.*?)</script>', client.get("/desk").text)[1])
    # kind: hand, codes of domain and contract
    assert embedded["de"]["roof_clearance"] == "Abstand zwischen Ballen und Dach"
    assert embedded["en"]["does_not_fit"] == "Does not fit"
    assert embedded["fr"]["sinks_by_itself"]
    listed = {one["code"] for one in client.get("/v1/warnings").json()["warnings"]}
    for labels in embedded.values():
        assert listed - set(labels) == set()


def test_every_member_of_a_request_has_its_place_on_the_desk():
    absent = {
        pointer
        for pointer in desk.ranges()
        if pointer not in OTHERS and not pointer.startswith(("/opening/obstacles", "/opening/survey", "/options"))
    }
    assert absent == set()


def test_the_desks_texts_are_whole_sorted_and_all_used():
    assert len(ROWS) > 200
    assert list(ROWS) == sorted(ROWS)
    for key, row in ROWS.items():
        assert len(row) == LANGUAGES, key
        assert all(row), key
        places = [set(re.findall(r"\{(\w+)\}", text)) for text in row]
        assert places[0] == places[1] == places[2], key
    quoted = set(re.findall(r'["`](\w+)["`]', OTHERS))
    families = re.findall(r"`(\w+_)\$\{", OTHERS)
    unused = [
        key
        for key in ROWS
        if key not in quoted
        and not key.startswith(tuple(families))
        and key.removesuffix("_about") not in quoted
        and key.removesuffix("_one") not in quoted
        and key.removesuffix("_alt") not in quoted
    ]
    assert unused == []
    called = set(re.findall(r'say\("(\w+)"', OTHERS)) | set(re.findall(r'data-(?:text|label|lines)"?[=:] ?"(\w+)"', OTHERS))
    assert called - set(ROWS) == set()


def test_the_texts_that_stand_in_the_page_before_its_scripts_are_the_english_ones():
    html = (desk.FILES / "desk.html").read_text(encoding="utf-8")
    written = re.findall(r'data-text="(\w+)"(?: hidden| aria-pressed="\w+")?>([^<]+)<', html)
    assert len(written) > 30
    for key, text in written:
        assert text == ROWS[key][0], key


@pytest.mark.parametrize("page", [desk.PAGE, docs.PAGE], ids=lambda one: one.id)
def test_a_page_says_whether_keys_are_asked_for(client, page):
    assert 'data-keys="no"' in client.get(page.path).text
    made = desk.desk(keys=True) if page is desk.PAGE else docs.docs(keys=True)
    assert b'data-keys="yes"' in made[page.path](None).content
