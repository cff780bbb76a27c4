"""A soak, run by hand: `.venv/bin/python tests/load/soak.py MINUTES`. Mixed load on a service of its own, on loopback.

It ends by itself and tells requests, failures, and the service's memory minute by minute.
"""

import json
import random
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

import httpx

sys.path.insert(0, str(Path(__file__).parents[1]))

from load.callers import resident_mb
from serving import process

from service.contract.examples import FITTINGS

REQUESTS = [one.request for one in FITTINGS.values()]
LINES = b"".join(json.dumps(one).encode() + b"\n" for one in REQUESTS * 100)
PATHS = (
    *("/v1/fittings",) * 200,
    *("/v1/fittings?include=trace&include=geometry",) * 10,
    "/v1/fittings/alternatives",
    "/v1/fittings/limits",
    "/v1/drawings/section.svg",
    "/v1/drawings/plan.svg",
    "/v1/drawings/front.svg",
    "/v1/drawings/plate.dxf",
    "/v1/sheets/fitting.pdf",
    "/v1/fittings/stream",
)


def main(minutes):
    """Send mixed requests for some minutes."""
    chance = random.Random(7)
    statuses = Counter()
    with tempfile.TemporaryDirectory() as folder, process(Path(folder)) as (running, base, _):
        with httpx.Client(base_url=base, timeout=60) as client:
            started = told = time.monotonic()
            while time.monotonic() - started < minutes * 60:
                path = chance.choice(PATHS)
                if path.endswith("stream"):
                    headers = {"Content-Type": "application/x-ndjson"}
                    answer = client.post(path, content=LINES, headers=headers)
                else:
                    answer = client.post(path, json=chance.choice(REQUESTS))
                statuses[answer.status_code] += 1
                if time.monotonic() - told > 60:
                    told = time.monotonic()
                    print(
                        f"{(told - started) / 60:4.0f} min  {resident_mb(running.pid):6.1f} MB  {dict(statuses)}", flush=True
                    )
        print(f"end: {resident_mb(running.pid):.1f} MB, {dict(statuses)}")


if __name__ == "__main__":
    main(float(sys.argv[1]))
