"""Write docs/pictures of the pages for reading, of a demo home: on a phone, or on a tablet.

Run from the root of the repository, with the test extra installed and Chromium on the path (or named by
STEELYARD_CHROMIUM):

    python builders/screenshots.py [FOLDER]

The demo's history ends the day before it is made, so dates in the pictures are those of the day of making. The
page at the machine has a builder of its own, session_pictures.py.
"""

from __future__ import annotations

import sys
from pathlib import Path

from picture_taking import found_chromium, served_demo, take
from playwright.sync_api import Browser, sync_playwright
from served_home import FLAGS

SIZES = {"390x844": (390, 844), "820x1180": (820, 1180)}
PAGES = {
    "prepared-390x844": "/lifter/{who}?outline=pull",
    "review-390x844": "/review/{who}",
    "station-820x1180": "/station/high-pulley",
    "motion-390x844": "/station/row?tempo=1-0-0.5-0#motion",
    "joints-390x844": "/station/curl/joints?beside=low-pulley",
    "describe-390x844": "/machine/describe",
    "calibrate-390x844": "/machine/calibrate?station=row#so-far",
    "buy-390x844": "/plates?buy=1&lifter={who}#buy",
}
"""Pages by the names of their pictures, which end in the size of the screen."""
PATIENCE_MS = 120_000


def take_all(browser: Browser, address: str, folder: Path, who: str) -> None:
    """Every page, as the first lifter sees it."""
    for name, place in PAGES.items():
        width, height = SIZES[name.rpartition("-")[2]]
        context = browser.new_context(viewport={"width": width, "height": height}, color_scheme="light")
        context.set_default_timeout(PATIENCE_MS)
        page = context.new_page()
        page.goto(address + place.format(who=who))
        if name.startswith("prepared"):
            page.locator("section.block").first.evaluate("block => block.scrollIntoView()")
        take(page, folder, name)
        context.close()


def main() -> None:
    """Take them all."""
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else Path("docs/pictures")
    folder.mkdir(parents=True, exist_ok=True)
    with sync_playwright() as playwright, served_demo() as address:
        browser = playwright.chromium.launch(executable_path=found_chromium(), args=list(FLAGS))
        take_all(browser, address, folder, "marek")
        browser.close()


if __name__ == "__main__":
    main()
