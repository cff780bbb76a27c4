"""The locked versions and the locked files are of one kind, complete, and name no place to get them from."""

import re
import subprocess

import pytest
from deploy.known import TOP

CONSTRAINTS = TOP / "deploy/constraints.txt"
HASHES = sorted((TOP / "deploy").glob("hashes*.txt"))
REQUIREMENT = re.compile(r"([\w.-]+)(?:\[[\w,-]+\])?==([\w.!+-]+)( ; [^\\]+)?((?: \\\n    --hash=sha256:[0-9a-f]{64})+)\n")


def plain(name):
    """A package's name as the index compares names."""
    return re.sub(r"[-_.]+", "-", name).lower()


def constrained():
    """Every locked version by its package's name."""
    lines = CONSTRAINTS.read_text(encoding="utf-8").splitlines()
    return {plain(name): version for name, _, version in (line.partition("==") for line in lines)}


def hashed(path):
    """The versions of a file whose packages are locked by their hashes."""
    return {plain(name): version for name, version, _, _ in REQUIREMENT.findall(path.read_text(encoding="utf-8"))}


def test_constraints_are_names_and_versions_only():
    assert all(re.fullmatch(r"[\w.-]+==[\w.!+-]+", line) for line in CONSTRAINTS.read_text(encoding="utf-8").splitlines())


@pytest.mark.parametrize("path", HASHES, ids=[path.name for path in HASHES])
def test_every_package_is_locked_by_hashes_and_to_the_version_of_the_constraints(path):
    # nothing is left over: no index, no host, no package without a hash
    assert REQUIREMENT.sub("", path.read_text(encoding="utf-8")) == ""
    assert hashed(path)
    assert hashed(path).items() <= constrained().items()


def test_what_runs_and_what_builds_is_all_that_the_image_gets():
    assert {path.name for path in HASHES} == {"hashes.txt", "hashes-build.txt", "hashes-test.txt", "hashes-traces.txt"}
    assert {"litestar", "msgspec", "uvicorn"} <= hashed(TOP / "deploy/hashes.txt").keys()
    assert not {"pytest", "mypy", "hatchling"} & hashed(TOP / "deploy/hashes.txt").keys()
    dockerfile = (TOP / "Dockerfile").read_text(encoding="utf-8")
    assert set(re.findall(r"install (\S+) -r deploy/(\S+)", dockerfile)) == {
        ("--require-hashes", "hashes.txt"),
        ("--require-hashes", "hashes-build.txt"),
    }


def test_another_file_than_the_locked_one_is_refused(tmp_path):
    (tmp_path / "invented-1-py3-none-any.whl").write_bytes(b"another file")
    (tmp_path / "locked.txt").write_text(f"invented==1 --hash=sha256:{'0' * 64}\n")
    command = [TOP / ".venv/bin/python", "-m", "pip", "install", "--dry-run", "--no-index", "--find-links", tmp_path]
    ran = subprocess.run(
        [*command, "--require-hashes", "-r", tmp_path / "locked.txt"], capture_output=True, text=True, check=False
    )
    assert ran.returncode != 0
    assert "DO NOT MATCH THE HASHES" in ran.stderr
