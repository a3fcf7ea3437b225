"""How fast the engine in the page starts and decides, beside the same decisions by the server's Python, together.

    python benchmarks/engine.py

Needs the test extra and Chromium. Chromium slows no worker down on request, so the slow phone is stood in for by
the page itself, slowed four times, doing what the worker does. Figures of one run on one machine; no test.
"""

from __future__ import annotations

import json
import statistics
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

ROOT = Path(__file__).parent.parent
sys.path[:0] = [str(ROOT / "builders"), str(ROOT / "tests")]
from picture_taking import found_chromium, served_demo  # noqa: E402
from served_home import FLAGS  # noqa: E402

from engine_sessions import Played, played  # noqa: E402
from steelyard.live.engine import Desk  # noqa: E402
from steelyard.web.engine import archive, engine_urls, packed, vendored  # noqa: E402
from steelyard.web.static_files import static_url  # noqa: E402

SLOWED = 4
WORKER = """async ([script, urls, opened, asked]) => {
  const began = performance.now();
  const { Engine } = await import(script);
  const engine = new Engine(urls);
  await engine.start(opened);
  const ready = performance.now() - began, times = [];
  for (const { events, now } of asked) {
    const asking = performance.now();
    await engine.screen(events, { now });
    times.push(performance.now() - asking);
  }
  await new Promise((resolve) => setTimeout(resolve, 2000)); // the memory is being kept
  engine.stop();
  return [ready, times];
}"""
IN_PAGE = """async ([urls, opened, asked]) => {
  const began = performance.now();
  const { loadPyodide } = await import(`${urls.pyodide}pyodide.mjs`);
  const python = await loadPyodide({ indexURL: urls.pyodide, packageBaseUrl: urls.pyodide });
  python.FS.writeFile("/lib/steelyard.zip", new Uint8Array(await (await fetch(urls.package)).arrayBuffer()));
  python.runPython("import sys; sys.path.append('/lib/steelyard.zip')");
  python.runPython("from pathlib import Path; from steelyard.live.engine import Desk");
  const desk = python.globals.get("Desk")(python.globals.get("Path")("/home/pyodide/homes"));
  desk.answer(JSON.stringify({ open: opened }));
  const ready = performance.now() - began, times = [];
  for (const question of asked) {
    const asking = performance.now();
    JSON.parse(desk.answer(JSON.stringify(question)));
    times.push(performance.now() - asking);
  }
  return [ready, times];
}"""

Run = tuple[float, Sequence[float]]
"""Until it is opened, and then for each screen. [ms]"""


def here(session: Played) -> Run:
    """The same in this Python."""
    with tempfile.TemporaryDirectory() as folder:
        desk = Desk(Path(folder))
        begin = time.perf_counter()
        desk.answer(json.dumps({"open": session.opened}))
        ready = time.perf_counter() - begin
        times = []
        for question in session.asked:
            begin = time.perf_counter()
            desk.answer(json.dumps(question))
            times.append(1000 * (time.perf_counter() - begin))
    return 1000 * ready, times


@contextmanager
def blank(context: BrowserContext, address: str) -> Iterator[Page]:
    """A page of the server with next to nothing on it."""
    page = context.new_page()
    page.set_default_timeout(600_000)
    page.goto(f"{address}/cautions")
    yield page
    page.close()


def visits(browser: Browser, address: str, session: Played) -> Iterator[tuple[str, Run]]:
    """A first visit and a second one, then a slow phone's first, each with the whole session."""
    arguments: list[Any] = [static_url("engine.js"), engine_urls(), session.opened, session.asked]
    context = browser.new_context(service_workers="block")
    for name in ("page, first visit", "page, again"):
        with blank(context, address) as page:
            yield name, page.evaluate(WORKER, arguments)
    context.close()
    context = browser.new_context(service_workers="block", bypass_csp=True)
    with blank(context, address) as page:
        devtools = context.new_cdp_session(page)
        devtools.send("Emulation.setCPUThrottlingRate", {"rate": SLOWED})
        yield f"page slowed {SLOWED} times, first visit", page.evaluate(IN_PAGE, arguments[1:])
    context.close()


def told(name: str, run: Run, beside: Run) -> str:
    """One line of the table."""
    ready, (first, *others) = run
    usual = statistics.median(others)
    ratio = usual / statistics.median(beside[1][1:])
    return f"{name:<36}{ready / 1000:8.2f}{first:9.0f}{usual:9.0f}{max(others):9.0f}{ratio:8.1f}"


def main() -> None:
    """Print the tables."""
    sizes = {name: len(packed(name)) for name in sorted(vendored())} | {
        "steelyard.zip": len(packed("steelyard.zip"))
    }
    print(f"sent: {sum(sizes.values()) / 1e6:.2f} MB; of it the package {sizes['steelyard.zip'] / 1e6:.2f} MB")
    print(f"the package unpacked: {len(archive()) / 1e6:.2f} MB")
    with tempfile.TemporaryDirectory() as folder, served_demo() as address, sync_playwright() as playwright:
        session = played(Path(folder) / "home", "boathouse")
        print(f"a session of {len(session.asked) - 1} taps; {len(json.dumps(session.opened)) / 1e3:.0f} kB opened")
        print(f"{'':<36}{'ready s':>8}{'first ms':>9}{'median':>9}{'most':>9}{'ratio':>8}")
        beside = here(session)
        print(told("this Python", beside, beside))
        browser = playwright.chromium.launch(executable_path=found_chromium(), args=list(FLAGS))
        for name, run in visits(browser, address, session):
            print(told(name, run, beside))
        browser.close()


if __name__ == "__main__":
    main()
