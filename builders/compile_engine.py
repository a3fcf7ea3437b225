"""Compile the package's part in the page with the page's Python, so that a first start need not.

Run from the root of the repository with node at hand, before a release:

    python builders/compile_engine.py

A module that is changed afterwards is sent as its source until this is run again.
"""

from __future__ import annotations

import gzip
import shutil
import subprocess
from pathlib import Path
from tempfile import TemporaryDirectory

from steelyard.web.engine import COMPILED, PACKAGE, VENDORED, sources, vendored

BUILDERS = Path(__file__).parent


def compile_engine() -> bytes:
    """An archive of the compiled modules."""
    with TemporaryDirectory() as place:
        folder = Path(place)
        for name in vendored():
            (folder / name).write_bytes(gzip.decompress((VENDORED / f"{name}.gz").read_bytes()))
        for path in sources():
            copied = folder / "src" / "steelyard" / path.relative_to(PACKAGE)
            copied.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(path, copied)
        script, program = BUILDERS / "compile_stdlib.mjs", BUILDERS / "engine_modules.py"
        subprocess.run(["node", script, folder, folder / "src", program, folder / "out.zip"], check=True)
        return (folder / "out.zip").read_bytes()


if __name__ == "__main__":
    COMPILED.write_bytes(gzip.compress(compile_engine(), 9, mtime=0))
