"""What was vendored is what its manifest says, and whose it is, is said."""

from __future__ import annotations

import gzip
import json
from hashlib import sha256
from io import BytesIO
from pathlib import Path
from zipfile import ZipFile

import pytest

import steelyard.web
from steelyard.web.engine import COMPILED

FOLDER = Path(steelyard.web.__file__).parent / "pyodide"
MANIFEST = json.loads((FOLDER / "manifest.json").read_text())
CPYTHON_3_14 = (3627).to_bytes(2, "little") + b"\r\n"
"""Magic number of compiled modules of CPython 3.14 (Include/internal/pycore_magic_number.h of that version)."""


def unpacked(name: str) -> bytes:
    return gzip.decompress((FOLDER / f"{name}.gz").read_bytes())


@pytest.mark.parametrize("name", sorted(MANIFEST["files"]))
def test_every_file_is_the_one_that_was_vendored(name: str) -> None:
    data = unpacked(name)
    assert {"bytes": len(data), "sha256": sha256(data).hexdigest()} == MANIFEST["files"][name]


def test_nothing_else_lies_there_uncompressed() -> None:
    compressed = {f"{name}.gz" for name in MANIFEST["files"]} | {COMPILED.name}
    others = {path.name for path in FOLDER.iterdir()} - compressed
    assert others == {"manifest.json", "LICENSES.md", "MPL-2.0.txt", "PYTHON-LICENSE.txt"}


def test_compressed_files_carry_no_time() -> None:
    times = {path.read_bytes()[4:8] for path in FOLDER.glob("*.gz")}
    assert times == {bytes(4)}


def test_the_library_is_compiled_by_the_python_that_reads_it() -> None:
    for archive in (unpacked("python_stdlib.zip"), gzip.decompress(COMPILED.read_bytes())):
        with ZipFile(BytesIO(archive)) as library:
            assert {library.read(name)[:4] for name in library.namelist()} == {CPYTHON_3_14}


def test_no_package_can_be_fetched_by_its_list() -> None:
    assert json.loads(unpacked("pyodide-lock.json"))["packages"] == {}


def test_the_version_is_the_one_the_loader_names() -> None:
    assert f'"{MANIFEST["pyodide"]}"' in unpacked("pyodide.mjs").decode()
