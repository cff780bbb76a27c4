"""Run in the container: who it runs as, what it may do, what it can write, what it runs, how much memory it has taken."""

import errno
import os
import sys
from importlib.util import find_spec
from pathlib import Path

status = dict(line.split(":", 1) for line in Path("/proc/1/status").read_text(encoding="ascii").splitlines())
faults = [
    f"{name} is {status[name].strip()}"
    for name, wanted in {"CapEff": "0" * 16, "CapBnd": "0" * 16, "NoNewPrivs": "1", "Seccomp": "2"}.items()
    if status[name].strip() != wanted
]
if set(status["Uid"].split()) != {"10001"} or set(status["Gid"].split()) != {"10001"}:
    faults.append(f"runs as {status['Uid']}, group {status['Gid']}")
for folder in ("/", "/opt/lathwind", "/var/tmp"):  # noqa: S108 - to see that it cannot be written
    try:
        Path(folder, "written").touch()
        faults.append(f"{folder} can be written")
    except OSError as error:
        if error.errno not in {errno.EROFS, errno.EACCES}:
            raise
if not os.statvfs("/").f_flag & os.ST_RDONLY:
    faults.append("the root file system is not read-only")
Path("/tmp/written").touch()  # noqa: S108 - the one folder that can be written
faults += [f"{name} is installed" for name in ("pip", "setuptools") if "site-packages" in str(find_spec(name))]
if not str(getattr(find_spec("service.calculation.fitting"), "origin", "")).endswith(".so"):
    faults.append("the core is not compiled")
if faults:
    sys.exit("\n".join(faults))
resident_mb = int(status["VmRSS"].split()[0]) / 1024
print(f"user 10001, no capabilities, read-only root, no installer, core compiled; resident {resident_mb:.0f} MB")
