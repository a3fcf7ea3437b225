"""How long a session takes to prepare: the command from its start, and the computation alone.

The references, in the same run: starting Python with nothing to do, and the first rest between two sets (90 s).
Run: python benchmarks/prepare.py
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from random import Random

from steelyard.demo import ensure_demo
from steelyard.home import read_home
from steelyard.journal.sqlite import SqliteJournal
from steelyard.service import Steelyard

ROUNDS = 15


def median_s(work: Callable[[], object]) -> float:
    """Median time of some rounds. [s]"""
    times = []
    for _ in range(ROUNDS):
        begin = time.perf_counter()
        work()
        times.append(time.perf_counter() - begin)
    return statistics.median(times)


def command(*arguments: str) -> Callable[[], object]:
    """Running Python with these arguments, output thrown away."""
    return lambda: subprocess.run([sys.executable, *arguments], stdout=subprocess.DEVNULL, check=True)


def main() -> None:
    """Print the table."""
    now = datetime.now().astimezone()
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "demo"
        ensure_demo(folder, now)
        home = str(folder)
        bare_s = median_s(command("-c", "pass"))
        prepare_s = median_s(command("-m", "steelyard", "--home", home, "prepare", "tove"))
        help_s = median_s(command("-m", "steelyard", "--help"))
        journal = SqliteJournal(folder / "journal.db")

        def fresh() -> object:
            steelyard = Steelyard(read_home(folder), journal, clock=lambda: now, random=Random(1), origin="bench")
            return steelyard.prepare("tove", "pull")

        fresh_s = median_s(fresh)
        kept = Steelyard(read_home(folder), journal, clock=lambda: now, random=Random(1), origin="bench")
        again_s = median_s(lambda: kept.prepare("tove", "pull"))
        journal.close()
    print(f"python -c pass          {bare_s * 1000:7.1f} ms   1.0")
    for name, seconds in (("--help", help_s), ("prepare, whole command", prepare_s)):
        print(f"{name:<23} {seconds * 1000:7.1f} ms   {seconds / bare_s:.1f}")
    print(f"{'read, fold, prepare':<23} {fresh_s * 1000:7.1f} ms   1/{90 / fresh_s:.0f} of a rest")
    print(f"{'prepare again':<23} {again_s * 1000:7.1f} ms   1/{90 / again_s:.0f} of a rest")


if __name__ == "__main__":
    main()
