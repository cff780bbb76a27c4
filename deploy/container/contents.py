"""Reads an image's list of contents (CycloneDX) and demands that every version in it is a locked one."""

import json
import re
import sys
from pathlib import Path

CONSTRAINTS = Path("deploy/constraints.txt")


def plain(name: str) -> str:
    """A package's name as the index compares names."""
    return re.sub(r"[-_.]+", "-", name).lower()


def main() -> None:
    """Compare; exit at what is not locked."""
    locked = {
        plain(name): version
        for name, _, version in (line.partition("==") for line in CONSTRAINTS.read_text(encoding="utf-8").splitlines())
    }
    contents = json.load(sys.stdin)
    found = {plain(one["name"]): one["version"] for one in contents["components"]}
    if not found:
        sys.exit("The list of contents is empty.")
    loose = [f"{name} {version}" for name, version in found.items() if locked.get(name) != version]
    if loose:
        sys.exit(f"Not locked in {CONSTRAINTS}: {', '.join(loose)}")
    print(f"list of contents: CycloneDX {contents['specVersion']}, {len(found)} packages, all locked")


if __name__ == "__main__":
    main()
