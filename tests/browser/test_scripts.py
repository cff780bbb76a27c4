"""The pages' scripts judged without a browser: types and style."""

import json
import subprocess

import pytest

from service.web.static_page import FOLDER

pytestmark = pytest.mark.slow


def judged(program, *arguments, cwd):
    """What a program of package.json has to say; empty where it is content."""
    ran = subprocess.run([program, *arguments], cwd=cwd, capture_output=True, text=True, check=False)
    return ran.stdout + ran.stderr if ran.returncode else ""


def test_the_types_of_the_scripts_hold(node_modules):
    assert judged(node_modules / ".bin/tsc", "--project", node_modules.parent, cwd=FOLDER) == ""


def test_the_scripts_are_written_as_agreed(node_modules):
    config = node_modules.parent / "eslint.config.js"
    assert judged(node_modules / ".bin/eslint", "--max-warnings", "0", "--config", config, ".", cwd=FOLDER) == ""


@pytest.mark.parametrize(
    "fault", ['/** @type {number} */\nexport const wrong = "text";\n', "export const wrong = document.nothing();\n"]
)
def test_a_wrong_type_would_be_found(node_modules, tmp_path, fault):
    (tmp_path / "wrong.js").write_text(fault)
    config = node_modules.parent / "tsconfig.json"
    (tmp_path / "tsconfig.json").write_text(json.dumps({"extends": str(config), "include": ["*.js"]}))
    assert "error TS" in judged(node_modules / ".bin/tsc", "--project", tmp_path, cwd=tmp_path)
