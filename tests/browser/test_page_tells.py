"""Settings, voice, tones and the waking screen: each works alone, obeys the settings and never throws."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from browser.module_page import PLAIN, SECURE, call, open_modules

if TYPE_CHECKING:
    from playwright.sync_api import Page

SPEECH = """
globalThis.said = [];
class Words extends EventTarget { constructor(text) { super(); this.text = text } }
globalThis.SpeechSynthesisUtterance = Words;
const voices = [["Ada", "en-GB"], ["Bo", "en_US"], ["Cai", "fr-FR"]].map(([name, lang]) => ({ name, lang }));
voices[0].default = true;
const speech = new EventTarget();
Object.assign(speech, {
  speaking: false, pending: false, getVoices: () => voices,
  speak(words) { said.push(`${words.text} (${words.voice?.name})`); this.speaking = true; this.now = words },
  cancel() { if (this.speaking) said.push("cut"); this.speaking = false },
  end() { this.speaking = false; this.now.dispatchEvent(new Event("end")) },
});
Object.defineProperty(globalThis, "speechSynthesis", { value: speech });
"""
NO_STORAGE = "Object.defineProperty(globalThis, 'localStorage', { get() { throw new DOMException('no') } })"
BUZZES = "globalThis.buzzes = []; navigator.vibrate = (pattern) => { buzzes.push(pattern); return true }"


def chosen(page: Page, name: str, value: object) -> Any:
    return call(page, "settings.js", "set", name, value)


def settings(page: Page) -> Any:
    return page.evaluate("async () => ({ ...(await import('/settings.js')).settings })")


def background(page: Page) -> str:
    return str(page.evaluate("getComputedStyle(document.body).backgroundColor"))


def test_settings_are_kept_through_a_reload(page: Page) -> None:
    open_modules(page)
    assert chosen(page, "theme", "dark")
    assert chosen(page, "warning_s", 20)
    page.reload()
    assert settings(page)["warning_s"] == 20
    assert page.locator("html").get_attribute("data-theme") == "dark"


@pytest.mark.parametrize(("name", "value"), [("theme", "pink"), ("sound", "yes"), ("warning_s", 61), ("x", 1)])
def test_a_setting_that_does_not_fit_is_refused(page: Page, name: str, value: object) -> None:
    open_modules(page)
    before = settings(page)
    assert chosen(page, name, value) is False
    assert settings(page) == before


@pytest.mark.parametrize("kept", ["{", "null", '{"theme": 3, "hand": "left"}'])
def test_what_is_damaged_in_the_store_is_left_out(page: Page, kept: str) -> None:
    open_modules(page)
    page.evaluate("kept => localStorage.setItem('steelyard-settings', kept)", kept)
    page.reload()
    found = settings(page)
    assert found["theme"] == "auto"
    assert found["hand"] == ("left" if "left" in kept else "right")


def test_without_a_store_settings_hold_while_the_page_is_open(page: Page) -> None:
    page.add_init_script(NO_STORAGE)
    open_modules(page)
    assert chosen(page, "hand", "left")
    assert page.locator("html").get_attribute("data-hand") == "left"
    call(page, "settings_sheet.js", "openSettings")
    assert "until the page is closed" in page.locator("dialog").inner_text()


@pytest.mark.parametrize(("scheme", "theme"), [("light", "dark"), ("dark", "light")])
def test_the_look_chosen_wins_over_the_devices(page: Page, scheme: Any, theme: str) -> None:
    page.emulate_media(color_scheme=theme)  # type: ignore[arg-type]
    open_modules(page)
    wanted = background(page)
    page.emulate_media(color_scheme=scheme)
    assert background(page) != wanted
    chosen(page, "theme", theme)
    assert background(page) == wanted
    chosen(page, "theme", "auto")
    assert background(page) != wanted


def test_big_text_is_a_quarter_larger(page: Page) -> None:
    open_modules(page)
    size = "parseFloat(getComputedStyle(document.body).fontSize)"
    usual = page.evaluate(size)
    chosen(page, "text", "big")
    assert page.evaluate(size) == pytest.approx(1.25 * usual)


def test_a_change_on_one_page_reaches_another(page: Page) -> None:
    open_modules(page)
    settings(page)
    other = page.context.new_page()
    open_modules(other)
    chosen(other, "theme", "dark")
    page.locator("html[data-theme=dark]").wait_for(state="attached")


def test_everything_on_the_sheet_can_be_set_and_is_large_enough(page: Page) -> None:
    """Targets of at least 44 px: WCAG 2.2 (W3C Recommendation), success criterion 2.5.5."""
    page.add_init_script(SPEECH)
    open_modules(page)
    call(page, "settings_sheet.js", "openSettings")
    page.get_by_label("left hand").check()
    page.get_by_label("called out").check()
    page.get_by_role("combobox", name="Voice").select_option("Bo")
    page.get_by_label("Warn before").fill("15")
    low = [box["height"] for one in page.locator("dialog :is(label, button)").all() if (box := one.bounding_box())]
    assert min(low) >= 44
    page.get_by_role("button", name="Close").click()
    page.locator("dialog").wait_for(state="detached")
    found = settings(page)
    assert (found["hand"], found["voice"], found["voiceName"], found["warning_s"]) == ("left", True, "Bo", 15)


def test_an_impossible_warning_is_put_back(page: Page) -> None:
    open_modules(page)
    call(page, "settings_sheet.js", "openSettings")
    page.get_by_label("Warn before").fill("900")
    page.get_by_label("Warn before").blur()
    assert page.get_by_label("Warn before").input_value() == "10"


@pytest.fixture
def speaking(page: Page) -> Page:
    """A page with a voice in which what is said is written down."""
    page.add_init_script(SPEECH)
    open_modules(page)
    chosen(page, "voice", True)
    return page


def heard(page: Page) -> Any:
    return page.evaluate("said")


def test_a_new_plate_change_takes_the_place_of_the_old(speaking: Page) -> None:
    call(speaking, "voice.js", "say", "ten off")
    call(speaking, "voice.js", "say", "five on")
    assert heard(speaking) == ["ten off (Ada)", "cut", "five on (Ada)"]


def test_more_waits_for_what_is_being_said(speaking: Page) -> None:
    call(speaking, "voice.js", "say", "ten off")
    call(speaking, "voice.js", "say", "eight reps", "more")
    assert heard(speaking) == ["ten off (Ada)", "eight reps (Ada)"]


def test_digits_of_a_countdown_cut_each_other_but_no_words(speaking: Page) -> None:
    for digit in ("three", "two"):
        call(speaking, "voice.js", "say", digit, "count")
    call(speaking, "voice.js", "say", "go")
    call(speaking, "voice.js", "say", "one", "count")
    assert heard(speaking) == ["three (Ada)", "cut", "two (Ada)", "cut", "go (Ada)"]
    speaking.evaluate("speechSynthesis.end()")
    assert call(speaking, "voice.js", "say", "one", "count")


def test_the_voice_chosen_is_used_and_off_is_silent_at_once(speaking: Page) -> None:
    chosen(speaking, "voiceName", "Bo")
    call(speaking, "voice.js", "say", "ten off")
    chosen(speaking, "voice", False)
    assert call(speaking, "voice.js", "say", "five on") is False
    assert heard(speaking) == ["ten off (Bo)", "cut"]


def test_a_browser_without_speech_is_silent(page: Page) -> None:
    page.add_init_script("Object.defineProperty(globalThis, 'speechSynthesis', { value: undefined })")
    open_modules(page)
    chosen(page, "voice", True)
    assert call(page, "voice.js", "say", "ten off") is False
    call(page, "settings_sheet.js", "openSettings")
    assert not page.get_by_label("Voice", exact=True).is_visible()


def test_tones_wait_for_the_first_touch(page: Page) -> None:
    page.add_init_script(BUZZES)
    open_modules(page)
    assert call(page, "tones.js", "signal", "go") == {"sounded": False, "vibrated": True}
    page.mouse.click(5, 5)
    assert call(page, "tones.js", "signal", "go") == {"sounded": True, "vibrated": True}


def test_tones_and_vibration_obey_their_settings(page: Page) -> None:
    page.add_init_script(BUZZES)
    open_modules(page)
    call(page, "tones.js", "unlock")
    chosen(page, "sound", False)
    chosen(page, "vibration", False)
    assert call(page, "tones.js", "signal", "nearly") == {"sounded": False, "vibrated": False}
    assert page.evaluate("buzzes") == []


def test_a_browser_without_sound_or_vibration_does_nothing(page: Page) -> None:
    page.add_init_script("for (const name of ['AudioContext', 'webkitAudioContext']) delete globalThis[name]")
    page.add_init_script("Object.defineProperty(navigator, 'vibrate', { value: undefined })")
    open_modules(page)
    page.mouse.click(5, 5)
    assert call(page, "tones.js", "signal", "saved") == {"sounded": False, "vibrated": False}


def test_a_played_tone_is_heard_and_ends(page: Page) -> None:
    """Rendered offline: loud within the tone, still after it."""
    page.add_init_script(
        """globalThis.AudioContext = class extends OfflineAudioContext {
          constructor() { super(1, 44100, 44100); globalThis.rendering = this }
          get state() { return 'running' } }"""
    )
    open_modules(page)
    call(page, "tones.js", "unlock")
    call(page, "tones.js", "signal", "go")
    loud = page.evaluate(
        """async () => { const sound = (await rendering.startRendering()).getChannelData(0);
        const most = (from, to) => Math.max(...sound.slice(from * 44100, to * 44100).map(Math.abs));
        return [most(0.02, 0.1), most(0.25, 0.35), most(0.7, 1)] }"""
    )
    assert loud[0] > 0.2
    assert loud[1] > 0.1
    assert loud[2] < 0.002


def awake(page: Page) -> Any:
    return call(page, "awake.js", "keepAwake")["how"]


def test_on_plain_http_a_film_keeps_the_screen_on(page: Page) -> None:
    open_modules(page, PLAIN)
    assert awake(page) == "film"
    assert page.evaluate("!document.querySelector('video.awake').paused")
    call(page, "awake.js", "letSleep")
    assert page.locator("video").count() == 0
    assert call(page, "awake.js", "state")["how"] == "off"


def test_on_a_secure_origin_the_lock_is_taken_again_after_the_page_was_hidden(page: Page) -> None:
    page.add_init_script(
        """globalThis.locks = []; const request = async () => { const lock = new EventTarget();
        lock.release = async () => lock.dispatchEvent(new Event('release')); locks.push(lock); return lock };
        Object.defineProperty(navigator, 'wakeLock', { value: { request } })"""
    )
    open_modules(page, SECURE)
    assert awake(page) == "lock"
    page.evaluate("locks[0].release()")
    page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    page.wait_for_function("locks.length === 2")
    call(page, "awake.js", "letSleep")
    page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    assert page.evaluate("locks.length") == 2


def test_where_nothing_works_the_page_can_say_so(page: Page) -> None:
    page.add_init_script("delete HTMLCanvasElement.prototype.captureStream")
    open_modules(page, PLAIN)
    assert awake(page) == "none"
    assert "time-out" in call(page, "awake.js", "state")["words"]


NOTHING_AMISS = {"away": False, "waiting": 0, "trouble": "", "refused": None, "lasting": True, "offline": True}


@pytest.mark.parametrize("away", [True, False])
def test_a_page_that_keeps_nothing_says_so_whether_the_server_answers_or_not(page: Page, away: bool) -> None:
    open_modules(page)
    page.evaluate("document.body.append(Object.assign(document.createElement('p'), { id: 'link' }))")
    call(page, "show.js", "showLink", NOTHING_AMISS | {"away": away, "waiting": 1, "lasting": False})
    said = page.locator("#link").inner_text()
    assert "keeps nothing beyond this page (full, or a private window?)" in said
    assert said.startswith("The server does not answer") == away
    assert "waits here" not in said
