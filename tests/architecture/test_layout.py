"""The shape of the project: what lies where, what the core may import, what no file may say."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

TOP = Path(__file__).parents[2]
CORE = sorted([*(TOP / "service/calculation").glob("*.py"), *(TOP / "service/audit").glob("*.py")])
ALLOWED_AT_TOP = {
    "README.md",
    "DEVELOPERS.md",
    "pyproject.toml",
    "service",
    "openapi",
    "tests",
    "Dockerfile",
    "deploy",
}


def committed():
    """Every file under version control."""
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=TOP, capture_output=True, check=True).stdout
    return [Path(name.decode()) for name in listed.split(b"\0") if name]


def test_the_top_level_is_fixed():
    top = {path.parts[0] for path in committed()}
    assert {name for name in top if not name.startswith(".")} <= ALLOWED_AT_TOP


def imported(path):
    """The names of the modules that a file of the core imports, relative ones made whole."""
    package = f"service.{path.parent.name}".split(".")
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (one.name for one in node.names)
        elif isinstance(node, ast.ImportFrom):
            above = ".".join(package[: len(package) - node.level + 1]) if node.level else ""
            yield ".".join(filter(None, (above, node.module)))


@pytest.mark.parametrize("path", CORE, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_the_core_imports_the_standard_library_only(path):
    for name in imported(path):
        assert name.partition(".")[0] in {*sys.stdlib_module_names, "service"}, name
        assert name.startswith("service.") <= name.startswith(("service.calculation", "service.audit")), name


@pytest.mark.parametrize("path", [one for one in CORE if one.parent.name == "calculation"], ids=lambda path: path.name)
def test_the_calculation_imports_itself_relatively(path):
    # else the noting copy of the package would fetch the originals
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom):
            assert node.level or not (node.module or "").startswith("service"), path


def test_the_core_has_no_clock_no_files_and_no_chance():
    for path in CORE:
        imported = {
            alias.name.partition(".")[0]
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
            if isinstance(node, ast.Import | ast.ImportFrom)
            for alias in node.names
        } | {
            (node.module or "").partition(".")[0]
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
            if isinstance(node, ast.ImportFrom)
        }
        assert not imported & {"time", "datetime", "random", "os", "pathlib", "logging", "io", "socket"}, path
