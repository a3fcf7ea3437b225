"""How long something takes, whatever the machine: by what a fixed piece of reckoning takes on the same one."""

from __future__ import annotations

import math
import time
from collections.abc import Callable

TRIES = 7


def yardsticks(job: Callable[[], object]) -> float:
    """How many times as long as 20 000 sines a job takes; they took 1.2 ms where this was written.

    Processor time of this thread counts, and of some tries the fastest: what else a machine does slows no job.
    """
    return _least_s(job) / _least_s(_sines)


def _least_s(job: Callable[[], object]) -> float:
    return min(_seconds(job) for _ in range(TRIES))


def _seconds(job: Callable[[], object]) -> float:
    begun = time.thread_time()
    job()
    return time.thread_time() - begun


def _sines() -> float:
    return math.fsum(map(math.sin, range(20_000)))
