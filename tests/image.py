"""The image's build, begun with the test run and going on beside it: it takes minutes of one core."""

import subprocess
import tempfile
from pathlib import Path

SCRIPT = Path(__file__).parents[1] / "deploy/container/build-and-try"
PATIENCE_S = 1800.0


class Build:
    """One build and try of the image, begun once."""

    def __init__(self):
        """Begin nothing yet."""
        self._running = None
        self._told = tempfile.TemporaryFile()  # noqa: SIM115 - it lives as long as the build

    def begin(self):
        """Begin, unless it has begun."""
        if self._running is None:
            self._running = subprocess.Popen([SCRIPT], stdin=subprocess.DEVNULL, stdout=self._told, stderr=subprocess.STDOUT)

    def ended(self):
        """What it said and its exit code."""
        self.begin()
        assert self._running is not None
        code = self._running.wait(PATIENCE_S)
        self._told.seek(0)
        return self._told.read().decode(), code


BUILD = Build()
