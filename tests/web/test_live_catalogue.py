"""The catalogue is read again when its file changes; a broken or missing file leaves the old one in use, loudly."""

import json
import re

import httpx
import msgspec
import pytest
from serving import PATIENCE_S, process, serving, until
from structlog.testing import CapturingLogger

from service.catalogue.loader import STANDARD, CatalogueError
from service.contract import selfcheck
from service.contract.examples import FITTINGS
from service.contract.fittings import fitting
from service.contract.requests import FittingRequest
from service.settings import Settings
from service.web import live_catalogue, live_file
from service.web.live_catalogue import LiveCatalogue

TEXT = STANDARD.read_text(encoding="utf-8")
GOOD = FITTINGS["lock-gate-truck"].request


def test_a_change_takes_effect_and_a_broken_one_does_not(tmp_path, monkeypatch):
    logger, path = CapturingLogger(), tmp_path / "own.toml"
    monkeypatch.setattr(live_catalogue, "log", logger)
    monkeypatch.setattr(live_file, "AGAIN_AT_MOST_S", 0.0)
    monkeypatch.setattr(live_file, "LOOKED_AT_EVERY_S", 0.0)
    path.write_text(TEXT)
    held = LiveCatalogue(path)
    told = []
    held.tell(lambda shelf: told.append(shelf.catalogue_sha256))
    first = held.content.shelf.catalogue_sha256
    path.write_text(TEXT + "# changed\n")
    held.look()
    second = held.content.shelf.catalogue_sha256
    assert second != first
    for broken in (
        TEXT.replace("pitch_mm = 28", "pitch_mm = 9"),
        "id = [",
        "id = " + "[" * 3000,
        TEXT.replace("wires_mm = [3", "wires_mm = [20] # "),
        None,
    ):
        path.unlink() if broken is None else path.write_text(broken)
        held.look()
        assert held.content.shelf.catalogue_sha256 == second
        assert logger.calls[-1].args == ("catalogue_not_reloaded",)
        assert str(path) in logger.calls[-1].kwargs["reason"]
    assert told == [first, second]


def test_a_catalogue_with_which_a_fitting_fails_is_not_taken(tmp_path, monkeypatch):
    path = tmp_path / "own.toml"
    path.write_text(TEXT)
    tried = []

    def failing(request, shelf):
        tried.append(request)
        if request.opening.width_mm == 3000 and request.opening.height_mm == 250:
            raise ZeroDivisionError
        return fitting(request, shelf)

    monkeypatch.setattr(selfcheck, "fitting", failing)
    with pytest.raises(CatalogueError, match=r"own\.toml: a fitting of .*'slim'.* cannot be calculated: ZeroDivisionError"):
        LiveCatalogue(path)
    assert tried[0].opening == msgspec.convert(GOOD, FittingRequest).opening


def test_the_catalogue_is_exchanged_while_the_service_runs(tmp_path):
    path = tmp_path / "own.toml"
    path.write_text(TEXT)
    with serving(Settings(catalogue=str(path))) as base, httpx.Client(base_url=base, timeout=PATIENCE_S) as client:
        before = client.get("/v1/catalogue")
        answer = client.post("/v1/fittings", json=GOOD).json()
        path.write_text(TEXT.replace("mass_kg_per_m = 0.21", "mass_kg_per_m = 0.25"))
        old = answer["audit"]["catalogue_sha256"]
        assert until(lambda: client.post("/v1/fittings", json=GOOD).json()["audit"]["catalogue_sha256"] != old)
        after = client.post("/v1/fittings", json=GOOD).json()
        assert after["curtain"]["mass_kg"] > answer["curtain"]["mass_kg"]
        assert after["audit"]["catalogue_sha256"] != answer["audit"]["catalogue_sha256"]
        again = client.get("/v1/catalogue", headers={"If-None-Match": before.headers["etag"]})
        assert again.status_code == 200
        assert again.json()["catalogue_sha256"] == after["audit"]["catalogue_sha256"]
        assert after["audit"]["catalogue_sha256"] in client.get("/metrics").text
        verified = client.post("/v1/audits/verification", json=answer).json()
        assert verified["outcome"] == "other_version"


@pytest.mark.slow
def test_every_change_of_the_catalogue_is_told(tmp_path):
    path = tmp_path / "own.toml"
    path.write_text(TEXT)
    with (
        process(tmp_path, LATHWIND_CATALOGUE=str(path)) as (_, base, log),
        httpx.Client(base_url=base, timeout=PATIENCE_S) as client,
    ):

        def digest():
            return str(client.post("/v1/fittings", json=GOOD).json()["audit"]["catalogue_sha256"])

        def running():
            found = re.findall(
                r'^lathwind_build_info\{.*catalogue_sha256="(\w+)".*\} (\S+)$', client.get("/metrics").text, re.MULTILINE
            )
            return {name: float(value) for name, value in found}

        def told(event):
            return [line for line in map(json.loads, log.read_text().splitlines()) if line["event"] == event]

        first = digest()
        assert running() == {first: 1}
        path.write_text(TEXT + "# another\n")
        assert until(lambda: digest() != first)
        second = digest()
        assert until(lambda: [line["catalogue_sha256"] for line in told("catalogue_reloaded")] == [second])
        assert running() == {first: 0, second: 1}
        for number, broken in enumerate(("id = [", TEXT.replace("pitch_mm = 28", "pitch_mm = 9"), None), 1):
            path.unlink() if broken is None else path.write_text(broken)
            assert until(lambda number=number: digest() == second and len(told("catalogue_not_reloaded")) >= number)
            assert client.get("/health/ready").status_code == 200
        refused = told("catalogue_not_reloaded")
        assert {line["still"] for line in refused} == {second}
        assert all(line["level"] == "error" and str(path) in line["reason"] for line in refused)
        assert running() == {first: 0, second: 1}
        path.write_text(TEXT)
        assert until(lambda: digest() == first)
        assert until(lambda: running() == {first: 1, second: 0})
        assert client.get("/v1/catalogue").json()["catalogue_sha256"] == first
