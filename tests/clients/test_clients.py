"""Clients are generated from the contract, compiled strictly, and call every operation of a service that wants a key.

Each program prints a figure of every answer, read through the generated types; the test reads the same figures from plain
JSON. That every operation was called is read from the service's log.
"""

import json
import re
import shutil
import subprocess
import sys
from pathlib import Path
from typing import NamedTuple

import httpx
import pytest
from serving import PATIENCE_S, process, until

from service.contract.examples import FITTINGS
from service.contract.operations import OPERATIONS
from service.web.keys import entry

HERE = Path(__file__).parent
TOP = HERE.parents[1]
CONTRACT = TOP / "openapi/openapi.json"
EXAMPLES = TOP / "openapi/examples"
TOOLS = Path(sys.executable).parent
KEY = "its-key"
TRUCK = FITTINGS["lock-gate-truck"].request
LOCKER = {
    "opening": {
        "survey": {"widths_mm": [300, 300], "heights_mm": [1900, 1900]},
        "headroom_mm": 330,
        "depth_mm": 620,
        "header_thickness_mm": 40,
    },
    "shutter": {"slat": "slim"},
}
"""Does not fit and can be cured; its survey has no diagonals."""
COILS = [{"slat_count": 30, "radius_mm": 64.5}, {"slat_count": 38, "radius_mm": 71}, {"slat_count": 44, "radius_mm": 75}]
ORDER = {
    "pieces": [
        {"profile": "slim", "length_mm": 1180, "count": 4},
        {"profile": "slim", "length_mm": 927.4, "count": 3, "reference": "weed-boat trailer"},
    ],
    "stock": [{"profile": "slim", "length_mm": 6500, "kerf_mm": 3.2}],
}
"""More than one bar and less than two: a plan of two bars is proven at once."""
JARS = ":".join(
    f"/usr/share/java/{name}.jar"
    for name in ("jackson-annotations", "jackson-core", "jackson-databind", "jakarta-annotation-api")
)
OPENAPI_GENERATOR = (TOOLS / "openapi-generator-cli", "generate", "-i", "openapi.json")
NO_TESTS = ("--global-property", "models,apis,supportingFiles,modelTests=false,apiTests=false,modelDocs=false,apiDocs=false")
TSC, NODE = ("node_modules/.bin/tsc",), ("node", "built/call.js")
MYPY = (TOOLS / "mypy", "--strict", "--follow-imports=silent", "call.py")


class Client(NamedTuple):
    """How the client of a folder is generated, its program compiled or checked, and run."""

    generate: tuple
    check: tuple
    call: tuple
    program: str


CLIENTS = {
    "openapi-fetch": Client(
        ("node_modules/.bin/openapi-typescript", "openapi.json", "-o", "client.ts"), TSC, NODE, "call.ts"
    ),
    "hey-api": Client(("node_modules/.bin/openapi-ts",), TSC, NODE, "call.ts"),
    "orval": Client(("node_modules/.bin/orval", "-i", "openapi.json", "-o", "client.ts"), TSC, NODE, "call.ts"),
    "typescript-fetch": Client(
        (
            *(*OPENAPI_GENERATOR, "-g", "typescript-fetch", "-o", "client"),
            *("--additional-properties", "importFileExtension=.js"),
        ),
        TSC,
        NODE,
        "call.ts",
    ),
    "openapi-python-client": Client(
        (
            *(TOOLS / "openapi-python-client", "generate", "--path", "openapi.json", "--fail-on-warning"),
            *("--meta", "none", "--config", "config.yaml", "--output-path", "client"),
        ),
        (*MYPY, "client/api", "client/models"),  # what is not of the contract is less strict
        (sys.executable, "call.py"),
        "call.py",
    ),
    "openapi-generator-python": Client(
        (*OPENAPI_GENERATOR, "-g", "python", "-o", ".", *NO_TESTS),
        MYPY,  # its client is not written to be as strict
        (sys.executable, "call.py"),
        "call.py",
    ),
    "openapi-generator-java": Client(
        (
            *(*OPENAPI_GENERATOR, "-g", "java", "--library", "native", "-o", ".", *NO_TESTS, "--additional-properties"),
            "containerDefaultToNull=true,openApiNullable=false,useJakartaEe=true,documentationProvider=none,sourceFolder=src",
        ),
        # -serial: exceptions and modules, which nobody serializes
        ("javac", "-Xlint:all,-serial", "-Werror", "-d", "built", "-cp", JARS, "-sourcepath", "src", "src/Call.java"),
        ("java", "-cp", f"built:{JARS}", "Call"),
        "src/Call.java",
    ),
}
CAST = re.compile(r"\bany\b|\bAny\b|\) as |@ts-|type: ignore|\bcast\(|@SuppressWarnings|= \(\w+\) ")
"""What would silence a compiler, in one of the languages."""

pytestmark = pytest.mark.heavy


def run(*command, cwd):
    """What a program prints; it must succeed."""
    ran = subprocess.run([str(word) for word in command], cwd=cwd, capture_output=True, text=True, check=False)
    assert ran.returncode == 0, ran.stdout + ran.stderr
    return ran.stdout


@pytest.fixture(scope="module")
def guarded(tmp_path_factory):
    """A service that wants a key: its address and its log."""
    folder = tmp_path_factory.mktemp("service")
    keys = folder / "keys.toml"
    keys.write_text(entry("caller", ("calculate", "batch", "documents", "metrics"), KEY))
    with process(folder, LATHWIND_KEYS_FILE=str(keys)) as (_, base, log):
        yield base, log


@pytest.fixture(scope="module")
def expected(guarded):
    """What each program must print, by operation; operations that no figure is told of are called all the same."""
    paths = {one.id: one.path for one in OPERATIONS}
    with httpx.Client(base_url=guarded[0], headers={"X-API-Key": KEY}, timeout=PATIENCE_S) as client:

        def asked(id, body=TRUCK, **query):
            return client.post(paths[id], json=body, params=query).raise_for_status()

        def sent(id, name, media_type, **query):
            headers = {"Content-Type": media_type, "X-Request-Id": "example"}
            return client.post(paths[id], content=(EXAMPLES / name).read_bytes(), params=query, headers=headers)

        def told(id, kind=""):
            return client.get(paths[id].replace("{kind}", kind)).raise_for_status()

        radius_mm = asked("calculateFitting").json()["coil"]["radius_mm"]
        documents = ("drawSection", "drawFront", "drawPlate", "exportPlate", "printSheet")
        return {
            "calculateFitting": [radius_mm, asked("calculateFitting", LOCKER).json()["coil"]["radius_mm"]],
            "verifyResult": ["identical", "identical"],
            "problem": ["/shutter/slat"],
            "calculateShort": [radius_mm],
            "calculateBatch": [f"{radius_mm},/shutter/slat"],
            "calculateStream": [
                len(sent("calculateStream", "evening-order.request.ndjson", "application/x-ndjson", fields="short").content)
            ],
            "calculateTable": [len(sent("calculateTable", "evening-order.request.csv", "text/csv").content)],
            "rankAlternatives": [len(asked("rankAlternatives").json()["alternatives"])],
            "findLimits": [len(asked("findLimits").json()["limits"])],
            **{id: [len(asked(id).content)] for id in documents},
            "drawPlan": [len(asked("drawPlan", title="none").content)],
            "printPlate": [len(asked("printPlate", paper="a3").content)],
            "calibrateSlat": [asked("calibrateSlat", {"slat": "slim", "tube": "T50", "coils": COILS}).json()["nesting"]],
            "planCutting": [2],  # by hand: 7502.2 mm of pieces, and a bar has 6500 mm
            **{id: [len(asked(id, ORDER).content)] for id in ("listCutting", "drawCutting")},
            "getCatalogue": [told("getCatalogue").json()["catalogue"]["id"]],
            "getRules": [len(told("getRules").json()["rules"])],
            "getWarnings": [len(told("getWarnings").json()["warnings"])],
            "getProblem": [told("getProblem", "busy").json()["status"]],
            "getLiveness": ["ok"],
            "getReadiness": ["ok"],
            "getMetrics": ["# HELP"],
            "getContract": [len(json.loads(CONTRACT.read_bytes()))],
        }


def answered(log, earlier):
    """The operations that were answered with 200 since an earlier line of the log."""
    lines = [json.loads(line) for line in log.read_text().splitlines()[earlier:]]
    return {one["operation"] for one in lines if one.get("status") == 200}


@pytest.mark.parametrize("folder", CLIENTS)
def test_a_generated_client_calls_every_operation_and_loses_nothing(folder, modules, guarded, expected, tmp_path):
    base, log = guarded
    client = CLIENTS[folder]
    made = shutil.copytree(HERE / folder, tmp_path / folder)
    for path in (CONTRACT, HERE / "tsconfig.json", HERE / "package.json"):
        shutil.copy(path, made)
    (made / "node_modules").symlink_to(modules)
    run(*client.generate, cwd=made)
    run(*client.check, cwd=made)
    earlier = len(log.read_text().splitlines())
    figures = {}
    for line in run(*client.call, base, KEY, EXAMPLES, cwd=made).splitlines():
        operation, figure = line.split(" ", 1)
        figures.setdefault(operation, []).append(figure)
    assert figures == {operation: [str(one) for one in told] for operation, told in expected.items()}
    every = {one.id for one in OPERATIONS}
    until(lambda: answered(log, earlier) >= every)  # log lines are gathered for a moment
    assert answered(log, earlier) == every


@pytest.mark.parametrize("folder", CLIENTS)
def test_no_program_asserts_a_type_that_the_generated_code_does_not_give(folder):
    assert CAST.findall((HERE / folder / CLIENTS[folder].program).read_text(encoding="utf-8")) == []
