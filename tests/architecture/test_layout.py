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


def committed() -> list[Path]:
    """Every file under version control."""
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=TOP, capture_output=True, check=True).stdout
    return [Path(name.decode()) for name in listed.split(b"\0") if name]


def test_the_top_level_is_fixed() -> None:
    top = {path.parts[0] for path in committed()}
    assert {name for name in top if not name.startswith(".")} <= ALLOWED_AT_TOP


@pytest.mark.parametrize("path", CORE, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_the_core_imports_the_standard_library_only(path: Path) -> None:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        names = [one.name for one in node.names] if isinstance(node, ast.Import) else []
        if isinstance(node, ast.ImportFrom):
            names = [node.module or ""]
        for name in names:
            assert name.partition(".")[0] in {*sys.stdlib_module_names, "service"}, name
            assert name.startswith("service.") <= name.startswith(("service.calculation", "service.audit")), name


def test_the_core_has_no_clock_no_files_and_no_chance() -> None:
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
