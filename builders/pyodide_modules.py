"""Run inside Pyodide by compile_stdlib.mjs: finds the modules that booting and the engine need, and compiles them.

Compiled modules make Pyodide ready in a third of the time, and leaving out the rest makes it smaller.
"""

import ast
import importlib
import sys
import zipfile
from contextlib import suppress
from importlib._bootstrap_external import _code_to_hash_pyc
from pathlib import Path

LIBRARY = "/lib/python314.zip"
LATE = [
    "_strptime",
    "calendar",
    "codecs",
    "csv",
    "decimal",
    "difflib",
    "encodings.ascii",
    "encodings.latin_1",
    "encodings.utf_8_sig",
    "fractions",
    "hashlib",
    "html",
    "importlib.readers",
    "importlib.resources._adapters",
    "importlib.resources.readers",
    "importlib.simple",
    "numbers",
    "secrets",
    "statistics",
    "string.templatelib",
    "tomllib",
    "traceback",
    "unicodedata",
]
"""Imported inside functions of the standard library, or by what may yet come."""
SERVER_ONLY = ("web", "cli", "proving", "__main__.py", "demo.py")
"""Parts of the package that never run in the page."""
NOT_HERE = ("sqlite3",)
"""What the journal file needs; the page's journal is in memory."""


def imported(source: Path) -> set[str]:
    """Names of the modules that a file imports anywhere in it."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(source.read_text())):
        if isinstance(node, ast.Import):
            found.update(name.name for name in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            found.add(node.module)
    return found


def library_modules() -> list[str]:
    """Paths inside the library's archive of all that is imported by now."""
    files = (getattr(module, "__file__", None) or "" for module in list(sys.modules.values()))
    return sorted({file.removeprefix(f"{LIBRARY}/") for file in files if file.startswith(f"{LIBRARY}/")})


wanted = set(LATE)
package = Path("/src/steelyard")
for path in package.rglob("*.py"):
    if path.relative_to(package).parts[0] not in SERVER_ONLY:
        wanted |= imported(path)
for name in sorted(wanted):
    if name.split(".")[0] in sys.stdlib_module_names and name.split(".")[0] not in NOT_HERE:
        with suppress(ImportError):
            importlib.import_module(name)

with zipfile.ZipFile(LIBRARY) as library, zipfile.ZipFile("/out.zip", "w", zipfile.ZIP_STORED) as compiled:
    for member in library_modules():
        code = compile(library.read(member), f"{LIBRARY}/{member}", "exec", dont_inherit=True, optimize=2)
        compiled.writestr(zipfile.ZipInfo(f"{member}c"), _code_to_hash_pyc(code, bytes(8), False))
