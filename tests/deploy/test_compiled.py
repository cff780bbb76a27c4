"""The core compiled is the plain core, only faster: the same answers to the last bit, traces included."""

import json
import os
import subprocess
import sys
from pathlib import Path

import httpx
import pytest
from serving import PATIENCE_S, process

TOP = Path(__file__).parents[2]


def answers(path):
    """What the package in a folder answers."""
    ran = subprocess.run(
        [sys.executable, TOP / "tests/deploy/answers.py"],
        env={**os.environ, "PYTHONPATH": str(path)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert ran.returncode == 0, ran.stderr
    return dict(json.loads(ran.stdout))


@pytest.mark.heavy
@pytest.mark.minutes
def test_the_compiled_core_gives_the_same_answers_to_the_last_bit(tmp_path):
    folder = tmp_path / "compiled"
    ran = subprocess.run([TOP / "deploy/compiled", folder], capture_output=True, text=True, check=False)
    assert ran.returncode == 0, ran.stdout + ran.stderr
    plain, compiled = answers(TOP), answers(folder)
    assert plain["core"].endswith(".py")
    assert compiled["core"].endswith(".so")
    assert compiled["rules"] == plain["rules"]
    assert len(set(plain["digests"])) > 300
    assert compiled["digests"] == plain["digests"]
    # without PYTHONSAFEPATH the plain package in the working folder would come first
    with process(tmp_path, PYTHONPATH=str(folder), PYTHONSAFEPATH="1") as (running, base, _):
        assert str(folder) in Path(f"/proc/{running.pid}/maps").read_text(encoding="utf-8")
        assert httpx.get(f"{base}/health/ready", timeout=PATIENCE_S).status_code == 200
