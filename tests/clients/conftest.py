"""The packages that programs in TypeScript need."""

from pathlib import Path

import pytest
from npm import installed


@pytest.fixture(scope="session")
def modules():
    """Their folder."""
    return installed(Path(__file__).parent)
