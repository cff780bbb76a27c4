"""Batches, streams and tables over HTTP: each item on its own, in order; nothing lost, nothing too large."""

import gzip
import json
import socket
import subprocess
import threading
from hashlib import sha256
from urllib.parse import urlsplit

import httpx
import pytest
import rfc8785
from serving import PATIENCE_S, process, serving

from service.contract.examples import BATCHES, FITTINGS, text
from service.contract.fittings import calculate
from service.contract.operations import CSV, JSON, NDJSON, OPERATIONS
from service.settings import Settings

PATHS = {one.takes: one.path for one in OPERATIONS if one.access == "batch" and one.tag == "Fittings"}
"""The path for each media type: batch, stream and table."""
STREAM = PATHS[NDJSON]
ITEMS = BATCHES["evening-order"].request["items"]
GOOD = FITTINGS["lock-gate-truck"].request


def post(client, content, media_type, query="", **headers):
    return client.post(
        PATHS[media_type.partition(";")[0]] + query,
        content=content,
        headers={"Content-Type": media_type, **headers},
        timeout=120,
    )


def lines_of(items):
    return b"".join(json.dumps(item).encode() + b"\n" for item in items)


def test_batch_and_stream_give_the_same_answers(client):
    as_json = post(client, json.dumps({"items": ITEMS}), JSON).json()
    *as_lines, last = [json.loads(line) for line in post(client, text(NDJSON), NDJSON).text.splitlines()]
    assert [item["index"] for item in as_json["items"]] == [0, 1, 2]
    assert [item["status"] for item in as_json["items"]] == [200, 422, 200]
    for item, line in zip(as_json["items"], as_lines, strict=True):
        item.get("problem", {}).pop("instance", None)
        line.get("problem", {}).pop("instance", None)
        assert item == line
    assert last == {"summary": as_json["summary"]}
    assert as_json["summary"] == {"items": 3, "fits": 1, "fits_with_cautions": 0, "does_not_fit": 1, "problems": 1}


@pytest.mark.parametrize(
    ("path", "fields", "member"),
    [
        ("/v1/fittings", "full", "fitting"),
        ("/v1/fittings?fields=figures", "figures", "fitting"),
        ("/v1/fittings/short", "short", "short"),
    ],
)
@pytest.mark.parametrize("language", ["en", "de"])
def test_a_batch_answer_equals_the_single_answer_to_the_byte(client, path, fields, member, language):
    spoken = {"Accept-Language": language}
    single = client.post(path, json=GOOD, headers=spoken).content
    whole = post(client, json.dumps({"items": [GOOD]}), JSON, f"?fields={fields}", **spoken).content
    line = post(client, lines_of([GOOD]), NDJSON, f"?fields={fields}", **spoken).content.splitlines()[0]
    assert b'"%s":%s' % (member.encode(), single) in whole
    assert b'"%s":%s' % (member.encode(), single) in line


def test_batches_and_streams_are_answered_in_the_callers_language(client):
    for body, media_type in ((json.dumps({"items": [GOOD]}), JSON), (lines_of([GOOD]), NDJSON)):
        answer = post(client, body, media_type, **{"Accept-Language": "de-AT, en;q=0.5"})
        assert (answer.headers["content-language"], answer.headers["vary"]) == ("de", "Accept-Language")
        assert '"language":"de"' in answer.text
    wrong = text(CSV).replace(",900,", ",nine hundred,", 1)
    answer = post(client, wrong, CSV, **{"Accept-Language": "de-AT"})
    assert (answer.headers["content-language"], answer.headers["vary"]) == ("de", "Accept-Language")
    assert answer.text != post(client, wrong, CSV).text


@pytest.mark.parametrize("sent", PATHS)
@pytest.mark.parametrize("path", PATHS.values())
def test_each_operation_takes_its_own_media_type_alone(client, path, sent):
    body = {JSON: b'{"items":[]}', NDJSON: b"", CSV: text(CSV)}[sent]
    answer = client.post(path, content=body, headers={"Content-Type": sent})
    if PATHS[sent] == path:
        assert (answer.status_code, answer.headers["content-type"].partition(";")[0]) == (200, sent)
    else:
        assert (answer.status_code, answer.json()["type"]) == (415, "/problems/unsupported-media-type")


class PanicException(BaseException):
    """What a library in Rust raises when it panics: no `Exception`."""


@pytest.mark.parametrize("fault", [ZeroDivisionError, PanicException])
def test_a_fault_of_ours_harms_one_item_only(client, monkeypatch, fault):
    def failing(request, shelf):
        if request.reference == "breaks":
            raise fault
        return calculate(request, shelf)

    monkeypatch.setattr("service.contract.batch.calculate", failing)
    sent = [GOOD, {**GOOD, "reference": "breaks"}, GOOD]
    *items, last = [json.loads(line) for line in post(client, lines_of(sent), NDJSON).text.splitlines()]
    assert [item["status"] for item in items] == [200, 500, 200]
    assert items[1]["problem"]["type"] == "/problems/internal-error"
    assert (last["summary"]["items"], last["summary"]["problems"]) == (3, 1)


def test_a_fault_of_ours_at_an_item_is_logged_with_the_requests_id_and_counted(monkeypatch, capfd):
    monkeypatch.setattr("service.contract.batch.calculate", lambda request, shelf: request / shelf)
    with serving(Settings()) as base, httpx.Client(base_url=base, timeout=PATIENCE_S) as client:
        capfd.readouterr()
        id = post(client, lines_of([GOOD] * 2), NDJSON).headers["x-request-id"]
        assert 'lathwind_rejected_total{kind="internal-error"} 2.0' in client.get("/metrics").text
    told = [json.loads(line) for line in capfd.readouterr().out.splitlines() if '"unhandled"' in line]
    assert [(line["request_id"], line["item"]) for line in told] == [(id, 0), (id, 1)]


def test_the_short_answer_is_part_of_the_whole_one(client):
    def is_part(part, whole):
        if isinstance(part, dict):
            return all(name in whole and is_part(value, whole[name]) for name, value in part.items())
        if isinstance(part, list):
            return len(part) == len(whole) and all(map(is_part, part, whole))
        return part == whole

    whole = client.post("/v1/fittings", json=GOOD).json()
    short = client.post("/v1/fittings/short", json=GOOD).json()
    assert set(short) == {
        "reference", "verdict", "coil", "bracket", "wheel", "side_plate", "curtain", "seals", "tracks", "drip_rail",
        "striker", "balance", "warnings", "audit",
    }  # fmt: skip
    digest = short["audit"].pop("result_sha256")
    assert is_part(short, whole)
    # independent program: rfc8785 and hashlib
    del short["audit"]
    assert digest == sha256(rfc8785.dumps(short)).hexdigest() != whole["audit"]["result_sha256"]


def test_figures_are_the_whole_answer_without_its_words(client):
    whole = client.post("/v1/fittings", json=GOOD).json()
    assert whole.pop("words")["headline"]
    assert client.post("/v1/fittings?fields=figures", json=GOOD).json() == whole


@pytest.mark.parametrize(
    ("bad", "status"),
    [
        (b"{", 400),
        (b'{"reference": "\xff"}', 400),
        (b"[" * 5000, 400),
        (b"null", 422),
        (b'{"reference": "mine", "opening": 1}', 422),
        (b'{"opening": {}, "opening": {}}', 422),
        (b"x" * 70_000, 413),
    ],
    ids=["cut", "no UTF-8", "deep", "null", "wrong", "twice", "long"],
)
def test_one_bad_line_harms_no_other(client, bad, status):
    good = json.dumps(GOOD).encode()
    answers = post(client, good + b"\n" + bad + b"\n\n  \n" + good, NDJSON).content.splitlines()
    first, second, third, last = map(json.loads, answers)
    assert (first["status"], second["status"], third["status"]) == (200, status, 200)
    assert [first["index"], second["index"], third["index"]] == [0, 1, 2]
    assert last["summary"] == {"items": 3, "fits": 2, "fits_with_cautions": 0, "does_not_fit": 0, "problems": 1}
    if b"mine" in bad:
        assert second["reference"] == "mine"


def test_a_line_that_is_no_json_is_told_by_its_number_in_the_stream(client):
    bad, long = b'{"opening": {"width_mm": 1180,5}}', b"x" * 200_000
    body = b"\n".join([json.dumps(GOOD).encode(), bad, b"", b" \r", long, bad, b"{", b'{"x": "\xff"}'])
    *lines, _ = map(json.loads, post(client, body, NDJSON).content.splitlines())
    comma = "a comma in a number. JSON has a decimal point, and no mark for thousands: 1180.5."
    ends = "the JSON document ends before it is complete. A brace, a bracket or a quotation mark is missing."
    told = [one["problem"]["detail"] for one in lines if one["status"] == 400]
    assert [one["index"] for one in lines if one["status"] == 400] == [1, 3, 4, 5]
    assert told == [
        f"Line 2, column 30: {comma}",
        f"Line 6, column 30: {comma}",
        f"Line 7, column 2: {ends}",
        "Line 8, column 8: this is not UTF-8.",
    ]
    assert [one["problem"]["errors"][0]["detail"] for one in lines if one["status"] == 400] == told


def test_lines_are_counted_across_the_pieces_in_which_they_arrive(client):
    pieces = [b"{}\n{}", b"\n\n", b"{", b"\n", b"}"]
    *lines, _ = map(json.loads, post(client, iter(pieces), NDJSON).content.splitlines())
    told = [one["problem"]["detail"].partition(":")[0] for one in lines if one["status"] == 400]
    assert told == ["Line 4, column 2", "Line 5, column 1"]


def test_bad_items_of_a_json_batch_harm_no_other(client):
    body = b'{"items": [' + json.dumps(GOOD).encode() + b', 7, {"opening": {}, "opening": {}}, null]}'
    assert [item["status"] for item in post(client, body, JSON).json()["items"]] == [200, 422, 422, 422]


@pytest.mark.parametrize(
    ("body", "status"),
    [
        (b"", 400),
        (b'{"items": [', 400),
        (b'{"items": {}}', 422),
        (b'{"things": []}', 422),
        (b'{"items": [], "items": []}', 422),
        (b'{"items": [], "more": 1}', 422),
        (b"[]", 422),
    ],
)
def test_what_is_no_batch_is_refused_whole(client, body, status):
    assert post(client, body, JSON).status_code == status


def test_an_empty_batch_is_answered(client):
    assert post(client, b'{"items": []}', JSON).json()["items"] == []
    assert json.loads(post(client, b"", NDJSON).text)["summary"]["items"] == 0


def test_a_gzip_body_is_read_and_a_bad_one_refused(client):
    packed = gzip.compress(lines_of([GOOD] * 50))
    *answers, last = post(client, packed, NDJSON, **{"Content-Encoding": "gzip"}).text.splitlines()
    assert (len(answers), json.loads(last)["summary"]["fits"]) == (50, 50)
    for wrong in (packed[:-20], packed + b"x", b"plain"):
        told = last_problem(post(client, wrong, NDJSON, **{"Content-Encoding": "gzip"}))
        assert told["type"] == "/problems/malformed-body"
    whole = gzip.compress(json.dumps({"items": [GOOD]}).encode())
    assert post(client, whole[:-4], JSON, **{"Content-Encoding": "gzip"}).status_code == 400


def last_problem(answer):
    """The problem in the last line of a stream that could not be read to its end: without an index, and no summary."""
    *items, last = [json.loads(line) for line in answer.text.splitlines()]
    assert [item["index"] for item in items] == list(range(len(items)))
    assert set(last) == {"problem"}
    assert last["problem"]["instance"] == answer.headers["x-request-id"]
    return last["problem"]


def test_a_gzip_body_may_have_several_members(client):
    # published: RFC 1952, 2.2, a file is a series of members
    packed = b"".join(gzip.compress(part) for part in (lines_of([GOOD] * 5)[:-100], lines_of([GOOD] * 5)[-100:], b""))
    last = json.loads(post(client, packed, NDJSON, **{"Content-Encoding": "gzip"}).text.splitlines()[-1])
    assert last["summary"]["fits"] == 5
    bomb = gzip.compress(b" " * 10_000_000) * 4
    assert post(client, bomb, JSON, **{"Content-Encoding": "gzip"}).status_code == 413


def test_a_byte_order_mark_is_left_out(client):
    mark = "\ufeff".encode()
    assert client.post("/v1/fittings", content=mark + json.dumps(GOOD).encode(), headers={"Content-Type": JSON}).is_success
    assert post(client, mark + json.dumps({"items": [GOOD]}).encode(), JSON).json()["summary"]["fits"] == 1
    for body in (mark + lines_of([GOOD]), gzip.compress(mark + lines_of([GOOD]))):
        coding = {"Content-Encoding": "gzip"} if body.startswith(b"\x1f") else {}
        assert json.loads(post(client, body, NDJSON, **coding).text.splitlines()[0])["status"] == 200
    pieces = (bytes([byte]) for byte in mark + lines_of([GOOD]))  # it may arrive in three
    assert json.loads(post(client, pieces, NDJSON).text.splitlines()[0])["status"] == 200
    for body in (mark, mark[:2], mark + mark + lines_of([GOOD])):
        assert client.post("/v1/fittings", content=body, headers={"Content-Type": JSON}).status_code == 400


@pytest.fixture(scope="module")
def narrow():
    """A service with small limits."""
    settings = Settings(large_body_limit_bytes=65_536, batch_items_max=100, batch_line_bytes_max=2048)
    with serving(settings) as base, httpx.Client(base_url=base, timeout=PATIENCE_S) as one:
        yield one


def test_limits_are_told_with_their_number(narrow):
    large = post(narrow, json.dumps({"items": [GOOD] * 300}), JSON)
    assert (large.status_code, "65536 bytes" in large.json()["detail"]) == (413, True)
    bomb = gzip.compress(b" " * 1_000_000)
    assert post(narrow, bomb, JSON, **{"Content-Encoding": "gzip"}).status_code == 413
    many = post(narrow, json.dumps({"items": [{}] * 101}), JSON)
    assert (many.status_code, many.json()["detail"]) == (413, "A batch may have 100 items at most.")
    rows = "slat,width_mm,height_mm,headroom_mm,depth_mm,header_thickness_mm\n" + "slim,1,1,1,1,1\n" * 102
    assert post(narrow, rows, CSV).status_code == 413
    answer = post(narrow, lines_of([{}] * 105), NDJSON)
    assert last_problem(answer)["detail"] == "A batch may have 100 items at most."
    assert answer.text.count("\n") == 101


HEADER = "slat,width_mm,height_mm,headroom_mm,depth_mm,header_thickness_mm,reference"
ROW = "slim,1180,1420,310,620,40,"


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"], ids=["LF", "CR LF", "CR"])
@pytest.mark.parametrize("ends", [1, 0], ids=["ended", "open"])
@pytest.mark.parametrize("cell", ["", '"two\nlines"', "a;b"], ids=["plain", "quoted", "semicolon"])
def test_csv_rows_are_counted_as_they_are_read(narrow, end, ends, cell):
    for count, status in ((100, 200), (101, 413)):
        rows = [HEADER, "", ",,,,,,", *[ROW + cell] * count, ", ,,,,,"]
        answer = post(narrow, end.join(rows) + end * ends, CSV)
        assert answer.status_code == status
    assert answer.json()["detail"] == "A batch may have 100 items at most."


def test_a_stream_that_cannot_be_read_to_its_end_is_logged_and_counted(tmp_path):
    with process(tmp_path, LATHWIND_BATCH_ITEMS_MAX="1") as (_, base, log):
        answer = httpx.post(
            base + STREAM, content=lines_of([GOOD] * 3), headers={"Content-Type": NDJSON}, timeout=PATIENCE_S
        )
        counted = httpx.get(f"{base}/metrics", timeout=PATIENCE_S).text
    kind = last_problem(answer)["type"].removeprefix("/problems/")
    assert f'lathwind_rejected_total{{kind="{kind}"}} 1.0' in counted
    (line,) = [one for one in map(json.loads, log.read_text().splitlines()) if one.get("operation") == "calculateStream"]
    assert (line["problem"], line["items"], line["fits"]) == (kind, 1, 1)


def test_a_sender_that_stops_is_cut_off_and_told_why():
    with serving(Settings(body_idle_s=0.5)) as base:
        address = urlsplit(base)
        with socket.create_connection((address.hostname, address.port), timeout=PATIENCE_S) as raw:
            raw.sendall(
                b"POST /v1/fittings HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: 500\r\n\r\n{"
            )
            assert raw.recv(4096).startswith(b"HTTP/1.1 408 ")


def test_an_item_too_long_harms_no_other(narrow):
    long = {**GOOD, "reference": "x" * 2048}
    items = post(narrow, json.dumps({"items": [GOOD, long, GOOD]}), JSON).json()["items"]
    assert [item["status"] for item in items] == [200, 413, 200]
    assert "2048 bytes" in items[1]["problem"]["detail"]


def test_first_answers_come_before_the_last_line_is_sent(client):
    answered = threading.Event()

    def lines():
        yield lines_of([GOOD])
        assert answered.wait(PATIENCE_S), "no answer before the body's end"
        yield lines_of([GOOD])

    address = urlsplit(str(client.base_url))
    with socket.create_connection((address.hostname, address.port), timeout=PATIENCE_S) as raw:
        raw.sendall(
            b"POST /v1/fittings/stream HTTP/1.1\r\nHost: x\r\nContent-Type: application/x-ndjson\r\n"
            b"Transfer-Encoding: chunked\r\nConnection: close\r\n\r\n"
        )
        received = b""
        for part in lines():
            raw.sendall(f"{len(part):x}\r\n".encode() + part + b"\r\n")
            while b'"index":0' not in received:
                received += raw.recv(65536)
            answered.set()
        raw.sendall(b"0\r\n\r\n")
        while piece := raw.recv(65536):
            received += piece
    assert b'"index":1' in received
    assert b'"items":2,' in received.partition(b'{"summary":')[2]


def test_curl_streams(service, tmp_path):
    # independent program: curl -T sends as it reads
    (tmp_path / "order.ndjson").write_bytes(lines_of([GOOD] * 400))
    ran = subprocess.run(
        [
            "curl",
            "-sS",
            "-X",
            "POST",
            "-T",
            "order.ndjson",
            "-H",
            f"Content-Type: {NDJSON}",
            f"{service}{STREAM}?fields=short",
        ],
        cwd=tmp_path,
        capture_output=True,
        check=True,
    )
    *answers, last = ran.stdout.splitlines()
    assert [json.loads(line)["index"] for line in answers] == list(range(400))
    assert json.loads(last)["summary"]["fits"] == 400


def test_a_caller_that_hangs_up_half_way_leaves_the_service_healthy(client):
    address = urlsplit(str(client.base_url))
    for media_type in (NDJSON, JSON):
        body = lines_of([GOOD] * 3000) if media_type == NDJSON else json.dumps({"items": [GOOD] * 3000}).encode()
        with socket.create_connection((address.hostname, address.port), timeout=PATIENCE_S) as raw:
            head = f"POST {PATHS[media_type]} HTTP/1.1\r\nHost: x\r\nContent-Type: {media_type}\r\n"
            head += f"Content-Length: {len(body)}\r\n\r\n"
            threading.Thread(target=_send_quietly, args=(raw, head.encode() + body), daemon=True).start()
            assert raw.recv(4096)
        assert client.get("/health/ready").status_code == 200


def _send_quietly(raw, content):
    """Send until the other side or we hang up."""
    try:
        raw.sendall(content)
    except OSError:
        return
