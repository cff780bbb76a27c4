"""The packages that programs in TypeScript need."""

import shutil
import subprocess
from pathlib import Path

import pytest

HERE = Path(__file__).parent


@pytest.fixture(scope="session")
def modules():
    """Their folder, in step with the lock file."""
    lock, installed = HERE / "package-lock.json", HERE / "node_modules/of-lock.json"
    if not installed.exists() or installed.read_bytes() != lock.read_bytes():
        subprocess.run(["npm", "ci", "--ignore-scripts", "--no-audit", "--no-fund"], cwd=HERE, check=True)
        shutil.copy(lock, installed)
    return HERE / "node_modules"
