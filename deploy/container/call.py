"""Calls a service that has just started: its readiness, all it has to show, everything that takes one fitting.

What is called comes from the contract; the answer of the example must be the one beside it.
"""

import json
import re
import sys
import time
from pathlib import Path
from typing import Any
from urllib.error import HTTPError
from urllib.parse import urljoin
from urllib.request import Request, urlopen

OPENAPI = Path("openapi/openapi.json")
EXAMPLE = Path("openapi/examples/lock-gate-truck.request.json")
ANSWER = Path("openapi/examples/lock-gate-truck.answer.json")
FITTING_REQUEST = "#/components/schemas/FittingRequest"
PATIENCE_S = 60.0


def wait(base: str) -> float:
    """The seconds until the service was ready; exit when it is not in time."""
    started = time.monotonic()
    while (waited_s := time.monotonic() - started) < PATIENCE_S:
        try:
            with urlopen(f"{base}/health/ready", timeout=5) as response:
                json.load(response)
                return waited_s
        except OSError:
            time.sleep(0.05)
    sys.exit(f"The service was not ready within {PATIENCE_S:g} s.")


def call(url: str, body: bytes | None = None) -> bytes:
    """The body of a good answer; exit at any other."""
    request = Request(url, body, {"Content-Type": "application/json"} if body else {})
    try:
        with urlopen(request, timeout=PATIENCE_S) as response:
            return bytes(response.read())
    except HTTPError as error:
        sys.exit(f"{url}: {error.code} {error.read().decode(errors='replace')}")


def takes_one_fitting(operation: dict[str, Any]) -> bool:
    """Whether an operation's body is the request for one fitting, in JSON."""
    content = operation.get("requestBody", {}).get("content", {})
    return bool(content.get("application/json", {}).get("schema") == {"$ref": FITTING_REQUEST})


def main() -> None:
    """Call everything and say what came back."""
    base = sys.argv[1]
    print(f"ready after {wait(base):.2f} s")
    example = EXAMPLE.read_bytes()
    if json.loads(call(f"{base}/v1/fittings", example)) != json.loads(ANSWER.read_bytes()):
        sys.exit(f"The answer to {EXAMPLE} is not {ANSWER}.")
    called = ["POST /v1/fittings, the answer as beside the example"]
    for path, item in json.loads(OPENAPI.read_bytes())["paths"].items():
        if "get" in item and "{" not in path:
            called.append(f"GET {path}, {len(call(base + path))} bytes")
        if takes_one_fitting(item.get("post", {})):
            called.append(f"POST {path}, {len(call(base + path, example))} bytes")
    for page in ("/desk", "/docs"):
        html = call(f"{base}{page}").decode()
        links = sorted({urljoin(page, link) for link in re.findall(r'(?:src|href)="([^":]+)"', html)})
        called += [f"GET {link} of {page}, {len(call(base + link))} bytes" for link in links]
    print(*called, sep="\n")


if __name__ == "__main__":
    main()
