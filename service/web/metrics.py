"""Metrics in the text form of Prometheus. Labels are ids of our own tables only: never a path, a name or a reference.

A request only notes what happened; what is noted is counted when the numbers are asked for, once a second, and whenever
much has come together: many at once cost half of what each costs by itself in between other work.

With several worker processes each writes its numbers to a file of its own in the folder that `PROMETHEUS_MULTIPROC_DIR`
names, and whichever is asked adds them all up. The variable must be set before this module is first imported, so the
parent sets it (`shared_folder`) before it starts its workers. The folder should lie in memory (a full disk would kill
a worker in the middle of a request) and must be empty at the start; counts of workers that have died stay in.
"""

import asyncio
import os
from collections import Counter as Tally
from collections import deque
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from threading import Lock
from typing import get_args

from prometheus_client import CollectorRegistry, Counter, Gauge, Histogram, disable_created_metrics, generate_latest
from prometheus_client.exposition import CONTENT_TYPE_PLAIN_0_0_4
from prometheus_client.multiprocess import MultiProcessCollector

from service.calculation.checks import Verdict
from service.calculation.warnings import CODES
from service.contract.problems import KINDS

FOLDER = "PROMETHEUS_MULTIPROC_DIR"
MEDIA_TYPE = CONTENT_TYPE_PLAIN_0_0_4

MEMORY = Path("/dev/shm")  # noqa: S108 - a folder of a random name is made in it

METHODS = ("GET", "HEAD", "OPTIONS", "POST")
OUTCOMES = (*get_args(Verdict), "problem")
OTHER = "other"
"""Stands for whatever is not in our tables, so that a caller cannot invent label values."""

REQUEST_BUCKETS_S = (0.000_5, 0.001, 0.002_5, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 10.0, 60.0)
ENGINE_BUCKETS_S = (0.000_05, 0.000_1, 0.000_25, 0.000_5, 0.001, 0.002_5, 0.005, 0.01, 0.025, 0.1)

NOTED_MAX = 1000
"""Requests, or fittings, that are noted before they are counted."""
COUNTED_EVERY_S = 1.0

# when a series began is of no use here and would double their number
disable_created_metrics()  # type: ignore[no-untyped-call] # the library has no types here


@contextmanager
def shared_folder() -> Iterator[Path]:
    """An empty folder for the numbers of several workers, named to them by the environment; gone afterwards.

    Where the variable is set already, the operator's folder is used: emptied first, left there afterwards.
    """
    given = os.environ.get(FOLDER)
    if given:
        folder = Path(given)
        folder.mkdir(parents=True, exist_ok=True)
        for left_over in folder.glob("*.db"):
            left_over.unlink()
        yield folder
        return
    with TemporaryDirectory(prefix="lathwind-metrics-", dir=MEMORY if MEMORY.is_dir() else None) as made:
        os.environ[FOLDER] = made
        try:
            yield Path(made)
        finally:
            del os.environ[FOLDER]


class Metrics:
    """What is counted and timed. Series of known labels are there from the start, at zero."""

    def __init__(self, operations: Iterable[str]) -> None:
        """Count requests for operations by their ids."""
        self._registry = registry = CollectorRegistry()
        requests = Counter("lathwind_requests", "Requests answered.", ("operation", "method", "status"), registry=registry)
        seconds = Histogram(
            "lathwind_request_seconds",
            "Time from the first byte of a request to the last of its answer.",
            ("operation",),
            buckets=REQUEST_BUCKETS_S,
            registry=registry,
        )
        verdicts = Counter("lathwind_verdicts", "Fittings calculated, alone or in a batch.", ("verdict",), registry=registry)
        warnings = Counter("lathwind_warnings", "Warnings in answers.", ("code",), registry=registry)
        items = Counter("lathwind_batch_items", "Items of batches.", ("outcome",), registry=registry)
        told = "Requests answered with a problem, and items of batches that failed by a fault of ours."
        rejected = Counter("lathwind_rejected", told, ("kind",), registry=registry)
        self._build = Gauge(
            "lathwind_build_info",
            "1 for what is running.",
            ("version", "catalogue", "catalogue_sha256"),
            multiprocess_mode="mostrecent",
            registry=registry,
        )
        self._engine = Histogram(
            "lathwind_engine_seconds",
            "Time of one calculation, without reading and writing.",
            buckets=ENGINE_BUCKETS_S,
            registry=registry,
        )
        self._requests = requests
        self._seconds = {id: seconds.labels(id) for id in (*operations, OTHER)}
        self._verdicts = {verdict: verdicts.labels(verdict) for verdict in get_args(Verdict)}
        self._warnings = {code: warnings.labels(code) for code in (*CODES, OTHER)}
        self._items = {outcome: items.labels(outcome) for outcome in OUTCOMES}
        self._rejected = {kind: rejected.labels(kind) for kind in (*KINDS, OTHER)}
        self._running: Gauge | None = None
        self._counting = Lock()
        self._answered: deque[tuple[str, str, int, float]] = deque()
        self._calculated: deque[tuple[Verdict, Iterable[str], float]] = deque()

    def running(self, *, version: str, catalogue: str, catalogue_sha256: str) -> None:
        """Say what is running: at the start, and again when the catalogue has changed."""
        if self._running is not None:
            self._running.set(0)
        self._running = self._build.labels(version, catalogue, catalogue_sha256)
        self._running.set(1)

    def request(self, operation: str, method: str, status: int, seconds: float) -> None:
        """One request was answered; `operation` is empty where the path belongs to none."""
        self._answered.append((operation, method, status, seconds))
        if len(self._answered) >= NOTED_MAX:
            self.count()

    def calculated(self, verdict: Verdict, codes: Iterable[str], seconds: float) -> None:
        """One fitting was calculated: its verdict, the codes of its warnings, the engine's time."""
        self._calculated.append((verdict, codes, seconds))
        if len(self._calculated) >= NOTED_MAX:
            self.count()

    def count(self) -> None:
        """Count what is noted. Other threads may note more meanwhile, and count when this one is done."""
        with self._counting:
            self._count()

    def _count(self) -> None:
        """Count what is noted, alone."""
        requests, verdicts, warnings = Tally[tuple[str, str, int]](), Tally[Verdict](), Tally[str]()
        for _ in range(len(self._answered)):
            operation, method, status, seconds = self._answered.popleft()
            operation = operation if operation in self._seconds else OTHER
            requests[operation, method if method in METHODS else OTHER, status] += 1
            self._seconds[operation].observe(seconds)
        for _ in range(len(self._calculated)):
            verdict, codes, seconds = self._calculated.popleft()
            verdicts[verdict] += 1
            warnings.update(codes)
            self._engine.observe(seconds)
        for labels, times in requests.items():
            self._requests.labels(*labels).inc(times)
        for verdict, times in verdicts.items():
            self._verdicts[verdict].inc(times)
        for code, times in warnings.items():
            self._warnings.get(code, self._warnings[OTHER]).inc(times)

    async def keep_counting(self) -> None:
        """Count for ever, so that other workers' answers have the numbers of this one."""
        while True:
            await asyncio.sleep(COUNTED_EVERY_S)
            self.count()

    def item(self, outcome: str) -> None:
        """One item of a batch was answered: its verdict, or `problem`."""
        self._items[outcome].inc()

    def rejected(self, kind: str) -> None:
        """One request was answered with a problem, or an item of a batch with a fault of ours."""
        self._rejected.get(kind, self._rejected[OTHER]).inc()

    def render(self) -> bytes:
        """Everything, of all workers where there are several: theirs as of at most a second ago."""
        self.count()
        if FOLDER not in os.environ:
            return generate_latest(self._registry)
        together = CollectorRegistry()
        MultiProcessCollector(together)  # type: ignore[no-untyped-call] # the same
        return generate_latest(together)
