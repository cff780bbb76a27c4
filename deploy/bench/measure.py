"""Measures engine, start, requests, batch, waiting, memory, growth, documents, soak; each by name, or all but soak."""

import asyncio
import http.client
import itertools
import json
import os
import re
import statistics
import subprocess
import sys
import tempfile
import threading
import time
import timeit
from collections import deque
from collections.abc import Callable, Iterator, MutableMapping
from contextlib import ExitStack, contextmanager
from pathlib import Path
from statistics import mean
from typing import Any
from urllib.error import URLError
from urllib.request import urlopen

from service.app import create
from service.calculation import fitting as core
from service.calculation.fitting import fit
from service.calculation.place import first_that_passes
from service.catalogue.loader import STANDARD, load
from service.contract.batch import Batch
from service.contract.decoding import BodyDecoder
from service.contract.fittings import encode, fitting, trace_of
from service.contract.jobs import to_job
from service.contract.requests import FittingRequest
from service.contract.shelf import stock

PACKAGE = Path(core.__file__).parents[2]
"""Where the measured package is: the working tree, or a folder with the compiled core."""
BODY = Path("openapi/examples/lock-gate-truck.request.json")
IMAGE_PYTHON = Path(".bench/image/bin/python")
"""Python with what the service needs and nothing else, as in the image."""
ROUNDS = 5
SECONDS = 3
SERVERS = {
    "Lathwind": ("service.app:create", ["--factory"], 8101),
    "raw ASGI": ("nothing_asgi:app", [], 8102),
    "Litestar, nothing": ("nothing_litestar:app", [], 8103),
    "FastAPI, nothing": ("nothing_fastapi:app", [], 8104),
    "FastAPI, response model": ("nothing_fastapi:modelled", [], 8105),
}
"""What is measured, and what calculates nothing but sends as many bytes."""
KINDS = {"full": "/v1/fittings", "figures": "/v1/fittings?fields=figures", "short": "/v1/fittings/short"}
IDLE_S = 0.05
"""Processor time in a second up to which a process counts as idle."""
SOAK_CALLERS = 4
SAMPLES_A_MINUTE = 6
MADE_BY_SERVERS = ("date", "server")
TICKS_A_SECOND = os.sysconf("SC_CLK_TCK")


def microseconds(call: Callable[[], object], times: int = 2000) -> float:
    """The best of five means [µs]."""
    return min(timeit.repeat(call, number=times, repeat=5)) / times * 1e6


def measure_engine() -> None:
    """The calculation alone, block by block."""
    shelf, decoder, body = stock(load(STANDARD)), BodyDecoder(FittingRequest), BODY.read_bytes()
    request = decoder.decode(body)
    job = to_job(request, shelf)
    made = fit(job)
    print("engine, µs a fitting")
    for name, call in {
        "choice of the place": lambda: first_that_passes(job, job.tubes[0]),
        "whole fitting": lambda: fit(job),
        "the steps of a fitting for its trace": lambda: trace_of(made, job),
        "decode": lambda: decoder.decode(body),
        "decode, calculate, digest, write": lambda: fitting(decoder.decode(body), shelf),
    }.items():
        print(f"  {name:36} {microseconds(call):8.1f}")


@contextmanager
def running(
    app: str, flags: list[str], port: int, *, python: Path | str = sys.executable
) -> Iterator[subprocess.Popen[bytes]]:
    """One uvicorn worker on the first core; wrk runs on the second."""
    command = [python, "-P", "-m", "uvicorn", app, *flags, "--port", str(port), "--loop", "uvloop", "--http", "httptools"]
    environment = {
        **os.environ,
        "PYTHONPATH": os.pathsep.join([str(Path(__file__).parent), os.environ.get("PYTHONPATH", "")]),
        "LATHWIND_LOG_LEVEL": "info",
        "LATHWIND_LARGE_BODY_LIMIT_BYTES": "16777216",
    }
    process = subprocess.Popen(
        ["taskset", "-c", "0", *command, "--app-dir", PACKAGE, "--no-access-log", "--log-level", "warning"],
        env=environment,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    try:
        yield process
    finally:
        process.terminate()
        process.wait()


def wait(port: int) -> float:
    """Seconds until the port answers anything at all."""
    started = time.perf_counter()
    while time.perf_counter() - started < 60:
        try:
            with urlopen(f"http://127.0.0.1:{port}/health/live", timeout=1):
                break
        except URLError as error:
            if "HTTP Error" in str(error):
                break
            time.sleep(0.005)
    return time.perf_counter() - started


def load_with_wrk(port: int, path: str) -> tuple[int, float, str, str]:
    """Requests, requests a second, and the latency's 50th and 99th percentile."""
    ran = subprocess.run(
        ["taskset", "-c", "1", "wrk", "-t1", "-c16", f"-d{SECONDS}s", "--latency", "-s", "deploy/bench/post.lua",
         f"http://127.0.0.1:{port}{path}"],
        env={**os.environ, "BODY": str(BODY)},
        capture_output=True,
        text=True,
        check=True,
    )  # fmt: skip
    assert "Non-2xx" not in ran.stdout, ran.stdout
    percentiles = dict(re.findall(r"^\s+(50|99)%\s+(\S+)", ran.stdout, re.MULTILINE))
    (count,) = re.findall(r"(\d+) requests in", ran.stdout)
    (rate,) = re.findall(r"Requests/sec:\s+([\d.]+)", ran.stdout)
    return int(count), float(rate), percentiles["50"], percentiles["99"]


def processor_s(process: int) -> float:
    """Processor time that a process has taken [s]."""
    fields = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / TICKS_A_SECOND


def wait_until_idle(process: int) -> None:
    """Wait until a process has done what it does beside its first answers, such as loading what documents need."""
    before_s = -1.0
    while processor_s(process) - before_s > IDLE_S:
        before_s = processor_s(process)
        time.sleep(1)


def keep_answer(path: str, folder: Path) -> None:
    """Keep what the service answers, for the programs that send as many bytes."""
    app, flags, port = SERVERS["Lathwind"]
    with running(app, flags, port):
        wait(port)
        connection = http.client.HTTPConnection("127.0.0.1", port)
        connection.request("POST", path, BODY.read_bytes(), {"Content-Type": "application/json"})
        answer = connection.getresponse()
        headers = {name: value for name, value in answer.getheaders() if name not in MADE_BY_SERVERS}
        (folder / "content.json").write_bytes(answer.read())
        (folder / "headers.json").write_text(json.dumps(headers))


def resident_mb(process: int) -> float:
    """Resident memory of a process [MB]."""
    (kilobytes,) = re.findall(r"VmRSS:\s+(\d+)", Path(f"/proc/{process}/status").read_text())
    return int(kilobytes) / 1024


def measure_requests() -> None:
    """One fitting over HTTP, each server in turn, round after round: processor time a request, and the rate beside it."""
    for kind, path in KINDS.items():
        with tempfile.TemporaryDirectory() as folder:
            os.environ["ANSWERED"] = folder
            keep_answer(path, Path(folder))
            size = (Path(folder) / "content.json").stat().st_size
            times, rates, latencies, inside = measured_in_rounds(path)
        print(f"{kind}, {size} bytes, one worker, median of {ROUNDS} interleaved rounds of {SECONDS} s, 16 connections")
        for name, each in times.items():
            ratio = statistics.median(each) / statistics.median(times["Lathwind"])
            p50, p99 = latencies[name]
            print(
                f"  {name:24} {statistics.median(each):7.0f} µs of processor time  {statistics.median(rates[name]):7.0f} "
                f"requests/s   p50 {p50:>8} p99 {p99:>8}   Lathwind is {ratio:.2f} of it"
            )
        print(f"  {'Lathwind, no server':24} {statistics.median(inside):7.0f} µs of processor time, in the same rounds")


def measured_in_rounds(
    path: str,
) -> tuple[dict[str, list[float]], dict[str, list[float]], dict[str, tuple[str, str]], list[float]]:
    """Of each server by round: processor time of a request [µs], requests a second; latencies of the last round.

    At last the processor time of the application without a server: to be compared it has to be of the same rounds, since
    a machine's speed may differ by half from one minute to the next.
    """
    times: dict[str, list[float]] = {name: [] for name in SERVERS}
    rates: dict[str, list[float]] = {name: [] for name in SERVERS}
    latencies: dict[str, tuple[str, str]] = {}
    inside: list[float] = []
    with ExitStack() as stack:
        processes = {name: stack.enter_context(running(*server)).pid for name, server in SERVERS.items()}
        ways = {name: path if name == "Lathwind" else "/v1/fittings" for name in SERVERS}
        for name, (_, _, port) in SERVERS.items():
            wait(port)
            load_with_wrk(port, ways[name])
            wait_until_idle(processes[name])
        for _ in range(ROUNDS):
            for name, (_, _, port) in SERVERS.items():
                before_s = processor_s(processes[name])
                count, rate, *latencies[name] = load_with_wrk(port, ways[name])
                times[name].append((processor_s(processes[name]) - before_s) / count * 1e6)
                rates[name].append(rate)
            inside.append(measured_inside(path))
    return times, rates, latencies, inside


def measured_inside(path: str) -> float:
    """Processor time of a request [µs] that the application answers in a process without a server."""
    ran = subprocess.run(
        ["taskset", "-c", "0", sys.executable, "-P", __file__, "inside", path],
        stdout=subprocess.DEVNULL,  # log lines
        stderr=subprocess.PIPE,
        check=True,
    )
    return float(ran.stderr.split()[-1])


def answer_inside(path: str) -> None:
    """Answer requests for some time in this process, and tell the processor time of one on standard error."""
    app, body = create(), BODY.read_bytes()
    where, _, query = path.partition("?")
    scope = {
        "type": "http",
        "http_version": "1.1",
        "method": "POST",
        "path": where,
        "raw_path": where.encode(),
        "query_string": query.encode(),
        "headers": [(b"host", b"127.0.0.1"), (b"content-type", b"application/json"), (b"content-length", b"%d" % len(body))],
        "client": ("127.0.0.1", 1),
    }

    async def receive() -> dict[str, Any]:
        return {"type": "http.request", "body": body, "more_body": False}

    async def send(message: MutableMapping[str, Any]) -> None:
        assert message.get("status", 200) == 200, message

    async def answer() -> None:
        until = time.perf_counter() + 1
        count = 0
        before_s = time.process_time()
        while time.perf_counter() < until:
            await app({**scope}, receive, send)
            count += 1
        print((time.process_time() - before_s) / count * 1e6, file=sys.stderr)

    asyncio.run(answer())


def measure_start() -> None:
    """How soon the service answers, and what it holds then, before a first document."""
    app, flags, port = SERVERS["Lathwind"]
    taken = []
    for _ in range(ROUNDS):
        with running(app, flags, port, python=IMAGE_PYTHON) as process:
            taken.append(wait(port))
            before = resident_mb(process.pid)
    print(f"start to first answer: {statistics.median(taken):.2f} s, resident memory then {before:.0f} MB")


def stream_of(count: int) -> bytes:
    """A stream of so many openings, all different."""
    request = json.loads(BODY.read_bytes())
    lines = []
    for number in range(count):
        opening = {**request["opening"], "width_mm": 600 + number % 997, "height_mm": 700 + number % 1201}
        lines.append(json.dumps({**request, "reference": f"order {number}", "opening": opening}))
    return ("\n".join(lines) + "\n").encode()


def measure_batch() -> None:
    """Items of a batch and a stream in one worker: processor time of one, against the same in a loop; items a second."""
    count = 16_000  # as many as a batch may have commas for
    lines = stream_of(count)
    as_json = b'{"items":[' + b",".join(lines.splitlines()) + b"]}"
    shelf, decoder, some = stock(load(STANDARD)), BodyDecoder(FittingRequest), lines.splitlines()[::8]
    misfits = sum(b'"verdict":"does_not_fit"' in bytes(fitting(decoder.decode(line), shelf)) for line in some) / len(some)
    print(f"batch, one worker, {count} items, {misfits:.0%} of which do not fit; µs of processor time an item")
    app, flags, port = SERVERS["Lathwind"]
    with running(app, flags, port) as process:
        wait(port)
        wait_until_idle(process.pid)
        for fields in ("short", "figures", "full"):
            one = Batch(shelf, fields=fields, request_id="")
            before_s = time.process_time()
            for line in some:
                encode(one.answer(line).item)
            alone = (time.process_time() - before_s) / len(some) * 1e6
            print(f"  {fields:7} in a loop {alone:6.0f}")
            for kind, media_type, body in (
                ("batch", "application/json", as_json),
                ("stream", "application/x-ndjson", lines),
            ):
                before_s = processor_s(process.pid)
                seconds, received = post(port, f"/v1/fittings/{kind}?fields={fields}", media_type, body)
                taken = (processor_s(process.pid) - before_s) / count * 1e6
                assert received.count(b'"index":') == count
                print(
                    f"  {fields:7} {kind:9} {taken:6.0f}   {count / seconds:6.0f} items/s with curl on the other processor"
                )


def post(port: int, path: str, media_type: str, body: bytes) -> tuple[float, bytes]:
    """Seconds and the answer of one request with a large body; it reads while it writes, on the second core."""
    with tempfile.NamedTemporaryFile() as sent, tempfile.NamedTemporaryFile() as received:
        sent.write(body)
        sent.flush()
        started = time.perf_counter()
        subprocess.run(
            ["taskset", "-c", "1", "curl", "-sS", "-X", "POST", "-H", f"Content-Type: {media_type}", "-T", sent.name,
             "-o", received.name, f"http://127.0.0.1:{port}{path}"],
            check=True,
        )  # fmt: skip
        return time.perf_counter() - started, Path(received.name).read_bytes()


def measure_waiting() -> None:
    """How long a small request waits while a large batch, or sheets, are being made."""
    app, flags, port = SERVERS["Lathwind"]
    with running(app, flags, port):
        wait(port)
        print("a small request (one fitting) in the meantime, ms")
        for name, busy in {
            "nothing else": None,
            "a stream of 30 000": ("/v1/fittings/stream", "application/x-ndjson", stream_of(30_000)),
            "a batch of 16 000": (
                "/v1/fittings/batch?fields=short",
                "application/json",
                b'{"items":[' + b",".join(stream_of(16_000).splitlines()) + b"]}",
            ),
            "sheets, one after the other": ("/v1/sheets/fitting.pdf", "application/json", BODY.read_bytes()),
            "limits, one after the other": ("/v1/fittings/limits", "application/json", BODY.read_bytes()),
        }.items():
            waits = small_requests(port, busy)
            waits.sort()
            p50, p99 = waits[len(waits) // 2], waits[int(len(waits) * 0.99)]
            print(f"  {name:30} p50 {p50:7.2f}   p99 {p99:7.2f}   greatest {waits[-1]:7.2f}   ({len(waits)} requests)")


def small_requests(port: int, busy: tuple[str, str, bytes] | None) -> list[float]:
    """Milliseconds of small requests while another one is busy, over a few seconds at most."""
    done = threading.Event()

    def work() -> None:
        if busy is not None:
            path, media_type, body = busy
            post(port, path, media_type, body)
            while len(body) < 10_000 and time.perf_counter() < until:
                post(port, path, media_type, body)
        done.set()

    until = time.perf_counter() + 4
    working = threading.Thread(target=work)
    working.start()
    waits: list[float] = []
    connection = http.client.HTTPConnection("127.0.0.1", port)
    body = BODY.read_bytes()
    while not (done.is_set() and busy is not None) and time.perf_counter() < until:
        started = time.perf_counter()
        connection.request("POST", "/v1/fittings", body, {"Content-Type": "application/json"})
        connection.getresponse().read()
        waits.append((time.perf_counter() - started) * 1000)
        time.sleep(0.002)
    working.join()
    return waits


def measure_memory() -> None:
    """Resident memory of the worker over a stream of 200 000 lines."""
    app, flags, port = SERVERS["Lathwind"]
    lines = stream_of(200_000)
    with running(app, flags, port) as process:
        wait(port)
        post(port, "/v1/fittings/stream?fields=short", "application/x-ndjson", stream_of(2000))
        before = resident_mb(process.pid)
        seconds, received = post(port, "/v1/fittings/stream?fields=short", "application/x-ndjson", lines)
        assert received.endswith(b"}}\n")
        assert received.count(b'"index":') == 200_000
        grown = resident_mb(process.pid) - before
    print("a stream of 200 000 lines")
    print(f"  {len(lines) / 1e6:.0f} MB in, {len(received) / 1e6:.0f} MB out, {200_000 / seconds:.0f} items/s")
    print(f"  resident memory {before:.0f} MB before, {grown:+.1f} MB after")


def measure_growth() -> None:
    """Cost against height (slat count) and against a stream's length."""
    shelf, decoder = stock(load(STANDARD)), BodyDecoder(FittingRequest)
    request = json.loads(BODY.read_bytes())
    print("cost against height, µs a fitting")
    for height in (400, 800, 1600, 3000):
        request["opening"]["height_mm"] = height
        job = to_job(decoder.decode(json.dumps(request).encode()), shelf)
        found = fit(job)
        print(f"  {height:5} mm, {found.answer.curtain.slat_count:3} slats  {microseconds(lambda job=job: fit(job)):8.1f}")
    app, flags, port = SERVERS["Lathwind"]
    print("cost against a stream's length, µs an item (short)")
    with running(app, flags, port):
        wait(port)
        for count in (1000, 4000, 16_000, 64_000):
            seconds, _ = post(port, "/v1/fittings/stream?fields=short", "application/x-ndjson", stream_of(count))
            print(f"  {count:6} items  {seconds / count * 1e6:8.1f}")


def measure_documents() -> None:
    """Time and size of each document over HTTP, median of 20."""
    app, flags, port = SERVERS["Lathwind"]
    print("documents, median of 20 over HTTP")
    with running(app, flags, port):
        wait(port)
        body = BODY.read_bytes()
        for path in ("drawings/section.svg", "drawings/plan.svg", "drawings/front.svg", "drawings/plate.svg",
                     "drawings/plate.dxf", "drawings/plate.pdf", "sheets/fitting.pdf"):  # fmt: skip
            connection = http.client.HTTPConnection("127.0.0.1", port)
            taken = []
            for _ in range(21):
                started = time.perf_counter()
                connection.request("POST", f"/v1/{path}", body, {"Content-Type": "application/json"})
                content = connection.getresponse().read()
                taken.append((time.perf_counter() - started) * 1000)
            print(f"  {path:22} {statistics.median(taken[1:]):7.1f} ms  {len(content) / 1000:6.0f} kB")


def measure_soak() -> None:
    """A mixed load for as many minutes as `MINUTES` says, 20 without: what a minute brought, and whether memory drifts."""
    minutes, app, flags, port = float(os.environ.get("MINUTES", "20")), *SERVERS["Lathwind"]
    samples: list[float] = []
    waits: deque[float] = deque()
    with running(app, flags, port) as process:
        wait(port)
        wait_until_idle(process.pid)
        until = time.perf_counter() + minutes * 60
        callers = [threading.Thread(target=call_mixed, args=(port, until, waits)) for _ in range(SOAK_CALLERS)]
        for caller in callers:
            caller.start()
        print(f"a mixed load for {minutes:g} minutes")
        while any(caller.is_alive() for caller in callers):
            time.sleep(60 / SAMPLES_A_MINUTE)
            samples.append(resident_mb(process.pid))
            if len(samples) % SAMPLES_A_MINUTE == 0:
                ms = sorted(waits.popleft() for _ in range(len(waits)))
                descriptors, threads = (
                    sum(1 for _ in Path(f"/proc/{process.pid}/{what}").iterdir()) for what in ("fd", "task")
                )
                print(
                    f"  {len(ms) / 60:6.0f} small requests/s   p99 {ms[int(len(ms) * 0.99)]:6.1f} ms   "
                    f"{samples[-1]:5.0f} MB   {descriptors} descriptors   {threads} threads",
                    flush=True,
                )
    third = len(samples) // 3
    print(f"  drift from the first third to the last: {mean(samples[-third:]) - mean(samples[:third]):+.1f} MB")


def call_mixed(port: int, until: float, waits: deque[float]) -> None:
    """Ask for everything in turn, most often for what is small, whose time [ms] is noted."""
    body, connection = BODY.read_bytes(), http.client.HTTPConnection("127.0.0.1", port)
    small = [*((path, body, 200) for path in KINDS.values()), ("/v1/fittings", b"{}", 422)]
    batch = b'{"items":[' + b",".join([body] * 20) + b"]}"
    large = [("/v1/fittings/batch?fields=short", batch, 200), ("/v1/sheets/fitting.pdf", body, 200)]
    for path, content, status in itertools.cycle(small * 25 + large):
        started = time.perf_counter()
        if started > until:
            return
        connection.request("POST", path, content, {"Content-Type": "application/json"})
        answer = connection.getresponse()
        answer.read()
        assert answer.status == status, (path, answer.status)
        if status != 200 or path in KINDS.values():
            waits.append((time.perf_counter() - started) * 1000)


PARTS = {
    "engine": measure_engine,
    "start": measure_start,
    "requests": measure_requests,
    "batch": measure_batch,
    "waiting": measure_waiting,
    "memory": measure_memory,
    "growth": measure_growth,
    "documents": measure_documents,
    "soak": measure_soak,
}

if __name__ == "__main__":
    if sys.argv[1:2] == ["inside"]:
        answer_inside(sys.argv[2])
        sys.exit()
    print(f"core: {core.__file__.rpartition('.')[2]}")
    for part in sys.argv[1:] or (part for part in PARTS if part != "soak"):
        PARTS[part]()
