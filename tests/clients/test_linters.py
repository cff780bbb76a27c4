"""The contract judged by two linters, which may miss the contact and the licence: these are the owner's to fill in."""

import json
import os
import subprocess
from pathlib import Path

import pytest

CONTRACT = Path(__file__).parents[2] / "openapi/openapi.json"

pytestmark = pytest.mark.heavy


def test_spectral_finds_nothing(modules, tmp_path):
    (tmp_path / "rules.yaml").write_text('extends: ["spectral:oas"]\n')
    ran = subprocess.run(
        [modules / ".bin/spectral", "lint", "--format", "json", "--ruleset", tmp_path / "rules.yaml", CONTRACT],
        capture_output=True,
        text=True,
        check=False,
    )
    assert {one["code"] for one in json.loads(ran.stdout)} == {"info-contact"}, ran.stdout + ran.stderr


def test_redocly_finds_nothing(modules):
    ran = subprocess.run(
        [modules / ".bin/redocly", "lint", "--extends", "recommended-strict", "--format", "json", CONTRACT],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "REDOCLY_TELEMETRY": "off"},
    )
    assert {one["ruleId"] for one in json.loads(ran.stdout)["problems"]} == {"info-license"}, ran.stdout + ran.stderr
