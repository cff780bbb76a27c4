"""What is committed under openapi/ is what the code says: no drift."""

import json
import re
from pathlib import Path

import pytest
from openapi_spec_validator import validate

from service.contract.__main__ import files
from service.contract.version import CONTRACT_VERSION

OPENAPI = Path(__file__).parents[2] / "openapi"
FILES = files()


@pytest.mark.parametrize("path", sorted(FILES))
def test_committed_file_is_what_the_code_generates(path):
    assert (OPENAPI / path).read_bytes() == FILES[path], f"run python -m service.contract and commit {path}"


def test_nothing_else_lies_beside_them():
    committed = {path.relative_to(OPENAPI) for path in OPENAPI.rglob("*") if path.is_file()}
    programs = {"examples/call.py", "examples/call.ts", "examples/digests.py"}
    assert {str(path) for path in committed if path.parts[0] != "released"} == {*FILES, *programs, "CHANGELOG.md"}


def test_the_document_is_openapi():
    # independent program: openapi-spec-validator
    validate(json.loads(FILES["openapi.json"]))


def test_the_changelog_speaks_of_the_current_version():
    text = (OPENAPI / "CHANGELOG.md").read_text(encoding="utf-8")
    entries = re.findall(r"^## (\S+), \d{4}-\d\d-\d\d$", text, re.MULTILINE)
    assert entries[0] == CONTRACT_VERSION
    assert len(entries) == len(set(entries)) == text.count("\n## "), "one dated entry a release"
