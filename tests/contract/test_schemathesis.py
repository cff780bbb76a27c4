"""The contract judged from outside: schemathesis reads the committed file and tries the service with it.

All its checks run (it has them on unless told otherwise) in the phases examples, coverage (not for the PDFs) and fuzzing;
its warnings fail too.
"""

import os
import subprocess
import sys
from pathlib import Path

import pytest

TOP = Path(__file__).parents[2]
CASES = os.environ.get("CONTRACT_CASES", "40")

CONFIGURATION = """
[warnings]
fail-on = true

# These answer 200 where a part of the body is not as the schema says: an item or a line with its problem, a stored answer
# with `other_version`, or with words that are not compared.
[[operations]]
include-operation-id = ["calculateBatch", "calculateStream", "verifyResult"]
checks.negative_data_rejection.enabled = false
"""
SHEETS = ("printSheet", "printPlate")
"""Operations that take the request of others and some tens of ms for an answer: the phase of coverage tries it there."""


@pytest.mark.heavy
@pytest.mark.parametrize(
    ("phases", "which"),
    [("examples,coverage,fuzzing", "--exclude-operation-id"), ("examples,fuzzing", "--include-operation-id")],
    ids=["all but PDF", "PDF"],
)
def test_the_service_keeps_its_contract(service, tmp_path, phases, which):
    (tmp_path / "schemathesis.toml").write_text(CONFIGURATION)
    command = [
        Path(sys.executable).with_name("schemathesis"),
        *("--config-file", tmp_path / "schemathesis.toml"),
        *("run", TOP / "openapi/openapi.json", "--url", service),
        *("--phases", phases),
        *(part for sheet in SHEETS for part in (which, sheet)),
        *("--max-examples", CASES, "--seed", "20260"),
    ]
    environment = {**os.environ, "SCHEMATHESIS_HOOKS": "schemathesis_hooks", "PYTHONPATH": str(Path(__file__).parent)}
    ran = subprocess.run(command, capture_output=True, text=True, cwd=tmp_path, env=environment, check=False)
    assert ran.returncode == 0, ran.stdout[-8000:] + ran.stderr[-2000:]
    assert "No issues found" in ran.stdout, ran.stdout[-2000:]
