"""What all tests share."""

import httpx
import pytest
from hypothesis import settings
from serving import PATIENCE_S, serving

from service.settings import Settings

# The same examples on every run and machine: a failure found here is found everywhere, and no time limit decides.
settings.register_profile("fixed", derandomize=True, deadline=None, database=None)
settings.load_profile("fixed")


@pytest.fixture(scope="session")
def service():
    """The base address of a service with the standard settings."""
    with serving(Settings()) as base:
        yield base


@pytest.fixture(scope="session")
def client(service):
    """A client of the service with the standard settings."""
    with httpx.Client(base_url=service, timeout=PATIENCE_S) as one:
        yield one


def pytest_collection_modifyitems(items):
    """Begin with what takes minutes: begun last, it would keep one process busy while the others have nothing to do."""
    items.sort(key=lambda item: item.get_closest_marker("minutes") is None)
