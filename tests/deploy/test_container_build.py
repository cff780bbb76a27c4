"""The image is truly built, run as a cluster would run it, and called. Needs root and Debian's tools; takes minutes."""

import subprocess
from pathlib import Path

import pytest

SCRIPT = Path(__file__).parents[2] / "deploy/container/build-and-try"


@pytest.mark.heavy
@pytest.mark.minutes
def test_the_image_is_built_and_serves():
    ran = subprocess.run([SCRIPT], stdin=subprocess.DEVNULL, capture_output=True, text=True, check=False)
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
