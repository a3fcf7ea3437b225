"""Write docs/pictures/session-*.png: every state of the page at the machine, each reached by really doing it.

Run from the root of the repository, with the test extra installed and Chromium on the path (or named by
STEELYARD_CHROMIUM):

    python builders/session_pictures.py [FOLDER] [SCENE ...]

Servers are stopped, journals lost and rests waited for, so it takes some minutes. Scenes are the functions of this
file that take a Stage; without one named, all are played.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

from picture_taking import demo_home, found_chromium
from playwright.sync_api import sync_playwright
from served_home import FLAGS
from session_stage import LYING, LYING_TABLET, NAME, PATIENCE_MS, PHONE, SMALL, TABLET, WALL, Stage, staged

TWO_ARMS = """# outline
name = "arms-in-turn"
title = "Arms in turn"

[[exercise]]
do = "curl_cable"
reps = [10, 12]
sets = 2
rir = 1
rest = "90 s"

[[exercise]]
do = "triceps_pushdown"
reps = [10, 12]
sets = 2
rir = 1
superset = true
"""

CHANGES = {
    "heavier": "^Heavier",
    "swapped": " instead$",
    "busy": "^Somebody is at the station",
    "broken": " is broken$",
    "missing": "^One [0-9]",
    "short": "^10 min",
}
"""Changes of mind by the words of their buttons."""


def work_sets(stage: Stage) -> None:
    """From the first warm-up to what more rest buys."""
    stage.begin()
    stage.keep("session-begin", PHONE)
    stage.tap()
    stage.keep("session-warm-up", PHONE)
    stage.do_until("set 1 of")
    stage.keep("session", PHONE, SMALL, TABLET, LYING, LYING_TABLET)
    stage.keep_dark("session", PHONE)
    stage.tap()
    stage.keep("session-left", PHONE, SMALL, TABLET, LYING)
    stage.say("2")
    stage.keep("session-rest", PHONE)
    stage.page.locator('#clock[data-rest="nearly"]').wait_for(timeout=120_000)
    stage.keep("session-rest-nearly", PHONE)
    stage.page.locator('#clock[data-rest="over"]').wait_for()
    stage.keep("session-rest-over", PHONE)


def techniques(stage: Stage) -> None:
    """A drop set, a rest-pause, one arm at a time, and the end."""
    stage.begin()
    stage.do_until("strip now", asked=True)
    stage.keep("session-drop-asked", PHONE, SMALL, TABLET, LYING)
    stage.say("1")
    stage.keep("session-drop", PHONE)
    stage.do_until("go again", asked=True)
    stage.keep("session-rest-pause", PHONE)
    stage.keep_dark("session-rest-pause", PHONE)
    stage.say("1")
    stage.page.locator('#clock[data-rest="over"]').wait_for()
    stage.keep("session-go", PHONE)
    stage.do_until("left side")
    stage.keep("session-one-arm", PHONE)
    stage.tap()
    stage.say("1")
    stage.keep("session-one-arm-right", PHONE)
    while not stage.page.locator("#done:not([hidden])").count():
        stage.tap()
        stage.say("1")
    stage.keep("session-all-done", PHONE)
    stage.press("End the session")
    stage.page.get_by_role("heading", name="Session ended").wait_for()
    stage.settled()
    stage.keep("session-ended", PHONE)


def exercises_in_turn(stage: Stage) -> None:
    """The second exercise of two that alternate goes straight on."""
    stage.gym.kill()
    (stage.gym.folder / "outlines" / "arms-in-turn.toml").write_text(TWO_ARMS, encoding="utf-8")
    stage.gym.start()
    stage.begin("arms-in-turn")
    stage.do_until("set 1 of")
    stage.tap()
    stage.say("2")
    stage.keep("session-straight-on", PHONE)


def sheets(stage: Stage) -> None:
    """All that comes up over the page, and what it leaves behind."""
    stage.begin()
    stage.do_until("set 1 of")
    for name in ("Change", "Stop", "More"):
        stage.press(name)
        stage.keep(f"session-{name.lower()}", PHONE)
        stage.press("Close")
    stage.page.get_by_role("button", name="Another number of reps").click()
    stage.page.locator("#number").fill("1000")
    stage.press("Done")
    stage.keep("session-number", PHONE)
    stage.press("Close")
    stage.tap(hold=True)
    stage.keep("session-note", PHONE)
    stage.press("Form broke")
    stage.settled()
    stage.keep("session-noted", PHONE)


def looks(stage: Stage) -> None:
    """Settings, and what they make of the page."""
    stage.begin()
    stage.do_until("set 1 of")
    stage.press("More")
    stage.press("Settings")
    stage.keep("session-settings", PHONE)
    stage.page.locator("dialog[open]").get_by_text("big", exact=True).click()
    stage.press("Close")
    stage.keep("session-big", PHONE)
    stage.tap()
    stage.press("More")
    stage.press("Settings")
    stage.page.locator("dialog[open]").get_by_text("usual", exact=True).click()
    stage.page.locator("dialog[open]").get_by_text("left hand", exact=True).click()
    stage.press("Close")
    stage.say("2")
    stage.keep("session-left-hand", PHONE)


def changes(stage: Stage) -> None:
    """Each change of mind that shows on the page of the set."""
    stage.begin()
    stage.do_until("set 1 of")
    for name, words in CHANGES.items():
        stage.change(words)
        stage.keep(f"session-{name}", PHONE)
        stage.undo()


def stopped(stage: Stage) -> None:
    """Pain, and a sign to stop."""
    stage.begin()
    stage.do_until("set 1 of")
    stage.press("Stop")
    stage.press("Something hurts")
    stage.keep("session-pain", PHONE)
    stage.press("Go on with another exercise")
    stage.settled()
    stage.keep("session-after-pain", PHONE)
    stage.press("Stop")
    stage.press("One of these signs")
    stage.keep("session-sign", PHONE)


def cut_off(stage: Stage) -> None:
    """The server is gone, and the page has no engine."""
    stage.page.context.route("**/worker.js", lambda route: route.abort())
    stage.begin()
    stage.do_until("set 1 of")
    stage.gym.kill()
    stage.page.locator("#keys button.in").last.click()
    stage.page.locator("#link", has_text="does not answer").wait_for()
    stage.page.locator("#pad.left #keys button").get_by_text("2", exact=True).click()
    stage.page.locator("#pad:not(.left)").wait_for()
    stage.keep("session-kept", PHONE, SMALL, LYING)


def decided_alone(stage: Stage) -> None:
    """The server is gone, and the engine in the page decides."""
    stage.begin()
    stage.page.locator("html[data-engine=ready]").wait_for(state="attached", timeout=180_000)
    stage.do_until("set 1 of")
    stage.gym.kill()
    stage.tap()
    stage.say("2")
    stage.page.locator("#link", has_text="does not answer").wait_for()
    stage.keep("session-decided", PHONE)


def not_secure(stage: Stage) -> None:
    """Plain http by a name: no page could be had again without the server."""
    stage.begin(host=NAME)
    stage.do_until("set 1 of")
    stage.gym.kill()
    stage.page.locator("#link", has_text="reload").wait_for()
    stage.keep("session-plain-http", PHONE)


def refused(stage: Stage) -> None:
    """The machine was described anew meanwhile, and takes less than was loaded."""
    stage.begin()
    stage.do_until("set 1 of")
    stage.gym.kill()
    stage.page.locator("#keys button.in").last.click()
    stage.page.locator("#saved[data-state=kept]").wait_for()
    machine = stage.gym.folder / "machine.toml"
    text = machine.read_text(encoding="utf-8")
    machine.write_text(text.replace('rated = "90 kg"', 'rated = "10 kg"'), encoding="utf-8")
    stage.gym.start()
    stage.page.locator("#link", has_text="Not saved").wait_for()
    stage.keep("session-refused", PHONE)
    stage.press("More")
    stage.keep("session-refused-more", PHONE)


def unknown(stage: Stage) -> None:
    """The server comes back with another journal."""
    stage.begin()
    stage.do_until("set 1 of")
    stage.gym.kill()
    for part in stage.gym.folder.glob("journal.db*"):
        part.unlink()
    stage.gym.start()
    stage.page.locator("#link", has_text="takes nothing").wait_for()
    stage.keep("session-unknown", PHONE)


def in_turn(stage: Stage) -> None:
    """Two lifters on one machine."""
    stage.page.goto(f"{stage.gym.address}/turns?who=marek&who=tove&outline=pull")
    stage.press("Start together")
    stage.ready()
    stage.do_until("set 1 of")
    stage.keep("session-turn", PHONE)
    stage.tap()
    stage.keep("session-turn-left", PHONE)


def board(stage: Stage) -> None:
    """The board for the room."""
    wall = stage.page.context.browser.new_context(viewport={"width": WALL[0], "height": WALL[1]})  # type: ignore[union-attr]
    wall.set_default_timeout(PATIENCE_MS)
    seen = Stage(stage.gym, wall.new_page(), stage.folder)
    seen.page.goto(f"{stage.gym.address}/board")
    seen.page.get_by_role("heading", name="No session is going on").wait_for()
    seen.keep("board-waiting", WALL)
    stage.begin()
    seen.page.locator("#board[data-state=going]").wait_for()
    seen.keep("board", WALL)
    stage.do_until("set 2 of")
    seen.page.locator("#place", has_text="Set 2 of").wait_for()
    seen.keep("board-rest", WALL)
    stage.gym.kill()
    seen.page.locator("#heard", has_text="Server silent").wait_for()
    seen.keep("board-silent", WALL)
    wall.close()


SCENES: tuple[Callable[[Stage], None], ...] = (
    work_sets,
    techniques,
    exercises_in_turn,
    sheets,
    looks,
    changes,
    stopped,
    cut_off,
    decided_alone,
    not_secure,
    refused,
    unknown,
    in_turn,
    board,
)


def main() -> None:
    """Play the scenes."""
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else Path("docs/pictures")
    folder.mkdir(parents=True, exist_ok=True)
    flags = [*FLAGS, f"--host-resolver-rules=MAP {NAME} 127.0.0.1"]
    with sync_playwright() as playwright, demo_home() as home:
        browser = playwright.chromium.launch(executable_path=found_chromium(), args=flags)
        for scene in SCENES:
            if not sys.argv[2:] or scene.__name__ in sys.argv[2:]:
                print(scene.__name__, flush=True)
                with staged(browser, home, folder) as stage:
                    scene(stage)
        browser.close()


if __name__ == "__main__":
    main()
