"""Metrics: what is counted, that labels stay few whatever callers send, and that workers are added up."""

import os
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from prometheus_client.parser import text_string_to_metric_families

from service.calculation.warnings import CODES
from service.contract.operations import OPERATIONS
from service.contract.problems import KINDS
from service.web.metrics import FOLDER, NOTED_MAX, Metrics, shared_folder

IDS = [operation.id for operation in OPERATIONS]
TOP = Path(__file__).parents[2]

Series = dict[tuple[str, frozenset[tuple[str, str]]], float]


def read(text):
    """Every sample by name and labels."""
    return {
        (sample.name, frozenset(sample.labels.items())): sample.value
        for family in text_string_to_metric_families(text.decode())
        for sample in family.samples
    }


def value(series, name, **labels):
    return series[name, frozenset(labels.items())]


def test_requests_are_counted_and_timed_by_operation():
    metrics = Metrics(IDS)
    metrics.request("calculateFitting", "POST", 200, 0.0004)
    metrics.request("calculateFitting", "POST", 200, 0.002)
    metrics.request("calculateFitting", "POST", 422, 0.03)
    metrics.request("getLiveness", "GET", 200, 0.0001)
    series = read(metrics.render())
    labels = {"operation": "calculateFitting", "method": "POST"}
    assert value(series, "lathwind_requests_total", **labels, status="200") == 2
    assert value(series, "lathwind_requests_total", **labels, status="422") == 1
    assert value(series, "lathwind_request_seconds_count", operation="calculateFitting") == 3
    assert value(series, "lathwind_request_seconds_sum", operation="calculateFitting") == pytest.approx(0.0324)
    assert value(series, "lathwind_request_seconds_bucket", operation="calculateFitting", le="0.0005") == 1
    assert value(series, "lathwind_request_seconds_bucket", operation="calculateFitting", le="0.0025") == 2
    assert value(series, "lathwind_request_seconds_bucket", operation="calculateFitting", le="+Inf") == 3


def test_results_are_counted():
    metrics = Metrics(IDS)
    metrics.calculated("fits", [], 0.00008)
    metrics.calculated("does_not_fit", ["roof_clearance", "thick_coil"], 0.0002)
    metrics.item("fits")
    metrics.item("problem")
    metrics.rejected("invalid-request")
    series = read(metrics.render())
    assert value(series, "lathwind_verdicts_total", verdict="fits") == 1
    assert value(series, "lathwind_verdicts_total", verdict="does_not_fit") == 1
    assert value(series, "lathwind_warnings_total", code="roof_clearance") == 1
    assert value(series, "lathwind_engine_seconds_count") == 2
    assert value(series, "lathwind_engine_seconds_bucket", le="0.0001") == 1
    assert value(series, "lathwind_batch_items_total", outcome="problem") == 1
    assert value(series, "lathwind_rejected_total", kind="invalid-request") == 1


def test_threads_that_count_at_once_lose_nothing():
    metrics, times = Metrics(IDS), 20 * NOTED_MAX

    def note():
        for _ in range(times):
            metrics.calculated("fits", [], 0.00008)

    with ThreadPoolExecutor(4) as threads:
        for done in [threads.submit(note) for _ in range(4)]:
            done.result()
    assert value(read(metrics.render()), "lathwind_verdicts_total", verdict="fits") == 4 * times


def test_known_labels_are_there_from_the_start():
    series = read(Metrics(IDS).render())
    assert all(value(series, "lathwind_rejected_total", kind=kind) == 0 for kind in KINDS)
    assert all(value(series, "lathwind_warnings_total", code=code) == 0 for code in CODES)
    assert all(value(series, "lathwind_request_seconds_count", operation=id) == 0 for id in IDS)


def test_what_is_running_is_told_and_changes_with_the_catalogue():
    metrics = Metrics(IDS)
    metrics.running(version="1.0", catalogue="standard", catalogue_sha256="aa")
    metrics.running(version="1.0", catalogue="standard", catalogue_sha256="bb")
    series = read(metrics.render())
    running = {labels: told for (name, labels), told in series.items() if name == "lathwind_build_info"}
    assert {dict(labels)["catalogue_sha256"]: told for labels, told in running.items()} == {"aa": 0, "bb": 1}


UNKNOWN = st.text().map("?{}".format)
"""A word that is no operation, method or code."""


@settings(max_examples=25)
@given(st.lists(st.tuples(UNKNOWN, UNKNOWN, UNKNOWN), min_size=1, max_size=20))
def test_labels_stay_few_whatever_comes(sent):
    metrics = Metrics(IDS)
    before = len(read(metrics.render()))
    for operation, method, code in sent:
        metrics.request(operation, method, 404, 0.001)
        metrics.calculated("fits", [code], 0.001)
        metrics.rejected(code)
    series = read(metrics.render())
    assert len(series) == before + 1  # one series more, of the request: other, other, 404
    assert value(series, "lathwind_requests_total", operation="other", method="other", status="404") == len(sent)
    assert value(series, "lathwind_warnings_total", code="other") == len(sent)
    assert value(series, "lathwind_rejected_total", kind="other") == len(sent)


def test_two_of_them_do_not_share_numbers():
    one, other = Metrics(IDS), Metrics(IDS)
    one.rejected("not-found")
    assert value(read(other.render()), "lathwind_rejected_total", kind="not-found") == 0


WORKER = """
import sys
from service.web.metrics import Metrics
metrics = Metrics(["calculateFitting"])
metrics.running(version="1.0", catalogue="standard", catalogue_sha256="aa")
for _ in range(int(sys.argv[1])):
    metrics.request("calculateFitting", "POST", 200, 0.001)
    metrics.calculated("fits", ["thick_coil"], 0.0001)
sys.stdout.buffer.write(metrics.render())
"""


def worker(requests):
    ran = subprocess.run([sys.executable, "-c", WORKER, str(requests)], cwd=TOP, capture_output=True, check=True)
    return ran.stdout


def test_workers_are_added_up_also_those_that_have_ended(monkeypatch):
    monkeypatch.delenv(FOLDER, raising=False)
    with shared_folder() as folder:
        worker(3)
        series = read(worker(4))
        assert list(folder.glob("*.db"))
    labels = {"operation": "calculateFitting", "method": "POST", "status": "200"}
    assert value(series, "lathwind_requests_total", **labels) == 7
    assert value(series, "lathwind_request_seconds_bucket", operation="calculateFitting", le="+Inf") == 7
    assert value(series, "lathwind_warnings_total", code="thick_coil") == 7
    running = {"version": "1.0", "catalogue": "standard", "catalogue_sha256": "aa"}
    assert value(series, "lathwind_build_info", **running) == 1
    assert not folder.exists()
    assert FOLDER not in os.environ


def test_the_operators_own_folder_is_emptied_and_left_there(tmp_path, monkeypatch):
    folder = tmp_path / "made" / "for-it"
    monkeypatch.setenv(FOLDER, str(folder))
    with shared_folder() as used:
        assert used == folder
        worker(5)
    with shared_folder():
        series = read(worker(1))
    assert value(series, "lathwind_engine_seconds_count") == 1
    assert folder.exists()
