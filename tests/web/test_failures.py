"""Faults of ours: the caller gets a problem without the inside, the log gets the trace without the body.

Each case runs in a process of its own, so that the log is the one the service writes and nothing else.
"""

import json
import subprocess
import sys
from pathlib import Path

import httpx
import pytest
from serving import PATIENCE_S, process

from service.contract.examples import FITTINGS

WORD = "orchid-lock-7"
"""What the caller says in its body and in a header, and what no log may hold."""

SCRIPT = """
import asyncio, json, sys
from service import log
from service.contract.operations import OPERATIONS
from service.web.call import Reply
from service.web.admission import Admission, AtOnce
from service.web.body import ByteBudget, Patience
from service.web.endpoint import BodyLimits, Endpoint, Served
from service.web.head import checking
from service.web.metrics import Metrics
from service.web.request_log import RequestLog

def failing(call):
    words = call.body.decode()
    raise ZeroDivisionError(f"{len(words)} / 0")

class PanicException(BaseException):
    pass

def panicking(call):
    raise PanicException("index out of bounds")

def answering(call):
    call.line.verdict = "fits"
    return Reply(b"{}")

async def main(handler, word):
    scope = {
        "type": "http", "method": "POST", "path": "/v1/fittings", "raw_path": b"/v1/fittings", "query_string": b"",
        "http_version": "1.1",
        "headers": [(b"host", b"x"), (b"content-type", b"application/json"), (b"authorization", word.encode())],
    }
    sent = []
    async def receive():
        return {"type": "http.request", "body": json.dumps({"reference": word}).encode(), "more_body": False}
    async def send(message):
        sent.append(message)
    admission = Admission(keys=None, rate=None, at_once=AtOnce(1, 1, 1))
    limits = BodyLimits(1000, 1000, ByteBudget(1000), Patience(1.0), 1.0)
    endpoint = Endpoint("/v1/fittings", {"POST": Served(OPERATIONS[0], handler)}, limits, admission)
    await RequestLog(endpoint, check=checking(frozenset()), metrics=Metrics([]), lines=lines)(scope, receive, send)
    start, end = sent
    told = {"status": start["status"], "id": dict(start["headers"])[b"x-request-id"].decode(), "body": end["body"].decode()}
    print(json.dumps(told), file=sys.stderr)

lines = log.configure("info")
handlers = {"failing": failing, "panicking": panicking, "answering": answering}
asyncio.run(main(handlers[sys.argv[1]], sys.argv[2]))
lines.wait(10)
"""


def run(handler):
    """What the caller got, the log's lines, and the log as text."""
    ran = subprocess.run(
        [sys.executable, "-c", SCRIPT, handler, WORD],
        capture_output=True,
        text=True,
        check=True,
        cwd=Path(__file__).parents[2],
    )
    return json.loads(ran.stderr), [json.loads(line) for line in ran.stdout.splitlines()], ran.stdout


@pytest.mark.parametrize(("handler", "kind"), [("failing", "ZeroDivisionError"), ("panicking", "PanicException")])
def test_a_fault_is_a_problem_that_tells_nothing_of_the_inside(handler, kind):
    told, lines, text = run(handler)
    problem = json.loads(told["body"])
    assert (told["status"], problem["type"], problem["instance"]) == (500, "/problems/internal-error", told["id"])
    assert kind not in told["body"]
    fault, request = lines
    assert (fault["event"], fault["request_id"]) == ("unhandled", told["id"])
    assert fault["exception"][0]["exc_type"] == kind
    assert (request["event"], request["status"]) == ("request", 500)
    assert WORD not in text


def test_the_log_has_one_line_for_a_request_without_body_and_headers():
    told, (line,), text = run("answering")
    assert told["status"] == 200
    assert (line["event"], line["method"], line["path"], line["status"]) == ("request", "POST", "/v1/fittings", 200)
    always = {"request_id", "operation", "method", "path", "status", "bytes_out", "ms", "event", "level", "time"}
    assert line.keys() == {*always, "verdict"}  # nothing of what this request does not have
    assert WORD not in text


def test_libraries_behind_documents_add_nothing_to_the_log(tmp_path):
    with process(tmp_path) as (_, base, log):
        drawn = httpx.post(f"{base}/v1/drawings/plate.dxf", json=FITTINGS["pump-van"].request, timeout=PATIENCE_S)
        assert drawn.status_code == 200
    lines = [json.loads(line) for line in log.read_text().splitlines()]
    (at,) = [number for number, line in enumerate(lines) if line.get("operation") == "exportPlate"]
    before = max(number for number, line in enumerate(lines[:at]) if "running" in line["event"])
    assert {line.get("operation") for line in lines[before + 1 : at]} <= {"getLiveness"}
