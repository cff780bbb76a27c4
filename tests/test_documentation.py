"""Documents that cannot lie: what README and run book show is compared with the code."""

import json
import re
import shlex
import subprocess
from pathlib import Path

import msgspec
import pytest

from service.contract.operations import OPERATIONS
from service.settings import PREFIX, Settings

TOP = Path(__file__).parents[1]
README = (TOP / "README.md").read_text(encoding="utf-8")
RUN_BOOK = (TOP / "deploy/README.md").read_text(encoding="utf-8")
EXAMPLES = TOP / "openapi/examples"


def shown(kind):
    """The JSON blocks of the README marked as a request or an answer, with their example's name."""
    found = re.findall(rf"<!-- {kind}: ([a-z-]+) -->\n```json\n(.*?)```", README, re.DOTALL)
    return [(name, json.loads(text)) for name, text in found]


def is_part_of(part, whole):
    """Whether every member shown is in the whole with the same value."""
    if isinstance(part, dict):
        return isinstance(whole, dict) and all(name in whole and is_part_of(part[name], whole[name]) for name in part)
    return bool(part == whole)


def test_the_requests_shown_are_the_examples():
    assert shown("request")
    for name, request in shown("request"):
        assert request == json.loads((EXAMPLES / f"{name}.request.json").read_bytes())


def test_the_answers_shown_are_parts_of_the_examples_answers():
    assert shown("answer")
    for name, answer in shown("answer"):
        assert is_part_of(answer, json.loads((EXAMPLES / f"{name}.answer.json").read_bytes()))


CURLS = re.findall(r"^curl (?:.*\\\n)*.*$", README, re.MULTILINE)


@pytest.mark.parametrize("command", CURLS, ids=range(len(CURLS)))
def test_each_curl_of_the_readme_is_answered(service, tmp_path, command):
    words = shlex.split(command.replace("\\\n", " ").replace("http://127.0.0.1:8000", service))
    if "-o" in words:
        words[words.index("-o") + 1] = str(tmp_path / "answer")
    ran = subprocess.run([*words, "-sS", "--fail"], cwd=TOP, capture_output=True, check=False)
    answer = (tmp_path / "answer").read_bytes() if "-o" in words else ran.stdout
    assert ran.returncode == 0, ran.stderr
    assert len(answer) > 100


def test_the_readmes_command_recomputes_digests():
    command = re.search(r"^\S+ openapi/examples/digests\.py answer\.json$", README, re.MULTILINE).group()
    answer = "openapi/examples/lock-gate-truck.answer.json"
    ran = subprocess.run(shlex.split(command.replace("answer.json", answer)), cwd=TOP, capture_output=True, check=False)
    assert ran.stdout.decode() == f"{answer}: request as stored, result as stored\n", ran.stderr


def test_there_is_a_curl_for_each_operation_that_calculates():
    told = " ".join(CURLS) + README
    assert CURLS
    for operation in OPERATIONS:
        if operation.method == "POST":
            assert operation.path.rpartition("/")[2] in told, operation.path


def test_the_run_book_lists_every_setting_with_its_default():
    rows = dict(re.findall(rf"^\| `({PREFIX}\w+)` \| (.*?) \|", RUN_BOOK, re.MULTILINE))
    assert set(rows) == {PREFIX + name.upper() for name in Settings.__struct_fields__}
    for name, default in zip(Settings.__struct_fields__, Settings.__struct_defaults__, strict=True):
        told = rows[PREFIX + name.upper()].strip("`")
        assert told in {str(default), "the standard catalogue"} or (default in (None, "") and told == "none"), name


def test_the_run_book_says_what_each_setting_means():
    properties = msgspec.json.schema_components([Settings], ref_template="{name}")[1]["Settings"]["properties"]
    for name, schema in properties.items():
        assert f"| {schema['description']} |" in RUN_BOOK, name


@pytest.mark.parametrize("document", ["README.md", "DEVELOPERS.md", "deploy/README.md", "openapi/CHANGELOG.md"])
def test_every_link_leads_somewhere(document):
    text = (TOP / document).read_text(encoding="utf-8")
    for target in re.findall(r"\]\(([^)#]+)\)", text):
        if "://" not in target:
            assert ((TOP / document).parent / target).exists(), target


def test_developers_names_every_dependency():
    project = msgspec.toml.decode((TOP / "pyproject.toml").read_bytes())["project"]
    text = (TOP / "DEVELOPERS.md").read_text(encoding="utf-8")
    wanted = [*project["dependencies"], *(one for extra in project["optional-dependencies"].values() for one in extra)]
    names = {re.split(r"[<>=\[]", one)[0] for one in wanted} - {project["name"]}
    assert sorted(name for name in names if name not in text) == []


def test_the_locked_versions_are_names_and_versions_only():
    constraints = (TOP / "deploy/constraints.txt").read_text(encoding="utf-8")
    assert all(re.fullmatch(r"[A-Za-z0-9_.\[\]-]+==[A-Za-z0-9_.+!-]+", line) for line in constraints.splitlines())
    assert constraints
