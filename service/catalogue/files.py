"""Reading a file of the operator's: bounded, and never waiting for it."""

import os
import stat
from pathlib import Path

LINE_BYTES_MAX = 4096
"""Bytes of a line: the TOML parser of the standard library crashes over a key of a hundred thousand parts."""


class FileError(Exception):
    """A file that cannot be read; the text names it and says why."""


def read(path: Path, *, bytes_max: int) -> bytes:
    """The content of an ordinary file.

    Raises:
        FileError: it is missing, unreadable, too large, has too long a line, or is no ordinary file: a pipe would be waited
            for without end.
    """
    try:
        descriptor = os.open(path, os.O_RDONLY | os.O_NONBLOCK | os.O_CLOEXEC)
        try:
            found = os.fstat(descriptor)
            if not stat.S_ISREG(found.st_mode):
                raise FileError(f"{path}: cannot be read: it is no ordinary file")
            if found.st_size > bytes_max:
                raise FileError(f"{path}: {found.st_size} bytes, at most {bytes_max}")
            with open(descriptor, "rb", closefd=False) as file:
                content = file.read(bytes_max + 1)
        finally:
            os.close(descriptor)
    except (OSError, ValueError) as error:  # ValueError: a NUL in the path
        raise FileError(f"{path}: cannot be read: {getattr(error, 'strerror', error)}") from error
    if len(content) > bytes_max:  # it grows while it is read
        raise FileError(f"{path}: more than {bytes_max} bytes")
    if any(len(line) > LINE_BYTES_MAX for line in content.split(b"\n")):
        raise FileError(f"{path}: a line is longer than {LINE_BYTES_MAX} bytes")
    return content
