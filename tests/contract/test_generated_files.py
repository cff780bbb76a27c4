"""What is committed under openapi/ is what the code says: no drift."""

from pathlib import Path

import pytest
from openapi_spec_validator import validate

from service.contract.__main__ import files
from service.contract.openapi import document

OPENAPI = Path(__file__).parents[2] / "openapi"
FILES = files()


@pytest.mark.parametrize("path", sorted(FILES))
def test_committed_file_is_what_the_code_generates(path):
    assert (OPENAPI / path).read_bytes() == FILES[path], f"run python -m service.contract and commit {path}"


def test_nothing_else_lies_beside_them():
    committed = {str(path.relative_to(OPENAPI)) for path in OPENAPI.rglob("*") if path.is_file()}
    programs = {"examples/call.py", "examples/call.ts", "examples/digests.py"}
    assert committed == {*FILES, *programs, "CHANGELOG.md"}


def test_the_document_is_openapi():
    # independent program: openapi-spec-validator
    validate(document())


def test_the_changelog_speaks_of_the_current_version():
    assert f"## {document()['info']['version']}" in (OPENAPI / "CHANGELOG.md").read_text(encoding="utf-8")
