"""Put Pyodide, the Python that runs inside the page, into the package: compressed, trimmed, with its licences.

Run from the root of the repository with node at hand, on the tarball of the npm package:

    npm pack pyodide@314.0.7
    python builders/vendor_pyodide.py pyodide-314.0.7.tgz

The same tarball gives the same files but for the compiled standard library, whose bytes depend on nothing that
matters; manifest.json holds the sha256 of each, and a test compares.
"""

from __future__ import annotations

import gzip
import json
import subprocess
import sys
import tarfile
from hashlib import sha256
from pathlib import Path
from tempfile import TemporaryDirectory

BUILDERS = Path(__file__).parent
SOURCES = BUILDERS.parent / "src"
FOLDER = SOURCES / "steelyard" / "web" / "pyodide"
AS_THEY_ARE = ("pyodide.mjs", "pyodide.asm.mjs", "pyodide.asm.wasm")


def vendor(tarball: Path) -> None:
    """Unpack, trim, compress and list."""
    with TemporaryDirectory() as folder, tarfile.open(tarball) as archive:
        archive.extractall(folder, filter="data")
        package = Path(folder) / "package"
        files = {name: (package / name).read_bytes() for name in AS_THEY_ARE}
        files["python_stdlib.zip"] = compiled_library(package)
        files["pyodide-lock.json"] = lock(json.loads((package / "pyodide-lock.json").read_text()))
        version = json.loads((package / "package.json").read_text())["version"]
    FOLDER.mkdir(exist_ok=True)
    for name, data in files.items():
        (FOLDER / f"{name}.gz").write_bytes(gzip.compress(data, 9, mtime=0))
    (FOLDER / "manifest.json").write_text(json.dumps(manifest(version, files), indent=1) + "\n")


def compiled_library(package: Path) -> bytes:
    """The modules of the standard library that the engine needs, compiled by Pyodide itself."""
    out = package / "trimmed.zip"
    program = BUILDERS / "pyodide_modules.py"
    subprocess.run(
        ["node", BUILDERS / "compile_stdlib.mjs", package, SOURCES, program, out],
        check=True,
    )
    return out.read_bytes()


def lock(whole: dict[str, object]) -> bytes:
    """The list of packages that could be fetched: none."""
    return json.dumps({"info": whole["info"], "packages": {}}).encode()


def manifest(version: str, files: dict[str, bytes]) -> dict[str, object]:
    """Version, and of every file its size and sha256, as it is served uncompressed."""
    listed = {
        name: {"bytes": len(data), "sha256": sha256(data).hexdigest()} for name, data in sorted(files.items())
    }
    return {"pyodide": version, "files": listed}


if __name__ == "__main__":
    vendor(Path(sys.argv[1]))
