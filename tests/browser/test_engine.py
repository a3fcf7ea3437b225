"""The engine in a real browser's page: another Python on other mathematics, and it decides the very same."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import pytest

from browser.conftest import Gym
from browser.steps import wait_until
from engine_sessions import MACHINES, Played, played
from steelyard.web.engine import engine_urls
from steelyard.web.static_files import static_url

if TYPE_CHECKING:
    from playwright.sync_api import Page

READY_MS = 120_000
"""Longer than the slowest device takes to start a Python."""

OPEN = """async ([script, urls, opened]) => {
  const { Engine } = await import(script);
  globalThis.engine = new Engine(urls);
  return [await engine.start(opened) !== null, engine.failed];
}"""
SCREEN = "async ({ events, now }) => JSON.stringify(await engine.screen(events, { now }))"


def opened(page: Page, gym: Gym, data: object) -> list[Any]:
    """Open the engine in a page; whether it is ready, and why not."""
    page.set_default_timeout(READY_MS)
    page.goto(f"{gym.address}/cautions")
    found: list[Any] = page.evaluate(OPEN, [static_url("engine.js"), engine_urls(), data])
    return found


def as_json(screen: object) -> Any:
    return json.loads(json.dumps(screen))


@pytest.fixture(scope="module")
def machines(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Played]:
    folder = tmp_path_factory.mktemp("machines")
    return {machine: played(folder / machine, machine, seed=5) for machine in MACHINES}


def test_every_screen_of_three_machines_is_the_servers(
    thinking_page: Page, gym: Gym, machines: dict[str, Played]
) -> None:
    for machine, session in machines.items():
        assert opened(thinking_page, gym, session.opened) == [True, ""], machine
        for asked, answer in zip(session.asked, session.answers, strict=True):
            shown = json.loads(thinking_page.evaluate(SCREEN, asked))
            assert shown == as_json(answer), machine


def test_started_a_second_time_it_goes_on_from_the_memory_kept(
    thinking_page: Page, gym: Gym, machines: dict[str, Played]
) -> None:
    session = machines["twin-arms"]
    store, package = static_url("engine_store.js"), engine_urls()["package"]
    kept = f"async () => (await (await import('{store}')).kept('{package}'))?.length ?? 0"
    for _ in range(2):
        assert opened(thinking_page, gym, session.opened) == [True, ""]
        shown = json.loads(thinking_page.evaluate(SCREEN, session.asked[3]))
        assert shown == as_json(session.answers[3])
        wait_until(thinking_page, lambda: thinking_page.evaluate(kept) > 1_000_000, "the memory is kept")


def test_a_damaged_memory_is_done_without(thinking_page: Page, gym: Gym, machines: dict[str, Played]) -> None:
    session, store, package = machines["twin-arms"], static_url("engine_store.js"), engine_urls()["package"]
    thinking_page.goto(f"{gym.address}/cautions")
    damage = f"async () => (await import('{store}')).keep('{package}', new Uint8Array(70000))"
    thinking_page.evaluate(damage)
    assert opened(thinking_page, gym, session.opened) == [True, ""]
    assert json.loads(thinking_page.evaluate(SCREEN, session.asked[2])) == as_json(session.answers[2])


FORESEE = """async ([asked, ahead]) => {
  const seen = [];
  const first = engine.foresee(asked.events, ahead, (key) => seen.push(key), { now: asked.now });
  const screen = engine.screen(asked.events, { now: asked.now }).then(() => seen.push("screen"));
  await screen;
  const second = engine.foresee(asked.events, [{ key: "newer", events: [] }], (key) => seen.push(key));
  return [await first, await second, seen];
}"""


def test_a_screen_goes_before_what_is_foreseen_and_stale_foresight_is_dropped(
    thinking_page: Page, gym: Gym, machines: dict[str, Played]
) -> None:
    session = machines["twin-arms"]
    opened(thinking_page, gym, session.opened)
    ahead = [{"key": str(number), "events": []} for number in range(9)]
    first, second, seen = thinking_page.evaluate(FORESEE, [session.asked[2], ahead])
    assert (first, second) == (False, True)
    assert seen.index("screen") <= 1
    assert "8" not in seen
    assert seen[-1] == "newer"


def test_what_the_engine_refuses_it_says_in_words(
    thinking_page: Page, gym: Gym, machines: dict[str, Played]
) -> None:
    opened(thinking_page, gym, machines["twin-arms"].opened)
    assert thinking_page.evaluate(SCREEN, {"events": [], "now": None}) == "null"
    refused, failed = thinking_page.evaluate("() => [engine.refused, engine.failed]")
    assert "session" in refused
    assert failed == ""


START = """async (urls) => {
  const engine = new Engine(urls);
  await engine.start("/session/x/engine");
  return engine.failed;
}"""


def test_a_server_that_is_gone_is_told(thinking_page: Page, gym: Gym) -> None:
    thinking_page.goto(f"{gym.address}/cautions")
    loaded = f"async () => {{ globalThis.Engine = (await import('{static_url('engine.js')}')).Engine; }}"
    thinking_page.evaluate(loaded)
    gym.kill()
    assert thinking_page.evaluate(START, engine_urls()) != ""


def test_nothing_is_fetched_from_elsewhere(thinking_page: Page, gym: Gym, machines: dict[str, Played]) -> None:
    asked: list[str] = []
    thinking_page.context.on("request", lambda request: asked.append(request.url))
    opened(thinking_page, gym, machines["twin-arms"].opened)
    assert any("pyodide.asm.wasm" in url for url in asked)
    assert all(url.startswith(gym.address) for url in asked)
