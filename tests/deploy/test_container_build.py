"""The image is truly built, run as a cluster would run it, and called. Needs root and Debian's tools; takes minutes."""

import subprocess
from pathlib import Path

import pytest
from image import BUILD

TOP = Path(__file__).parents[2]


@pytest.mark.heavy
def test_the_image_is_built_and_serves() -> None:
    told_all, code = BUILD.ended()
    assert code == 0, told_all
    for told in (
        "the answer as beside the example",
        "health check of the image: passed",
        "user 10001, no capabilities, read-only root, no installer, core compiled",
        "packages, all locked",
        "all licences allowed",
        "ended by itself after SIGTERM",
    ):
        assert told in told_all


@pytest.mark.heavy
def test_the_proxy_can_read_its_file() -> None:
    command = ["haproxy", "-c", "-f", TOP / "deploy/proxy/haproxy.cfg"]
    ran = subprocess.run(command, capture_output=True, text=True, check=False)
    assert ran.returncode == 0, ran.stdout + ran.stderr
    assert "WARNING" not in ran.stdout + ran.stderr
