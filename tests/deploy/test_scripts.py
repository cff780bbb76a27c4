"""The scripts of `deploy` where something is in the way: they say so, or do it anew."""

import os
import shutil
import socket
import stat
import subprocess
import sys
from pathlib import Path

import pytest
from serving import process

from service.web.keys import entry

TOP = Path(__file__).parents[2]

PYTHON = """#!/bin/sh
# stands for Python and notes what it is asked for
case "$*" in
  -) exit 0 ;;
  "-m venv --clear .venv") rm -rf .venv; mkdir -p .venv/bin; cp "$0" .venv/bin/python; echo made >> calls ;;
  *"--require-hashes -r deploy/hashes.txt -r deploy/hashes-build.txt -r deploy/hashes-test.txt")
    echo "installed test" >> calls; exit "${INSTALLING_ENDS:-0}" ;;
  *"--require-hashes -r deploy/hashes.txt -r deploy/hashes-build.txt")
    echo installed >> calls; exit "${INSTALLING_ENDS:-0}" ;;
  *"--no-deps --no-build-isolation -e .") exit 0 ;;
  *) exit 9 ;;
esac
"""


def test_a_taken_port_is_told_before_anything_is_done():
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        ran = subprocess.run(
            [TOP / "deploy/serve"],
            env={**os.environ, "LATHWIND_PORT": str(port)},
            capture_output=True,
            text=True,
            check=False,
        )
    assert (ran.returncode, ran.stdout) == (1, "")
    assert f"Another program answers at 127.0.0.1, port {port} already" in ran.stderr


def test_the_first_request_says_that_a_key_is_needed(tmp_path):
    keys = tmp_path / "keys.toml"
    keys.write_text(entry("shop", ("calculate",), "shop-key-nobody-guesses"))
    with process(tmp_path, LATHWIND_KEYS_FILE=str(keys)) as (running, base, _):
        command = [sys.executable, TOP / "deploy/first_request.py", base, str(running.pid)]
        ran = subprocess.run(command, capture_output=True, text=True, check=True, cwd=TOP)
    assert "refused" not in ran.stdout
    assert "The service has keys" in ran.stdout
    assert "curl -H 'X-API-Key: YOUR-KEY' -H 'Content-Type: application/json'" in ran.stdout


class Environment:
    """A folder with the script and a Python that only notes its calls."""

    def __init__(self, folder):
        """Make it, with a first lock."""
        (folder / "deploy").mkdir()
        shutil.copy(TOP / "deploy/environment", folder / "deploy/environment")
        python = folder / "python"
        python.write_text(PYTHON)
        python.chmod(python.stat().st_mode | stat.S_IXUSR)
        (folder / "pyproject.toml").touch()
        self.folder, self.python = folder, python
        self.lock("one==1")

    def lock(self, text):
        """Lock other versions."""
        (self.folder / "deploy/hashes.txt").write_text(text)

    def run(self, *extra, ends=0):
        """What is done for it."""
        calls = self.folder / "calls"
        calls.unlink(missing_ok=True)
        environment = {**os.environ, "PYTHON": str(self.python), "INSTALLING_ENDS": str(ends)}
        ran = subprocess.run(
            [self.folder / "deploy/environment", *extra], env=environment, check=False, stderr=subprocess.PIPE
        )
        assert ran.returncode == ends, ran.stderr
        return calls.read_text().splitlines() if calls.exists() else []


@pytest.fixture
def environment(tmp_path):
    return Environment(tmp_path)


def test_an_environment_is_made_once(environment):
    assert environment.run("test") == ["made", "installed test"]
    assert environment.run() == ["installed"]
    assert environment.run("test") == environment.run() == []


def test_another_lock_is_installed_and_the_first_one_again(environment):
    environment.run()
    environment.lock("one==2")
    assert environment.run() == ["installed"]
    environment.lock("one==1")
    assert environment.run() == ["installed"]
    assert environment.run("test") == ["installed test"]


def test_what_was_begun_and_never_finished_is_made_anew(environment):
    assert environment.run(ends=1) == ["made", "installed"]
    assert environment.run() == ["made", "installed"]
    environment.lock("one==2")
    assert environment.run(ends=1) == ["installed"]
    assert environment.run() == ["made", "installed"]
