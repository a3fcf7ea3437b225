"""What may be changed during a session, as the event that it would be."""

from __future__ import annotations

import pytest

from gyms import Clock, join, steelyard, tell_strength
from steelyard.errors import OutOfRange, UnknownName
from steelyard.journal.events import (
    ExerciseEnded,
    ExercisePostponed,
    ExerciseSwapped,
    LoadChosen,
    PlatesMissing,
    SessionsJoined,
    StationClosed,
    TimeShortened,
)
from steelyard.service import Steelyard
from steelyard.training.decide import TELLABLE
from steelyard.training.model import PreparedSet, Role
from steelyard.workshop import changing


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def use(clock: Clock) -> Steelyard:
    found = steelyard(clock=clock)
    tell_strength(found, join(found))
    return found


@pytest.fixture
def session(use: Steelyard) -> str:
    return use.start_session("ida", "pull")


def left(use: Steelyard, session: str) -> tuple[PreparedSet, ...]:
    return use.session(session).prepared.sets


def work(use: Steelyard, session: str) -> PreparedSet:
    return next(one for one in left(use, session) if one.role is Role.WORK)


# ---- swaps and order ----


def test_swaps_have_the_same_pattern_a_station_and_no_place_in_the_session_yet(
    use: Steelyard, session: str
) -> None:
    found = changing.swaps_for(use, session, 1)
    taken = {item.exercise for item in use.home.outlines["pull"].items}
    assert found
    assert {each.pattern for each in found} == {"horizontal_pull"}
    assert all(use.gym.stations_for(each.id) and each.id not in taken for each in found)


def test_the_most_alike_comes_first(use: Steelyard, session: str) -> None:
    names = [each.id for each in changing.swaps_for(use, session, 1)]
    assert names[0] == "lever_row_bent"
    assert names.index("lever_row_bent") < names.index("lever_row_one_arm")
    assert names[-1] == "face_pull"


def test_no_swap_needs_a_station_that_is_out_of_order(use: Steelyard, session: str) -> None:
    use.record(StationClosed(session, "row"))
    names = {each.id for each in changing.swaps_for(use, session, 1)}
    assert names.isdisjoint({"lever_row_bent", "lever_row_one_arm", "lever_row_high"})


def test_a_swap_is_done_once_it_is_recorded(use: Steelyard, session: str) -> None:
    use.record(changing.swap(use, session, 1, "lever_row_bent"))
    assert left(use, session)[0].exercise == "lever_row_bent"


def test_a_swap_without_an_open_station_is_refused_with_what_there_is(use: Steelyard, session: str) -> None:
    use.record(StationClosed(session, "row"))
    with pytest.raises(UnknownName, match="lever_row_bent"):
        changing.swap(use, session, 1, "lever_row_bent")
    with pytest.raises(OutOfRange, match="place in the outline is 9; it must be from 1 to"):
        changing.swap(use, session, 9, "lever_row_bent")


def test_an_exercise_is_put_off_until_after_the_next_at_another_station(use: Steelyard, session: str) -> None:
    body = changing.put_off(use, session, 1, left(use, session))
    assert body == ExercisePostponed(session, 1, 2)
    use.record(body)
    assert left(use, session)[0].slot.startswith("2.")


def test_the_last_exercise_left_can_not_be_put_off(use: Steelyard, session: str) -> None:
    last = len(use.home.outlines["pull"].items)
    for place in range(1, last):
        use.record(ExerciseEnded(session, place, "enough"))
    assert changing.put_off(use, session, last, left(use, session)) is None


# ---- loads ----


def test_heavier_and_lighter_are_the_next_loads_that_a_hand_can_tell(use: Steelyard, session: str) -> None:
    one = work(use, session)
    up, down = changing.heavier(use, session, one), changing.lighter(use, session, one)
    assert up and down
    assert up.load_kg >= (1 + TELLABLE) * one.felt_kg
    assert down.load_kg <= one.felt_kg / (1 + TELLABLE)
    between = [kg for kg in use.session(session).prepared.ladders[one.station] if down.load_kg < kg < up.load_kg]
    assert all(abs(kg / one.felt_kg - 1) < TELLABLE for kg in between)


def test_each_tap_on_heavier_goes_one_load_up(use: Steelyard, clock: Clock, session: str) -> None:
    one = work(use, session)
    for _ in range(4):
        body = changing.heavier(use, session, one)
        assert body is not None
        use.record(body)
        clock.wait(seconds=1)
        one = work(use, session)
        assert one.felt_kg == body.load_kg
    assert one.felt_kg > one.advised_kg


def test_nothing_is_heavier_than_the_heaviest(use: Steelyard, session: str) -> None:
    one = work(use, session)
    heaviest_kg = use.session(session).prepared.ladders[one.station][-1]
    use.record(LoadChosen(session, one.slot, heaviest_kg))
    assert work(use, session).felt_kg == heaviest_kg
    assert changing.heavier(use, session, work(use, session)) is None


def test_a_light_test_set_is_made_lighter_but_never_heavier(use: Steelyard) -> None:
    session = use.start_session(join(use, "bo"), "pull")
    (first, *_) = left(use, session)
    assert first.role is Role.TEST
    assert changing.heavier(use, session, first) is None


def test_a_drop_goes_on_as_it_is(use: Steelyard, session: str) -> None:
    drop = next(one for one in left(use, session) if one.role in (Role.DROP, Role.REST_PAUSE))
    assert changing.heavier(use, session, drop) is changing.lighter(use, session, drop) is None


# ---- plates ----


def test_one_more_of_each_plate_that_goes_on_may_be_missing(use: Steelyard, session: str) -> None:
    one = work(use, session)
    names = {move.plate.name for move in one.moves if move.on}
    hanging = {plate.name for stack in one.loading.values() for plate in stack} - names
    assert names
    assert hanging
    found = changing.plates_that_may_be_missing(use, session, one)
    assert found == {name: PlatesMissing(session, (f"{name}*1",)) for name in names}


def test_what_is_missing_already_stays_missing(use: Steelyard, session: str) -> None:
    use.record(changing.missing_too(use, session, ["10 kg*1", "5 kg"]))
    body = changing.missing_too(use, session, ["10kg*2"])
    assert body == PlatesMissing(session, ("5 kg", "10kg*2"))


def test_a_second_plate_of_a_kind_makes_two(use: Steelyard, session: str) -> None:
    one = work(use, session)
    name, body = next(iter(changing.plates_that_may_be_missing(use, session, one).items()))
    use.record(body)
    now = next(each for each in left(use, session) if each.role is Role.WORK)
    again = changing.plates_that_may_be_missing(use, session, now)
    assert name not in again or again[name].plates == (f"{name}*2",)


@pytest.mark.parametrize(
    ("name", "error"), [("7 kg", UnknownName), ("5 kg*0", OutOfRange), ("5 kg*99", OutOfRange)]
)
def test_a_plate_that_can_not_be_missing_is_refused(
    use: Steelyard, session: str, name: str, error: type[Exception]
) -> None:
    with pytest.raises(error):
        changing.missing_too(use, session, [name])


# ---- time ----


def test_a_session_ends_in_the_minutes_that_are_left(use: Steelyard, session: str) -> None:
    whole_s = use.session(session).prepared.lasts_s
    body = changing.in_minutes(use, session, 15)
    use.record(body)
    assert body.left_out
    assert use.session(session).prepared.lasts_s <= 15 * 60 < whole_s


def test_more_time_brings_back_what_was_left_out(use: Steelyard, session: str) -> None:
    use.record(changing.in_minutes(use, session, 10))
    assert changing.in_minutes(use, session, 600) == TimeShortened(session, 600, ())


@pytest.mark.parametrize("minutes", [0, -5, 1441])
def test_minutes_that_are_none_are_refused(use: Steelyard, session: str, minutes: int) -> None:
    with pytest.raises(OutOfRange, match=f"minutes left is {minutes}; it must be from 1 to 1440"):
        changing.in_minutes(use, session, minutes)


def test_in_turn_with_others_each_gives_up_more(use: Steelyard, session: str) -> None:
    alone = changing.in_minutes(use, session, 20)
    tell_strength(use, join(use, "bo"))
    use.record(SessionsJoined((session, use.start_session("bo", "pull"))))
    assert len(changing.in_minutes(use, session, 20).left_out) > len(alone.left_out)


# ---- the house, and taking back ----


def test_who_trains_in_turn_heeds_what_the_other_found_broken(use: Steelyard, session: str) -> None:
    tell_strength(use, join(use, "bo"))
    other = use.start_session("bo", "pull")
    use.record(SessionsJoined((session, other)))
    use.record(StationClosed(session, "row-chest"))
    use.record(PlatesMissing(other, ("10 kg",)))
    assert all(one.station != "row-chest" for one in left(use, other))
    assert use.session_task(session).changed.missing == ("10 kg",)


def test_the_latest_change_is_found_and_taken_back(use: Steelyard, clock: Clock, session: str) -> None:
    assert changing.last_change(use, session) is None
    use.record(StationClosed(session, "row-chest"))
    clock.wait(seconds=5)
    swapped = use.record(ExerciseSwapped(session, 1, "lever_row_bent"))
    clock.wait(seconds=5)
    latest = changing.last_change(use, session)
    assert latest is not None
    assert latest.id == swapped
    use.delete(latest.id)
    before = changing.last_change(use, session)
    assert before is not None
    assert before.body == StationClosed(session, "row-chest")
