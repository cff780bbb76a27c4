"""Measures: the engine, one fitting over HTTP beside programs that do nothing, start-up and memory."""

import os
import re
import statistics
import subprocess
import sys
import time
import timeit
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.error import URLError
from urllib.request import urlopen

from service.audit.recorder import Recorder
from service.calculation.fitting import fit
from service.calculation.place import choose
from service.catalogue.loader import STANDARD, load
from service.contract.decoding import BodyDecoder
from service.contract.fittings import encode, fitting
from service.contract.jobs import to_job
from service.contract.requests import FittingRequest
from service.contract.shelf import stock

BODY = Path("openapi/examples/lock-gate-truck.request.json")
ROUNDS = 5
SECONDS = 3
SERVERS = {
    "Lathwind": ("service.app:create", ["--factory"], 8101),
    "Litestar, nothing": ("nothing_litestar:app", [], 8102),
    "FastAPI, nothing": ("nothing_fastapi:app", [], 8103),
}


def microseconds(call: Callable[[], object], times: int = 2000) -> float:
    """The best of five means [µs]."""
    return min(timeit.repeat(call, number=times, repeat=5)) / times * 1e6


def measure_engine() -> None:
    """The calculation alone, block by block."""
    shelf, decoder, body = stock(load(STANDARD)), BodyDecoder(FittingRequest), BODY.read_bytes()
    request = decoder.decode(body)
    job = to_job(request, shelf)
    print("engine, µs a fitting")
    for name, call in {
        "choice of the place": lambda: choose(job),
        "whole fitting": lambda: fit(job),
        "whole fitting with trace": lambda: fit(job, use=Recorder()),
        "decode": lambda: decoder.decode(body),
        "decode, calculate, digest, encode": lambda: encode(fitting(decoder.decode(body), shelf)),
    }.items():
        print(f"  {name:36} {microseconds(call):8.1f}")


@contextmanager
def running(app: str, flags: list[str], port: int) -> Iterator[subprocess.Popen[bytes]]:
    """One uvicorn worker on the first core; wrk runs on the second."""
    command = [sys.executable, "-m", "uvicorn", app, *flags, "--port", str(port), "--loop", "uvloop", "--http", "httptools"]
    environment = {**os.environ, "PYTHONPATH": f"{Path.cwd()}:{Path(__file__).parent}", "LATHWIND_LOG_LEVEL": "info"}
    process = subprocess.Popen(
        ["taskset", "-c", "0", *command, "--no-access-log", "--log-level", "warning"],
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
    while time.perf_counter() - started < 20:
        try:
            with urlopen(f"http://127.0.0.1:{port}/health/live", timeout=1):
                break
        except URLError as error:
            if "HTTP Error" in str(error):
                break
            time.sleep(0.005)
    return time.perf_counter() - started


def load_with_wrk(port: int) -> tuple[float, str, str]:
    """Requests a second, and the latency's 50th and 99th percentile."""
    ran = subprocess.run(
        ["taskset", "-c", "1", "wrk", "-t1", "-c16", f"-d{SECONDS}s", "--latency", "-s", "deploy/bench/post.lua",
         f"http://127.0.0.1:{port}/v1/fittings"],
        env={**os.environ, "BODY": str(BODY)},
        capture_output=True,
        text=True,
        check=True,
    )
    assert "Non-2xx" not in ran.stdout, ran.stdout
    percentiles = dict(re.findall(r"^\s+(50|99)%\s+(\S+)", ran.stdout, re.MULTILINE))
    (rate,) = re.findall(r"Requests/sec:\s+([\d.]+)", ran.stdout)
    return float(rate), percentiles["50"], percentiles["99"]


def resident_mb(process: int) -> float:
    """Resident memory of a process [MB]."""
    (kilobytes,) = re.findall(r"VmRSS:\s+(\d+)", Path(f"/proc/{process}/status").read_text())
    return int(kilobytes) / 1024


def measure_requests() -> None:
    """One fitting over HTTP, each server in turn, round after round."""
    rates: dict[str, list[float]] = {name: [] for name in SERVERS}
    latencies: dict[str, tuple[str, str]] = {}
    for name, (app, flags, port) in SERVERS.items():
        with running(app, flags, port):
            print(f"start to first answer, {name}: {wait(port):.2f} s")
    for _ in range(ROUNDS):
        for name, (app, flags, port) in SERVERS.items():
            with running(app, flags, port) as process:
                wait(port)
                rate, *latencies[name] = load_with_wrk(port)
                rates[name].append(rate)
                if name == "Lathwind":
                    memory = resident_mb(process.pid)
    print(f"one fitting over HTTP, one worker, median of {ROUNDS} interleaved rounds of {SECONDS} s, 16 connections")
    for name, all_rates in rates.items():
        rate = statistics.median(all_rates)
        ratio = statistics.median(rates["Lathwind"]) / rate
        p50, p99 = latencies[name]
        print(f"  {name:20} {rate:8.0f} requests/s   p50 {p50:>8} p99 {p99:>8}   Lathwind is {ratio:.2f} of it")
    print(f"  resident memory of the worker after the load: {memory:.0f} MB")


PARTS = {"engine": measure_engine, "requests": measure_requests}

if __name__ == "__main__":
    for part in sys.argv[1:] or PARTS:
        PARTS[part]()
