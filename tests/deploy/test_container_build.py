"""The image is truly built, run as a cluster would run it, and called. Needs root and Debian's tools; takes minutes."""

import subprocess
from pathlib import Path

import pytest

TOP = Path(__file__).parents[2]


@pytest.mark.heavy
def test_the_image_is_built_and_serves() -> None:
    ran = subprocess.run(
        [TOP / "deploy/container/build-and-try"],
        capture_output=True,
        text=True,
        check=False,
        timeout=1800,
        stdin=subprocess.DEVNULL,
    )
    assert ran.returncode == 0, ran.stdout + ran.stderr
    for told in (
        "the answer as beside the example",
        "health check of the image: passed",
        "user 10001, no capabilities, read-only root, no installer, core compiled",
        "packages, all locked",
        "all licences allowed",
        "ended by itself after SIGTERM",
    ):
        assert told in ran.stdout


@pytest.mark.heavy
def test_the_proxy_can_read_its_file() -> None:
    command = ["haproxy", "-c", "-f", TOP / "deploy/proxy/haproxy.cfg"]
    ran = subprocess.run(command, capture_output=True, text=True, check=False)
    assert ran.returncode == 0, ran.stdout + ran.stderr
    assert "WARNING" not in ran.stdout + ran.stderr
