"""What the files of deploy/ are compared with."""

import sys
from pathlib import Path

import msgspec

from service.contract.operations import OPERATIONS
from service.settings import PREFIX, Settings

TOP = Path(__file__).parents[2]
TOOLS = Path(sys.executable).parent
VERSION = msgspec.toml.decode((TOP / "pyproject.toml").read_bytes())["project"]["version"]
PATHS = {one.path for one in OPERATIONS if one.method == "GET"}
SETTINGS = {PREFIX + name.upper() for name in Settings.__struct_fields__}
