"""Programs from npm that judge what is ours: installed beside their lock file, once for each state of it."""

import fcntl
import shutil
import subprocess


def installed(folder):
    """The folder of the packages that `folder`'s package.json names, in step with its lock file.

    Tests run in several processes, each with its own session: the first installs, the others wait for it.
    """
    lock, modules = folder / "package-lock.json", folder / "node_modules"
    done = modules / ".installed-lock.json"
    with lock.open("rb") as held:
        fcntl.flock(held, fcntl.LOCK_EX)
        if not done.exists() or done.read_bytes() != held.read():
            command = ["npm", "ci", "--ignore-scripts", "--no-audit", "--no-fund"]
            ran = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)
            assert ran.returncode == 0, ran.stderr
            shutil.copy(lock, done)
    return modules
