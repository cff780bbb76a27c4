"""The programs to copy from `openapi/examples` do, as they stand, what they say."""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from service.contract.examples import FITTINGS
from service.contract.operations import INCLUDE

EXAMPLES = Path(__file__).parents[2] / "openapi/examples"
WHOLE = [EXAMPLES / f"{name}.answer.json" for name in FITTINGS]


def printed(*command):
    """What a program prints, by lines; it must succeed."""
    return subprocess.run([sys.executable, *command], capture_output=True, text=True, check=True).stdout.splitlines()


def judged(path):
    """What the program for digests says of an answer's request and of its result."""
    (line,) = printed(EXAMPLES / "digests.py", path)
    return line.removeprefix(f"{path}: ")


GENUINE = "request as stored, result as stored"


def test_a_stranger_recomputes_the_digests_of_all_examples():
    # independent program: hashlib and rfc8785, by the contract's words alone
    assert printed(EXAMPLES / "digests.py", *WHOLE) == [f"{path}: {GENUINE}" for path in WHOLE]


@pytest.mark.parametrize("path", ["/v1/fittings", "/v1/fittings/short"])
def test_a_stranger_recomputes_the_digests_of_what_is_answered(client, tmp_path, path):
    query = {"include": INCLUDE.choices} if path == "/v1/fittings" else {}
    answer = client.post(path, json=FITTINGS["pole-locker"].request, params=query)
    (tmp_path / "answer.json").write_bytes(answer.content)
    assert judged(tmp_path / "answer.json") == GENUINE


@pytest.mark.parametrize(
    ("member", "told"),
    [
        ("verdict", "request as stored, result ALTERED"),
        ("audit", "request ALTERED, result as stored"),
    ],
)
def test_a_stranger_sees_what_was_altered(tmp_path, member, told):
    answer = json.loads(WHOLE[0].read_bytes())
    if member == "audit":
        answer["audit"]["request"]["opening"]["width_mm"] += 1
    else:
        answer[member] = "does_not_fit"
    (tmp_path / "answer.json").write_text(json.dumps(answer))
    assert judged(tmp_path / "answer.json") == told


def test_the_program_in_python_is_answered(service):
    refused, fits, *_, verified = printed(EXAMPLES / "call.py", service)
    assert refused.startswith("refused: /opening/width_mm ")
    assert fits.startswith("fits - coil radius 80.333 mm, bracket hole row 0, column 6")
    assert verified == "verified: identical"


@pytest.mark.heavy
def test_the_program_in_typescript_compiles_as_it_says_and_is_answered(service, modules, tmp_path):
    shutil.copy(EXAMPLES / "call.ts", tmp_path)
    (tmp_path / "package.json").write_text('{"type": "module"}')
    (tmp_path / "node_modules").symlink_to(modules)
    commands = [
        line.removeprefix("//   npx ").replace("http://127.0.0.1:8000", service)
        for line in (tmp_path / "call.ts").read_text(encoding="utf-8").splitlines()
        if line.startswith("//   npx ")
    ]
    for command in " && ".join(commands).replace("[ADDRESS [KEY]]", service).split(" && "):
        program, *arguments = command.split()
        found = shutil.which(program, path=f"{modules / '.bin'}{os.pathsep}{os.environ['PATH']}")
        ran = subprocess.run([found, *arguments], cwd=tmp_path, capture_output=True, text=True, check=False)
        assert ran.returncode == 0, ran.stdout + ran.stderr
    refused, fits, *_, verified = ran.stdout.splitlines()
    assert refused.startswith("refused: /opening/width_mm ")
    assert fits.startswith("fits - coil radius 80.333 mm, bracket hole row 0, column 6")
    assert verified == "verified: identical"
