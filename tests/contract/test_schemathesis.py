"""The contract judged from outside: schemathesis reads the committed file and tries the service with it.

All its checks run (it has them on unless told otherwise) in the phases examples, coverage (not for what is costly) and
fuzzing; its warnings fail too. Hooks of ours mend what JSON Schema cannot say; once it runs without them.
"""

import os
import subprocess
import sys
from pathlib import Path

import pytest

TOP = Path(__file__).parents[2]
CASES = os.environ.get("CONTRACT_CASES", "30")

HOOKED = """
[warnings]
fail-on = true
"""
HOOKLESS = """
warnings = false

# What the contract says in words alone may be refused: a size or a survey, ids of the catalogue, the header of a table.
[checks]
positive_data_acceptance.enabled = false
"""
CONFIGURATION = """
# These answer 200 where a part of the body is not as the schema says: an item or a line with its problem, a stored answer
# with `other_version`, or with words that are not compared.
[[operations]]
include-operation-id = ["calculateBatch", "calculateStream", "verifyResult"]
checks.negative_data_rejection.enabled = false
"""
SHEETS = ("printSheet", "printPlate")
COSTLY = (*SHEETS, "findLimits", "planCutting", "listCutting", "drawCutting")
"""Operations that take tens of ms or more for an answer: without the phase of coverage, which tries hundreds of requests."""


@pytest.mark.heavy
@pytest.mark.minutes
@pytest.mark.parametrize(
    ("phases", "which"),
    [("examples,coverage,fuzzing", "--exclude-operation-id"), ("examples,fuzzing", "--include-operation-id")],
    ids=["all but costly", "costly"],
)
def test_the_service_keeps_its_contract(service, tmp_path, phases, which):
    hooks = {"SCHEMATHESIS_HOOKS": "schemathesis_hooks", "PYTHONPATH": str(Path(__file__).parent)}
    judge(
        service,
        tmp_path,
        "--phases",
        phases,
        *(part for id in COSTLY for part in (which, id)),
        more=HOOKED,
        environment=hooks,
    )


@pytest.mark.heavy
def test_the_service_keeps_its_contract_for_whoever_knows_nothing_but_it(service, tmp_path):
    left_out = (*SHEETS, "calculateStream")  # schemathesis has no NDJSON of its own
    excluded = (part for id in left_out for part in ("--exclude-operation-id", id))
    judge(service, tmp_path, "--phases", "fuzzing", *excluded, more=HOOKLESS, cases="10")


def judge(service, folder, *arguments, more, environment=None, cases=CASES):
    """Let schemathesis try the service; every finding fails."""
    (folder / "schemathesis.toml").write_text(more + CONFIGURATION)
    command = [
        Path(sys.executable).with_name("schemathesis"),
        *("--config-file", folder / "schemathesis.toml"),
        *("run", TOP / "openapi/openapi.json", "--url", service, *arguments),
        *("--max-examples", cases, "--seed", "20260"),
    ]
    environment = {**os.environ, **(environment or {})}
    ran = subprocess.run(command, capture_output=True, text=True, cwd=folder, env=environment, check=False)
    assert ran.returncode == 0, ran.stdout[-8000:] + ran.stderr[-2000:]
    assert "No issues found" in ran.stdout, ran.stdout[-2000:]
