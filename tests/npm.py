"""Programs from npm that judge what is ours: installed beside their lock file, once for each state of it."""

import shutil
import subprocess


def installed(folder):
    """The folder of the packages that `folder`'s package.json names, in step with its lock file."""
    lock, modules = folder / "package-lock.json", folder / "node_modules"
    done = modules / ".installed-lock.json"
    if not done.exists() or done.read_bytes() != lock.read_bytes():
        command = ["npm", "ci", "--ignore-scripts", "--no-audit", "--no-fund"]
        ran = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)
        assert ran.returncode == 0, ran.stderr
        shutil.copy(lock, done)
    return modules
