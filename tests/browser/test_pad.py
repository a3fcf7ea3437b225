"""The pad under other hands: keys, two pedals, a long press; the note beside a set; the voice and the settings."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from browser.steps import begin, is_asking, ready, saved, saved_all, say_left, seen, slot, tap_reps
from steelyard.journal.codec import plain_event
from steelyard.journal.events import ExerciseEnded, SetCorrected

if TYPE_CHECKING:
    from playwright.sync_api import Page

    from browser.conftest import Gym
    from steelyard.journal.events import SetDone

SPEECH = """
globalThis.said = [];
globalThis.SpeechSynthesisUtterance = class extends EventTarget {
  constructor(text) { super(); this.text = text }
};
const speech = Object.assign(new EventTarget(), {
  speaking: false, pending: false, getVoices: () => [], speak(words) { said.push(words.text) }, cancel() {},
});
Object.defineProperty(globalThis, "speechSynthesis", { value: speech });
"""


def time_stands_still(page: Page) -> None:
    """Whatever follows is pressed at one moment, however slow the machine is."""
    page.evaluate("() => { const now = performance.now(); performance.now = () => now }")


def moved_on(page: Page, done: str) -> None:
    """Wait until another set is shown."""
    page.locator(f'#pad:not([data-slot="{done}"])').wait_for(state="attached")


def tap_the_warm_ups(page: Page) -> None:
    """Tap until the set to do is one whose effort is asked for."""
    while page.locator("#where", has_text="warm-up").count():  # in whatever case
        tap_reps(page)
        seen(page)


def test_digits_and_enter_say_a_number(page: Page, gym: Gym) -> None:
    address = begin(page, gym)
    time_stands_still(page)
    page.keyboard.type("12")
    page.keyboard.press("Enter")
    page.locator("#saved-words", has_text="12 reps").wait_for()
    saved(page)
    assert [one.reps for one in gym.sets_of(address)] == [12]


def test_a_number_off_the_pad_can_be_typed_too(page: Page, gym: Gym) -> None:
    address = begin(page, gym)
    time_stands_still(page)
    page.keyboard.type("31")
    page.keyboard.press("Enter")
    page.locator("#saved-words", has_text="31 reps").wait_for()
    saved(page)
    assert [one.reps for one in gym.sets_of(address)] == [31]


def test_digits_typed_slowly_are_two_numbers(page: Page, gym: Gym) -> None:
    address = begin(page, gym)
    page.keyboard.type("1")
    page.wait_for_timeout(1700)
    page.keyboard.type("9")
    page.keyboard.press("Enter")
    page.locator("#saved-words", has_text="9 reps").wait_for()
    saved(page)
    assert [one.reps for one in gym.sets_of(address)] == [9]


def test_backspace_takes_the_last_thing_back(page: Page, gym: Gym) -> None:
    address = begin(page, gym)
    done = tap_reps(page)
    page.keyboard.press("Backspace")
    page.locator(f'#pad[data-slot="{done}"]').wait_for()
    saved_all(page)
    assert gym.session(address).sets == ()


def test_forward_on_a_pedal_takes_the_last_rep_count_wanted(page: Page, gym: Gym) -> None:
    address = begin(page, gym)
    wanted = page.locator("#keys button.in").last.inner_text()
    page.keyboard.press("PageDown")
    saved(page)
    assert [str(one.reps) for one in gym.sets_of(address)] == [wanted]


def test_back_on_a_pedal_marks_one_less_and_forward_takes_it(page: Page, gym: Gym) -> None:
    address = begin(page, gym)
    wanted = int(page.locator("#keys button.in").last.inner_text())
    for _ in range(3):
        page.keyboard.press("ArrowLeft")
        page.wait_for_timeout(150)
    page.keyboard.press("ArrowRight")
    saved(page)
    assert [one.reps for one in gym.sets_of(address)] == [wanted - 2]


def test_a_pedal_that_bounces_is_one_press(page: Page, gym: Gym) -> None:
    address = begin(page, gym)
    time_stands_still(page)
    page.keyboard.press("PageDown")
    page.keyboard.press("PageDown")
    saved_all(page)
    assert len(gym.sets_of(address)) == 1


def test_a_finger_that_bounces_is_one_tap(page: Page, gym: Gym) -> None:
    page.clock.install()
    address = begin(page, gym)
    tap_the_warm_ups(page)
    before = len(gym.sets_of(address))
    tapped_twice(page, "#keys button.in")
    assert is_asking(page)
    saved(page)
    assert len(gym.sets_of(address)) == before + 1


def test_undo_tapped_twice_takes_one_set_back(page: Page, gym: Gym) -> None:
    page.clock.install()
    begin(page, gym)
    tap_reps(page)
    second = slot(page)
    tap_reps(page)
    tapped_twice(page, "#undo")
    page.locator(f'#pad[data-slot="{second}"]').wait_for(state="attached")
    seen(page)
    assert slot(page) == second


def tapped_twice(page: Page, found: str) -> None:
    """Two clicks on one spot between which the page's clock stands, however slow the machine is; then what came of
    them is waited for."""
    page.locator(found).first.click(trial=True)  # waits until it can be tapped at all
    box = page.locator(found).first.bounding_box()
    assert box is not None
    middle = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.clock.pause_at(page.evaluate("Date.now() / 1000 + 60"))
    page.mouse.click(*middle)
    page.mouse.click(*middle)
    page.clock.resume()
    seen(page)


def test_more_reps_than_can_be_are_asked_again(page: Page, gym: Gym) -> None:
    begin(page, gym)
    time_stands_still(page)
    page.keyboard.type("999")
    page.keyboard.press("Enter")
    page.locator("#sheet").get_by_role("heading", name="How many reps?").wait_for()
    assert not page.locator("#saved").is_visible()


def test_two_pedals_say_how_many_were_left(page: Page, gym: Gym) -> None:
    address = begin(page, gym)
    tap_the_warm_ups(page)
    done = slot(page)
    page.keyboard.press("PageDown")
    moved_on(page, done)
    assert is_asking(page)
    usual = page.locator("#keys button.in").inner_text()
    page.wait_for_timeout(150)
    page.keyboard.press("PageDown")
    page.locator("#pad:not(.left)").wait_for()
    saved_all(page)
    last = gym.session(address).sets[-1].done
    assert (last.slot, str(last.rir), last.ended) == (done, usual, "reported")


def test_keys_do_nothing_while_a_sheet_is_open(page: Page, gym: Gym) -> None:
    address = begin(page, gym)
    page.locator("#stop").click()
    for key in ("8", "PageDown", "Backspace"):
        page.keyboard.press(key)
    page.wait_for_timeout(300)
    assert gym.sets_of(address) == []
    assert gym.session(address).ended_at is None


def test_a_long_press_logs_the_set_and_opens_the_note(page: Page, gym: Gym) -> None:
    address = begin(page, gym)
    page.locator("#keys button.in").first.hover()
    page.mouse.down()
    page.locator("#sheet[open] #note-text").wait_for()
    page.mouse.up()
    page.locator("#note-text").fill("Left shoulder clicks")
    page.get_by_role("button", name="Keep the note").click()
    page.locator("#saved-words", has_text="Left shoulder clicks").wait_for()
    saved_all(page)
    assert [one.done.note for one in gym.session(address).sets] == ["Left shoulder clicks"]


def note(page: Page, words: str, group: str = "") -> None:
    """Tap something on the sheet that says more of the last set. group: the heading it is under begins so."""
    page.locator("#note").click()
    sheet = page.locator("#sheet[open]")
    under = sheet.get_by_role("group", name=group) if group else sheet
    under.get_by_role("button", name=words, exact=True).last.click()


NOTES = {
    "Form broke": ("form", True),
    "2": ("helped", 2),
}


@pytest.mark.parametrize(("words", "said"), NOTES.items(), ids=NOTES)
def test_a_note_is_a_correction_of_the_set(page: Page, gym: Gym, words: str, said: tuple[str, object]) -> None:
    begin(page, gym)
    tap_the_warm_ups(page)
    tap_reps(page)
    note(page, words)
    saved_all(page)
    corrections = [event for event in gym.events() if isinstance(event.body, SetCorrected)]
    plain = plain_event(corrections[-1])
    assert (plain["version"], plain["body"][said[0]]) == (2, said[1])
    assert page.locator("#saved-words", has_text="form broke" if said[0] == "form" else "2 helped").count() == 1


def last_set(page: Page, gym: Gym, address: str) -> SetDone:
    """The latest set as the journal reads it, once all is there."""
    saved_all(page)
    return gym.session(address).sets[-1].done


def test_a_wrong_tap_on_how_many_more_is_put_right(page: Page, gym: Gym) -> None:
    address = begin(page, gym)
    tap_the_warm_ups(page)
    tap_reps(page)
    page.locator("#keys").get_by_role("button", name="failed").click()
    note(page, "2", "How many more")
    page.locator("#saved-words", has_text="2 left").wait_for()
    done = last_set(page, gym, address)
    assert (done.rir, done.ended) == (2, "reported")


def test_help_and_form_are_taken_back(page: Page, gym: Gym) -> None:
    """Form that held after all leaves nobody's word on how the set ended, so it is asked again."""
    address = begin(page, gym)
    tap_the_warm_ups(page)
    tap_reps(page)
    for words, group in (("Form broke", ""), ("2", "Reps that were helped"), ("none", "Reps that were helped")):
        note(page, words, group)
    note(page, "Form held")
    page.locator("#pad.left").wait_for()
    done = last_set(page, gym, address)
    assert (done.helped, done.ended) == (0, "unsaid")


def test_form_that_broke_asks_no_more(page: Page, gym: Gym) -> None:
    begin(page, gym)
    tap_the_warm_ups(page)
    tap_reps(page)
    assert is_asking(page)
    page.locator("#note").click()
    page.get_by_role("button", name="Form broke").click()
    page.locator("#pad:not(.left)").wait_for()
    saved_all(page)
    assert not is_asking(page)


def test_a_wrong_number_of_reps_is_put_right(page: Page, gym: Gym) -> None:
    address = begin(page, gym)
    tap_reps(page)
    page.locator("#note").click()
    page.get_by_role("button", name="Correct the reps").click()
    page.locator("#number").fill("3")
    page.get_by_role("button", name="Done").click()
    page.locator("#saved-words", has_text="3 reps").wait_for()
    saved_all(page)
    assert [one.done.reps for one in gym.session(address).sets] == [3]


def test_pain_noted_with_a_set_ends_the_exercise(page: Page, gym: Gym) -> None:
    begin(page, gym)
    place = tap_reps(page).split(".")[0]
    page.locator("#note").click()
    page.get_by_role("button", name="It hurt").click()
    page.locator(f'#pad:not([data-slot^="{place}."])').wait_for(state="attached")
    saved_all(page)
    assert [e.body.why for e in gym.events() if isinstance(e.body, ExerciseEnded)] == ["pain"]


def test_the_next_set_is_told_to_a_screen_reader_once_it_is_settled(page: Page, gym: Gym) -> None:
    """A quiet live region, WAI-ARIA 1.2: polite, so that what is being read comes to its end first."""
    begin(page, gym)
    first = page.locator("#heard[aria-live=polite]:not(:empty)").text_content()
    tap_reps(page)
    page.locator("#heard", has_not_text=first or "nothing").wait_for(state="attached")
    seen(page)
    assert page.locator("#heard").text_content() != first


def test_keys_that_are_wanted_are_told_in_words_too(page: Page, gym: Gym) -> None:
    begin(page, gym)
    wanted = page.locator("#keys button.in")
    assert wanted.count() == page.locator("#keys button[aria-description='as wanted']").count() > 0


def switch_the_voice_on(page: Page) -> None:
    page.locator("#more").click()
    page.get_by_role("button", name="Settings").click()
    page.get_by_label("Plates and reps called out").check()
    page.locator("dialog.settings").get_by_role("button", name="Close").click()


def test_the_next_set_is_called_out_once_the_voice_is_on(page: Page, gym: Gym) -> None:
    page.add_init_script(SPEECH)
    begin(page, gym)
    switch_the_voice_on(page)
    page.evaluate("said.length = 0")
    tap_reps(page)
    seen(page)
    page.wait_for_function("said.length > 0")
    said = page.evaluate("said.join(' ')")
    assert page.locator("#name").inner_text().lower() in said.lower()


def test_nothing_is_called_out_unless_it_is_asked_for(page: Page, gym: Gym) -> None:
    page.add_init_script(SPEECH)
    begin(page, gym)
    tap_reps(page)
    seen(page)
    assert page.evaluate("said") == []
    page.locator("#again").click()
    said = page.evaluate("said.join(' ')")
    assert page.locator("#name").inner_text().lower() in said.lower()


def test_settings_survive_a_reload(page: Page, gym: Gym) -> None:
    begin(page, gym)
    page.locator("#more").click()
    page.get_by_role("button", name="Settings").click()
    page.get_by_label("left hand").check()
    page.get_by_label("big").check()
    page.locator("dialog.settings").get_by_role("button", name="Close").click()
    page.reload()
    ready(page)
    assert page.locator('html[data-hand="left"][data-text="big"]').count() == 1


def test_what_is_asked_beside_a_drop_set_can_wait(page: Page, gym: Gym) -> None:
    address = begin(page, gym, lifter="tove", outline="pull")
    while not page.locator("#lead.now").count():
        tap_reps(page)
        if is_asking(page):
            say_left(page)
        seen(page)
    assert page.locator("#aside").is_visible()
    strip = tap_reps(page)
    saved_all(page)
    assert gym.sets_of(address)[-1].slot == strip
