"""A calibration changes what is believed from now on; old sets are recounted for decisions, never rewritten."""

from __future__ import annotations

from dataclasses import replace
from math import log
from typing import Any

import pytest

from gyms import Clock, boathouse, home, join, logged, steelyard, tell_strength
from steelyard.home import Home
from steelyard.journal.events import MachineCalibrated
from steelyard.journal.fold import LoggedCalibration
from steelyard.machine.fingerprint import fingerprint
from steelyard.machine.unknowns import unknowns
from steelyard.service import Steelyard
from steelyard.training.believed import believed
from steelyard.training.gym import Gym
from steelyard.training.model import PreparedSet, Role
from steelyard.workshop.sets import log_set

GYM = boathouse()


def heavier(share: float = 0.1, **changes: Any) -> MachineCalibrated:
    """A calibration that finds the empty arm this much heavier, and all else as described."""
    found = unknowns(GYM.machine)
    values = tuple(one.value * (1 + share) if one.name == "arm.main.along_kg_m" else one.value for one in found)
    rows = tuple(tuple(one.sd**2 if one is other else 0.0 for other in found) for one in found)
    usual: dict[str, Any] = {
        "machine": GYM.machine.name,
        "described": fingerprint(GYM.machine),
        "names": tuple(one.name for one in found),
        "values": values,
        "covariance": rows,
        "noise": 1.0,
        "readings": (),
        "suspects": (),
    }
    return MachineCalibrated(**usual | changes)


def logged_calibration(made: MachineCalibrated) -> LoggedCalibration:
    return LoggedCalibration("c" * 32, Clock().now, made, "test")


def changed_home() -> Home:
    """The boathouse with a longer grip at the row."""
    stations = GYM.machine.stations
    row = replace(stations["row"], drive=replace(stations["row"].drive, hand_m=(1.2, -0.04)))  # type: ignore[arg-type]
    machine = replace(GYM.machine, stations=stations | {"row": row})
    return replace(home(), gym=Gym(machine, GYM.inventory, GYM.exercises))


def base_kg(use: Steelyard, station: str = "row") -> float:
    return use.gym.loads(use.gym.machine.stations[station]).law.base_kg


def test_without_a_calibration_the_machine_is_as_described() -> None:
    use = steelyard()
    assert use.gym is use.home.gym
    assert use.believed.note == ""


def test_from_a_calibration_on_everything_uses_it() -> None:
    use = steelyard()
    before = base_kg(use)
    use.record(heavier())
    assert base_kg(use) > before + 0.5
    assert use.stations(only="row")[0].law.base_kg == base_kg(use)
    assert use.gym is use.gym  # ladders are worked out once


def test_the_latest_calibration_counts_and_undoing_it_brings_back_the_one_before() -> None:
    clock = Clock()
    use = steelyard(clock=clock)
    use.record(heavier(0.1))
    first = base_kg(use)
    clock.wait(days=1)
    second = use.record(heavier(0.2))
    assert base_kg(use) > first
    use.delete(second)
    assert base_kg(use) == first


def test_a_calibration_of_another_machine_is_not_used() -> None:
    use = steelyard()
    use.record(heavier(machine="Another"))
    assert use.gym is use.home.gym


def test_a_changed_machine_file_sets_the_calibration_aside_and_says_so() -> None:
    use = steelyard()
    use.record(heavier())
    use.use(changed_home())
    assert use.gym is use.home.gym
    told = (
        "The calibration of 04 March 2026 is set aside, because the machine file was changed since. Its readings"
    )
    assert use.believed.note.startswith(told)
    assert "steelyard machine calibrate --fit --keep" in use.prepare(join(use), "pull").notes[0]
    use.use(home())
    assert use.believed.used is not None


def test_figures_that_no_fit_gives_are_set_aside() -> None:
    wild = heavier(values=tuple(1e9 for _ in heavier().values))
    assert believed(GYM, [logged_calibration(wild)]).gym is GYM


def test_a_set_keeps_what_was_believed_and_is_recounted_from_its_plates() -> None:
    use = steelyard()
    tell_strength(use, join(use))
    before = use.state.sets_of("ida")
    use.record(heavier())
    after = use.state.sets_of("ida")
    assert after == before
    recounted = use.believed.recounted(after)
    rows = [(old.done.felt_kg, new.done.felt_kg) for old, new in zip(after, recounted, strict=True)]
    assert all(new >= old for old, new in rows)
    assert [replace(new.done, felt_kg=0.0) for new in recounted] == [
        replace(old.done, felt_kg=0.0) for old in after
    ]


def test_recounted_felt_loads_stand_on_the_ladder_of_now() -> None:
    use = steelyard()
    tell_strength(use, join(use))
    use.record(heavier())
    for one in use.believed.recounted(use.state.sets_of("ida")):
        station = use.gym.machine.stations[one.done.station]
        if station.arm is not None:
            one_arm = use.gym.exercises[one.done.exercise].one_arm
            assert one.done.felt_kg in use.gym.loads(station, one_arm=one_arm).felt_kg


def test_without_a_change_every_set_stays_the_same_object() -> None:
    use = steelyard()
    tell_strength(use, join(use))
    sets = use.state.sets_of("ida")
    assert all(new is old for new, old in zip(use.believed.recounted(sets), sets, strict=True))
    assert use.believed.told(sets) == ()


@pytest.mark.parametrize(
    "changes",
    [
        {"machine": "Another"},
        {"station": "gone"},
        {"exercise": "gone"},
        {"loading": {"tip": ("a plate given away",)}},
        {"loading": {"vest": ("5 kg",)}},
        {"station": "inverted-row", "exercise": "inverted_row"},
    ],
)
def test_where_it_cannot_be_said_a_set_stays_as_believed_then(changes: dict[str, Any]) -> None:
    one = logged(40.0, 8, **changes)
    known = believed(GYM, [logged_calibration(heavier())])
    assert known.felt_now_kg(one.done) is None
    assert known.recounted([one]) == [one]


def work_sets(use: Steelyard) -> list[PreparedSet]:
    prepared = use.prepare("ida", "pull").sets
    return [one for one in prepared if one.station == "row-chest" and one.role is Role.WORK]


def test_the_next_load_is_decided_on_one_footing() -> None:
    """The loads follow when a station turns out 10 % heavier than believed, but for a share that bodies tell."""
    use = steelyard()
    tell_strength(use, join(use))
    before = work_sets(use)
    names = heavier().names
    values = tuple(
        -log(1.1) if name == "station.row-chest.reach_log" else one
        for name, one in zip(names, heavier(0).values, strict=True)
    )
    use.record(heavier(values=values))
    after = work_sets(use)
    assert [one.felt_kg for one in after] == pytest.approx(
        [1.1 * one.felt_kg for one in before], rel=0.055
    )  # within a step of the ladder


def test_review_says_that_a_calibration_changed_the_loads() -> None:
    use = steelyard()
    tell_strength(use, join(use))
    assert "weigh more or less" not in " ".join(use.review("ida").sentences)
    use.record(heavier())
    told = use.review("ida").sentences[-1]
    assert " sets weigh more or less than was believed when they were done (+" in told
    assert "with the machine as calibrated on 04 March 2026; what you read here is reckoned with it." in told


def test_a_change_of_the_file_is_told_too() -> None:
    use = steelyard()
    tell_strength(use, join(use), [logged(40.0, 8, 1, station="row", exercise="lever_row_bent")])
    use.use(changed_home())
    assert "as described in its file now" in use.review("ida").sentences[-1]


def test_today_is_recounted_as_well() -> None:
    use = steelyard()
    tell_strength(use, join(use))
    session = use.start_session("ida", "pull")
    first = use.session(session).current
    assert first is not None
    log_set(use, session, first.slot, first.reps_low, rir=3)
    use.record(heavier())
    view = use.session(session)
    assert view.last is not None
    assert view.last.done.felt_kg == first.felt_kg
    assert view.current is not None
