"""What a production install brings along may be used; what may not is found."""

import runpy
import subprocess
import sys
from importlib.metadata import PathDistribution
from pathlib import Path

import pytest

TOP = Path(__file__).parents[2]
SCRIPT = TOP / "deploy/licences"
LICENCES = runpy.run_path(str(SCRIPT))


def package(folder, lines):
    """An invented package of one file."""
    (folder / "METADATA").write_text(f"Metadata-Version: 2.4\nName: invented\nVersion: 1\n{lines}\n", encoding="utf-8")
    return PathDistribution(folder)


def test_every_licence_of_a_production_install_is_allowed():
    ran = subprocess.run([sys.executable, SCRIPT], capture_output=True, text=True, check=False)
    assert ran.returncode == 0, ran.stdout
    listed = {line.split()[0] for line in ran.stdout.splitlines()[:-1]}
    assert {"litestar", "msgspec", "uvicorn", "uvloop", "MarkupSafe"} <= listed
    assert not {"pytest", "ruff", "lathwind"} & listed


@pytest.mark.parametrize(
    ("lines", "licence"),
    [
        ("License-Expression: MIT", "MIT"),
        ("License: GPL-3.0-only", "GPL-3.0-only"),
        ("Classifier: License :: OSI Approved :: MIT License\nLicense: something else", "MIT"),
        (
            "Classifier: License :: OSI Approved :: MIT License\nClassifier: License :: Other/Proprietary License",
            "MIT AND Other/Proprietary License",
        ),
        ("", "none told"),
    ],
)
def test_a_licence_is_read_from_wherever_it_stands(tmp_path, lines, licence):
    assert LICENCES["licence_of"](package(tmp_path, lines)) == licence


@pytest.mark.parametrize(
    ("licence", "refused"),
    [
        ("MIT", []),
        ("Apache-2.0 AND (BSD-2-Clause OR MIT)", []),
        ("GPL-3.0-only", ["GPL-3.0-only"]),
        ("MIT AND LGPL-2.1-or-later", ["LGPL-2.1-or-later"]),
        ("none told", ["none told"]),
    ],
)
def test_every_part_of_a_licence_must_be_allowed(licence, refused):
    assert [part for part in LICENCES["parts_of"](licence) if part not in LICENCES["ALLOWED"]] == refused
