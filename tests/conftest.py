"""What all tests share."""

import os

import httpx
import pytest
from hypothesis import settings
from image import BUILD
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


TOGETHER = {"browser": "browser", "clients": "clients", "deploy": "load", "load": "load"}
"""Folders whose tests run one after the other, by what they share: packages to install, or the whole machine."""


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items):
    """Say which tests one process has to run, where several share them (`--dist loadgroup`).

    First, since what hands the tests out reads the groups in a hook of this name too.
    """
    for item in items:
        group = TOGETHER.get(item.path.parent.name)
        if group:
            item.add_marker(pytest.mark.xdist_group(group))


def pytest_collection_finish(session):
    """Begin what takes minutes and is waited for later, unless several processes run at once already."""
    alone = "PYTEST_XDIST_WORKER" not in os.environ and not session.config.option.collectonly
    if alone and any("test_the_image_is_built" in item.name for item in session.items):
        BUILD.begin()
