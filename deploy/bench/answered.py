"""What the service answered, for programs that send as many bytes without calculating anything."""

import json
import os
from pathlib import Path

FOLDER = Path(os.environ["ANSWERED"])
CONTENT = (FOLDER / "content.json").read_bytes()
HEADERS: dict[str, str] = json.loads((FOLDER / "headers.json").read_text())
"""The header fields of the answer but those that every server makes by itself."""
