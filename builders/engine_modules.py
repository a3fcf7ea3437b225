"""Run inside Pyodide by compile_stdlib.mjs: compiles what the engine imports at its start, marked by its sources.

Compiling is most of the work of a first start; see docs/engine.md. Where a source has changed since, the server
sends the source instead, so that nothing old is ever run.
"""

import importlib
import sys
import zipfile
from hashlib import sha256
from importlib._bootstrap_external import _code_to_hash_pyc
from pathlib import Path

SOURCES = Path("/src")

sys.path.append(str(SOURCES))
importlib.import_module("steelyard.live.engine")
files = (getattr(module, "__file__", None) or "" for name, module in sys.modules.items() if "steelyard" in name)

with zipfile.ZipFile("/out.zip", "w", zipfile.ZIP_STORED) as compiled:
    for path in sorted(map(Path, filter(None, files))):
        source, name = path.read_bytes(), path.relative_to(SOURCES).as_posix()
        code = compile(source, f"/lib/steelyard.zip/{name}", "exec", dont_inherit=True, optimize=2)
        compiled.writestr(zipfile.ZipInfo(f"{name}c"), _code_to_hash_pyc(code, sha256(source).digest()[:8], False))
