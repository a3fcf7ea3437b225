"""What the takers of pictures share: a demo that is served, Chromium, and a picture kept under its size.

They need the test extra installed, and Chromium on the path or named by STEELYARD_CHROMIUM.
"""

from __future__ import annotations

import shutil
import struct
import subprocess
import sys
import tempfile
import zlib
from base64 import b64decode, b64encode
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import Page
from served_home import ServedHome, chromium, serving

LARGEST_PICTURE = 165_000
"""Pictures are kept under this, since they live in the repository. [bytes]"""
PIXELS = """async (png) => {
  const bytes = Uint8Array.from(atob(png), (letter) => letter.charCodeAt(0));
  const picture = await createImageBitmap(new Blob([bytes], { type: "image/png" }));
  const { width, height } = picture;
  const pen = new OffscreenCanvas(width, height).getContext("2d");
  pen.drawImage(picture, 0, 0);
  const { data } = pen.getImageData(0, 0, width, height);
  const colours = data.filter((_, place) => place % 4 !== 3);
  let found = "";
  for (let at = 0; at < colours.length; at += width) {
    found += String.fromCharCode(...colours.subarray(at, at + width));
  }
  return [width, height, btoa(found)];
}"""
"""Red, green and blue of every pixel, row by row, by the browser that took the picture."""


def found_chromium() -> str:
    """Where Chromium is; without it the program ends with the way out."""
    found = chromium()
    if found is None:
        raise SystemExit("no Chromium: apt-get install chromium, or set STEELYARD_CHROMIUM to its path")
    return found


@contextmanager
def demo_home() -> Iterator[Path]:
    """A demo home in a temporary folder."""
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder) / "demo"
        command = [sys.executable, "-m", "steelyard", "--home", str(home), "demo", "--no-page"]
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
        yield home


@contextmanager
def served(home: Path, *, name: str = "") -> Iterator[ServedHome]:
    """A copy of a home, served: what is done there leaves the home as it was."""
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(shutil.copytree(home, Path(folder) / "home"))
        with serving(copy, ServedHome, name=name) as gym:
            yield gym


@contextmanager
def served_demo() -> Iterator[str]:
    """A demo home, served; gives the address."""
    with demo_home() as home, served(home) as gym:
        yield gym.address


def packed(page: Page, png: bytes) -> bytes:
    """The same picture, a quarter smaller: flat areas and letters pack best without any filter before them.

    Source: PNG specification, third edition (W3C Recommendation), sections 5, 9 and 10.
    """
    width, height, colours = page.evaluate(PIXELS, b64encode(png).decode())
    row = 3 * width
    pixels = b64decode(colours)
    rows = b"".join(b"\0" + pixels[at : at + row] for at in range(0, row * height, row))
    parts = {
        b"IHDR": struct.pack(">2I5B", width, height, 8, 2, 0, 0, 0),
        b"IDAT": zlib.compress(rows, 9),
        b"IEND": b"",
    }
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(part)) + name + part + struct.pack(">I", zlib.crc32(name + part))
        for name, part in parts.items()
    )


def take(page: Page, folder: Path, name: str) -> None:
    """Keep a picture of what the screen shows. Raises: SystemExit if it is too large a file."""
    path = folder / f"{name}.png"
    page.mouse.move(0, 0)
    path.write_bytes(packed(page, page.screenshot()))
    size = path.stat().st_size
    print(f"{path.name}: {size / 1000:.0f} kB", flush=True)
    if size > LARGEST_PICTURE:
        raise SystemExit(f"{path} is {size} bytes long; it must be at most {LARGEST_PICTURE}")
