"""The image is truly built, run as a cluster would run it, and called. Needs root and Debian's tools; takes minutes."""

import pytest
from image import BUILD


@pytest.mark.heavy
def test_the_image_is_built_and_serves():
    told_all, code = BUILD.ended()
    assert code == 0, told_all
    for told in (
        "the answer as beside the example",
        "health check of the image: passed",
        "user 10001, no capabilities, read-only root, no installer, core compiled",
        "packages, all locked",
        "all licences allowed",
        "ended by itself after SIGTERM",
    ):
        assert told in told_all
