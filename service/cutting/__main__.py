"""Solves one task in a process of its own: a task on standard input, an answer on standard output, both JSON.

The first line is the task. Whoever started it keeps the input open: when it ends, nobody waits any more, and so does this.
"""

import os
import resource
import sys
import threading

import msgspec

from service.cutting.model import Task

MEMORY_BYTES = 1_073_741_824
"""Address space that it may have; a large task takes a third of it."""
BEYOND_LIMIT_S = 10
"""Seconds of the processor beyond the task's time after which the system ends it."""


def _end_with_the_caller() -> None:
    sys.stdin.buffer.read()
    os._exit(1)


def main() -> None:
    """Read, solve, write."""
    task = msgspec.json.decode(sys.stdin.buffer.readline(), type=Task)
    threading.Thread(target=_end_with_the_caller, daemon=True).start()
    if sys.platform == "linux":  # elsewhere it is not kept, or cannot be set
        resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
    cpu_s = int(task.time_limit_s) + BEYOND_LIMIT_S
    resource.setrlimit(resource.RLIMIT_CPU, (cpu_s, cpu_s))
    answers = os.dup(1)
    os.dup2(2, 1)  # the solver greets on standard output
    from service.cutting.solve import solve  # noqa: PLC0415 - under the limits, which hold for what it loads too

    answer = msgspec.json.encode(solve(task))
    with os.fdopen(answers, "wb") as written:
        written.write(answer)
    os._exit(0)  # the thread still waits for the input


if __name__ == "__main__":
    main()
