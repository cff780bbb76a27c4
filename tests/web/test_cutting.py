"""Cutting plans over HTTP: the three forms, what is refused and where, and a solver that ends when it must."""

import csv
import io
import os
import random
import signal
import subprocess
import sys
import threading
from collections import Counter
from contextlib import suppress
from pathlib import Path

import httpx
import pytest
from lxml import etree
from serving import PATIENCE_S, process, serving, until

from service.contract.examples import CUTTINGS, FITTINGS
from service.settings import Settings
from service.web.keys import entry

PATH = "/v1/cutting-plans"
SAW = CUTTINGS["monday-saw"].request
FLEET = CUTTINGS["fleet-saw"].request
GOOD = FITTINGS["lock-gate-truck"].request
CHANCE = random.Random(3)  # noqa: S311 - repeatable, not secret
HARD = {
    "pieces": [{"profile": "p", "length_mm": CHANCE.randrange(300_000, 2_500_000) / 1000, "count": 3} for _ in range(250)],
    "stock": [{"profile": "p", "length_mm": length, "kerf_mm": 3.2} for length in (6500, 5130, 4007)],
}
"""More than a search can end within its time."""


def solvers_of(pid):
    """The processes that solve for a service, found by the system's own table."""
    found = []
    for path in Path("/proc").glob("[0-9]*"):
        try:
            parent = int((path / "stat").read_text().rpartition(")")[2].split()[1])
            if parent == pid and b"service.cutting" in (path / "cmdline").read_bytes():
                found.append(int(path.name))
        except OSError:
            continue  # it has ended meanwhile
    return found


def ended(pid):
    """Whether a process has ended, also where nobody has asked for its code yet."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] == "Z"
    except OSError:
        return True


def pointers(answer):
    assert answer.status_code == 422, answer.text
    return [(one["pointer"], one["code"]) for one in answer.json()["errors"]]


def test_pieces_are_planned_each_once_from_the_stock(client):
    plan = client.post(PATH, json=SAW).json()
    assert [one["profile"] for one in plan["profiles"]] == ["slim", "drip_rail"]
    cut = Counter()
    for profile in plan["profiles"]:
        for bar in profile["bars"]:
            for piece in bar["pieces"]:
                cut[profile["profile"], piece["length_mm"], piece["reference"]] += bar["count"]
    assert cut == {(one["profile"], one["length_mm"], one["reference"]): one["count"] for one in SAW["pieces"]}
    slim = plan["profiles"][0]
    assert slim["bar_count"] == sum(bar["count"] for bar in slim["bars"])
    used = sum(bar["count"] * bar["stock_length_mm"] for bar in slim["bars"])
    kept = sum(bar["count"] * bar["offcut_mm"] for bar in slim["bars"] if bar["kept"])
    pieces = sum(length * count for (profile, length, _), count in cut.items() if profile == "slim")
    assert slim["waste_share"] == pytest.approx((used - kept - pieces) / used, abs=1e-6)
    assert (plan["without_stock"], set(plan["audit"])) == (
        [],
        {"calculation_version", "contract_version", "solver", "catalogue_sha256", "request_sha256"},
    )


def test_of_fittings_the_parts_in_stock_are_planned(client):
    plan = client.post(PATH, json=FLEET).json()
    wanted = Counter()
    for opening in FLEET["fittings"]:
        for part in client.post("/v1/fittings", json=opening).json()["parts"]:
            if "cut_length_mm" in part and part.get("catalogue_id", part["key"]) in {"slim", "bottom_bar", "reveal"}:
                profile = part.get("catalogue_id", part["key"])
                wanted[profile, part["cut_length_mm"], opening["reference"]] += part["quantity"]
    cut = Counter()
    for profile in plan["profiles"]:
        if profile["profile"] in {"slim", "bottom_bar", "reveal"}:
            for bar in profile["bars"]:
                for piece in bar["pieces"]:
                    cut[profile["profile"], piece["length_mm"], piece["reference"]] += bar["count"]
    assert cut == wanted
    assert "drip_rail" in plan["without_stock"]
    assert "slim" not in plan["without_stock"]


def test_the_saw_list_has_every_piece_and_no_formula(client):
    request = {**SAW, "pieces": [*SAW["pieces"], {"profile": "slim", "length_mm": 500, "count": 1, "reference": "=1+1"}]}
    answer = client.post(f"{PATH}/table", json=request)
    assert (answer.status_code, answer.headers["content-type"]) == (200, "text/csv; charset=utf-8; header=present")
    assert answer.content.startswith(b"\xef\xbb\xbf")
    rows = list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"))))
    cut = Counter()
    for row in rows:
        if row["what"] == "piece":
            cut[row["profile"], float(row["length_mm"]), row["reference"]] += int(row["bar_count"])
    expected = Counter({(one["profile"], one["length_mm"], one["reference"]): one["count"] for one in SAW["pieces"]})
    assert cut == expected + Counter({("slim", 500.0, "'=1+1"): 1})


def test_what_is_missing_is_in_the_saw_list(client):
    request = {
        "pieces": [{"profile": "p", "length_mm": 900, "count": 5}],
        "stock": [{"profile": "p", "length_mm": 2000, "count": 2}],
    }
    plan = client.post(PATH, json=request).json()["profiles"][0]
    assert (plan["missing"], plan["bar_count"]) == ([{"length_mm": 900, "count": 1}], 2)
    rows = list(csv.DictReader(io.StringIO(client.post(f"{PATH}/table", json=request).content.decode("utf-8-sig"))))
    assert [(row["length_mm"], row["missing_count"]) for row in rows if row["what"] == "missing"] == [("900", "1")]


@pytest.mark.parametrize(("language", "proven"), [("en", "proven"), ("de", "bewiesen"), ("fr", "prouvé")])
def test_the_picture_draws_every_bar_to_scale_in_the_callers_language(client, language, proven):
    answer = client.post(f"{PATH}/picture.svg", json=SAW, headers={"Accept-Language": language})
    assert (answer.status_code, answer.headers["content-language"]) == (200, language)
    drawn = etree.fromstring(answer.content)
    plan = client.post(PATH, json=SAW).json()
    bars = [one for profile in plan["profiles"] for one in profile["bars"]]
    groups = drawn.xpath("//*[@data-part='bar']")
    assert [int(one.get("data-count")) for one in groups] == [one["count"] for one in bars]
    for group, bar in zip(groups, bars, strict=True):
        rectangles = group.xpath("*[local-name()='rect'] | *[@data-part='piece']/*[local-name()='rect']")
        whole, *pieces = [float(one.get("width")) for one in rectangles]
        for width, piece in zip(pieces, bar["pieces"], strict=True):
            assert width / whole == pytest.approx(piece["length_mm"] / bar["stock_length_mm"], abs=1e-4)
    assert proven in " ".join(drawn.itertext())


@pytest.mark.parametrize(
    ("request_", "expected"),
    [
        ({"stock": SAW["stock"]}, [("/pieces", "missing")]),
        ({**SAW, "fittings": [GOOD]}, [("", "contradiction")]),
        ({**SAW, "pieces": []}, [("/pieces", "too_few")]),
        ({**SAW, "time_limit_s": 31}, [("/time_limit_s", "maximum")]),
        (
            {**SAW, "pieces": [{"profile": "slim", "length_mm": 0.5, "count": 1.5}]},
            [("/pieces/0/length_mm", "minimum"), ("/pieces/0/count", "whole_number")],
        ),
        ({**SAW, "pieces": [{"profile": "", "length_mm": 500, "count": 1}]}, [("/pieces/0/profile", "too_short")]),
        ({**SAW, "pieces": [{"profile": "slimm", "length_mm": 500, "count": 1}]}, [("/pieces/0/profile", "no_stock")]),
        (
            {**SAW, "stock": [{"profile": "slim", "length_mm": 10, "trim_mm": 5}]},
            [("/stock/0/trim_mm", "maximum")],
        ),
        (
            {**SAW, "stock": [*SAW["stock"], {"profile": "slim", "length_mm": 5000, "price": 3}]},
            [("/stock/0/price", "missing"), ("/stock/1/price", "missing")],
        ),
        (
            {**FLEET, "fittings": [GOOD, {**GOOD, "shutter": {"slat": "x"}}]},
            [("/fittings/1/shutter/slat", "not_in_catalogue")],
        ),
        ({**FLEET, "fittings": [GOOD, FITTINGS["towpath-tractor"].request]}, [("/fittings/1", "does_not_fit")]),
    ],
)
def test_what_cannot_be_planned_is_refused_by_its_place(client, request_, expected):
    assert sorted(pointers(client.post(PATH, json=request_))) == sorted(expected)


def test_pieces_longer_than_every_bar_are_named_with_the_longest_that_can_be_cut(client):
    pieces = [{"profile": "p", "length_mm": length, "count": 1} for length in (1990.001, 1990, 2500)]
    stock = [{"profile": "p", "length_mm": 2000, "trim_mm": 5}, {"profile": "p", "length_mm": 1500}]
    refused = client.post(PATH, json={"pieces": pieces, "stock": stock})
    assert pointers(refused) == [("/pieces/0/length_mm", "longer_than_bars"), ("/pieces/2/length_mm", "longer_than_bars")]
    assert [(one["limit"], one["actual"]) for one in refused.json()["errors"]] == [(1990, 1990.001), (1990, 2500)]
    assert client.post(PATH, json={"pieces": pieces[1:2], "stock": stock}).status_code == 200


def test_too_many_pieces_or_lengths_are_refused(client):
    stock = [{"profile": "p", "length_mm": 6000}]
    many = [{"profile": "p", "length_mm": 500, "count": 150_000}] * 2
    assert pointers(client.post(PATH, json={"pieces": many, "stock": stock})) == [("/pieces", "maximum")]
    lengths = [{"profile": "p", "length_mm": 500 + number, "count": 1} for number in range(2001)]
    refused = client.post(PATH, json={"pieces": lengths, "stock": stock})
    assert [(one["pointer"], one["limit"], one["actual"]) for one in refused.json()["errors"]] == [("/pieces", 2000, 2001)]


def test_the_time_limit_ends_a_search_with_the_best_plan_and_its_bound(client):
    (plan,) = client.post(PATH, json={**HARD, "time_limit_s": 0.1}).json()["profiles"]
    assert plan["missing"] == []
    needed = sum(one["count"] * one["length_mm"] for one in HARD["pieces"])
    assert needed <= plan["cost_lower_bound"] <= plan["cost"] <= 1.1 * needed


@pytest.mark.slow
def test_a_caller_that_hangs_up_ends_its_solver_and_frees_its_place(tmp_path):
    with process(tmp_path, LATHWIND_SOLVERS_MAX="1") as (running, base, _):
        with httpx.Client(base_url=base) as impatient, pytest.raises(httpx.ReadTimeout):
            impatient.post(PATH, json={**HARD, "time_limit_s": 30}, timeout=httpx.Timeout(PATIENCE_S, read=3.0))
        assert until(lambda: solvers_of(running.pid) == [])
        assert httpx.post(base + PATH, json=SAW, timeout=PATIENCE_S).status_code == 200


@pytest.mark.slow
def test_one_more_than_may_be_made_at_once_is_told_when_to_come_again(tmp_path):
    with process(tmp_path, LATHWIND_SOLVERS_MAX="1") as (running, base, _):
        answered = []

        def first():
            answered.append(httpx.post(base + PATH, json={**HARD, "time_limit_s": 8}, timeout=PATIENCE_S).status_code)

        thread = threading.Thread(target=first)
        thread.start()
        assert until(lambda: solvers_of(running.pid))
        refused = httpx.post(base + PATH, json=SAW, timeout=PATIENCE_S)
        assert (refused.status_code, refused.json()["type"]) == (503, "/problems/busy")
        assert int(refused.headers["retry-after"]) >= 1
        assert httpx.get(f"{base}/health/ready", timeout=PATIENCE_S).status_code == 200
        thread.join(PATIENCE_S)
        assert answered == [200]


@pytest.mark.slow
def test_a_solver_that_is_killed_is_a_problem_of_its_own(tmp_path):
    with process(tmp_path) as (running, base, log):
        answered = []

        def asking():
            answered.append(httpx.post(base + PATH, json={**HARD, "time_limit_s": 20}, timeout=PATIENCE_S))

        thread = threading.Thread(target=asking)
        thread.start()
        assert until(lambda: solvers_of(running.pid))
        os.kill(solvers_of(running.pid)[0], signal.SIGKILL)
        thread.join(PATIENCE_S)
        assert (answered[0].status_code, answered[0].json()["type"]) == (503, "/problems/no-plan")
        assert "retry-after" in answered[0].headers
        assert until(lambda: '"event":"solver_failed"' in log.read_text())


@pytest.mark.slow
@pytest.mark.parametrize("stopped_by", [signal.SIGTERM, signal.SIGKILL])
def test_no_solver_outlives_its_service(tmp_path, stopped_by):
    with process(tmp_path, LATHWIND_DRAIN_S="1") as (running, base, _):
        asked = []

        def asking():
            with suppress(httpx.TransportError):  # the service is gone before it has answered
                asked.append(httpx.post(base + PATH, json={**HARD, "time_limit_s": 30}, timeout=PATIENCE_S).status_code)

        thread = threading.Thread(target=asking)
        thread.start()
        assert until(lambda: solvers_of(running.pid))
        (solver,) = solvers_of(running.pid)
        running.send_signal(stopped_by)
        running.wait(PATIENCE_S)
        assert until(lambda: ended(solver))
        thread.join(PATIENCE_S)
        assert 200 not in asked


def test_the_service_itself_does_not_load_the_solver():
    code = "import sys, service.app; print([one for one in ('highspy', 'service.cutting.solve') if one in sys.modules])"
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True, text=True)
    assert ran.stdout.strip() == "[]"


def test_a_plan_is_made_behind_the_scope_of_batches(tmp_path):
    keys = tmp_path / "keys.toml"
    keys.write_text(entry("one", ("calculate",), "its-key") + entry("two", ("batch",), "other-key"))
    with serving(Settings(keys_file=str(keys))) as base:
        statuses = [
            httpx.post(base + PATH, json=SAW, headers={"X-API-Key": key}, timeout=PATIENCE_S).status_code
            for key in ("its-key", "other-key")
        ]
    assert statuses == [403, 200]
