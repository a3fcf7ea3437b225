"""Machines drawn at random, valid by construction, as tables a person would write; and the same in a mirror."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from hypothesis import strategies as st

from steelyard.machine.file import read_machine
from steelyard.machine.model import AcrossArm, Arm, Cable, Drive, FixedDirection, Horn, Machine, Point, Station
from steelyard.tables import write_toml

Data = dict[str, Any]


def tenths(least: float, most: float) -> st.SearchStrategy[float]:
    """Millimetres or degrees as read off a tape, to a tenth."""
    return st.integers(round(10 * least), round(10 * most)).map(lambda n: n / 10)


def masses(least_kg: int, most_kg: int) -> st.SearchStrategy[str]:
    """Masses in kilograms to the gram, or in pounds to a quarter."""
    grams = st.integers(1000 * least_kg, 1000 * most_kg).map(lambda n: f"{n / 1000:.3f} kg")
    quarters = st.integers(math.ceil(8.9 * least_kg), math.floor(8.8 * most_kg)).map(lambda n: f"{n / 4} lb")
    return grams | quarters


def points(along: tuple[float, float], up: tuple[float, float]) -> st.SearchStrategy[list[float]]:
    """A point [along, up]. [mm]"""
    return st.tuples(tenths(*along), tenths(*up)).map(list)


def maybe(strategy: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.none() | strategy


@st.composite
def arms(draw: st.DrawFn) -> Data:
    weight = {"mass": draw(masses(1, 3)), "at_mm": draw(points((-400, -100), (-50, 50)))}
    return {
        "pivot_mm": draw(points((-200, 200), (200, 700))),
        "mass": draw(masses(10, 25)),
        "balance_mm": draw(points((300, 600), (-50, 50))),
        "inertia_kg_m2": draw(st.floats(0.0, 5.0)),
        "hinge_torque_n_m": draw(st.just(0.0) | st.floats(0.0, 5.0)),
        "rated_plates": draw(maybe(masses(100, 180))),
        "paired": draw(st.booleans()),
        "counterweight": draw(maybe(st.just(weight))),
    }


@st.composite
def horns(draw: st.DrawFn, paired: bool) -> Data:
    lies = draw(st.sampled_from(["across", "along"]))
    return {
        "on": "main",
        "at_mm": draw(points((500, 1000), (-60, 60))),
        "lies": lies,
        "along_deg": draw(tenths(-180, 180)) if lies == "along" else None,
        "sides": 2 if paired else draw(st.sampled_from([1, 2])),
        "length_mm": draw(tenths(150, 350)),
        "collar_mm": draw(tenths(0, 50)),
        "rated": draw(maybe(masses(50, 90))),
    }


@st.composite
def levers(draw: st.DrawFn) -> Data:
    direction = draw(maybe(tenths(60, 120)))
    return {
        "kind": "lever",
        "hand_mm": draw(points((500, 1200), (-60, 60))),
        "direction_deg": direction,
        "attachments": draw(maybe(st.just(["pad: 2 lb"]))),
    }


@st.composite
def cables(draw: st.DrawFn) -> Data:
    """From the arm up to a wheel over it, and down again; with or without a wheel on the arm."""
    turns = st.sampled_from(["clockwise", "counter-clockwise"])
    end = {
        "anchor_mm": draw(points((600, 900), (1800, 2200))),
        "wheel_radius_mm": draw(tenths(0, 60)),
        "wheel_turn": draw(turns),
    }
    cable = {
        "arm_mm": draw(points((700, 1100), (-60, 60))),
        "wheel_mm": draw(points((850, 1200), (1900, 2400))),
        "wheel_radius_mm": draw(tenths(0, 70)),
        "wheel_turn": draw(turns),
        "exit_deg": draw(tenths(-110, -70)),
        "more_wheels": draw(st.integers(0, 3)),
        "efficiency": draw(st.just(1.0) | st.floats(0.9, 1.0)),
        "rated": draw(maybe(masses(150, 250))),
        "dead_end": draw(maybe(st.just(end))),
    }
    return {"kind": "cable", "cable": cable, "attachments": ["wide bar: 2.5 kg", "rope: 0.8 kg"]}


@st.composite
def machine_texts(draw: st.DrawFn) -> str:
    """A machine file with one arm, one or two horns on it, and a station worked by that arm."""
    arm = draw(arms())
    found = draw(st.lists(horns(arm["paired"]), min_size=1, max_size=2))
    start = draw(tenths(-25, 5))
    station = {
        "title": draw(st.sampled_from(["Row", "Zug über Kopf", 'The "big" one'])),
        "arm": "main",
        "range_deg": [start, start + draw(tenths(5, 25))],
        "exercises": ["lever_row_bent"],
        **draw(levers() | cables()),
    }
    head = {"name": "Drawn at random", "rated_user": draw(maybe(masses(100, 150)))}
    return write_toml(
        {
            "machine": head,
            "arm": {"main": arm},
            "horn": {f"horn{n}": horn for n, horn in enumerate(found)},
            "station": {"only": station},
        }
    )


def machines() -> st.SearchStrategy[Machine]:
    return machine_texts().map(lambda text: read_machine(text, "random.toml"))


def loads(machine: Machine) -> st.SearchStrategy[dict[str, tuple[float, float]]]:
    """Plates on every horn: mass on one post, and its moment as if all sat at one place of the post."""

    def on(horn: Horn) -> st.SearchStrategy[tuple[float, float]]:
        return st.tuples(st.floats(0.0, 90.0), st.floats(0.0, horn.length_m)).map(
            lambda at: (at[0], at[0] * at[1])
        )

    return st.fixed_dictionaries({name: on(horn) for name, horn in machine.horns.items()})


def mirrored(machine: Machine) -> Machine:
    """The machine seen from behind: x turns its sign, angles a become pi - a, wheels turn the other way."""
    return replace(
        machine,
        arms={name: mirrored_arm(arm) for name, arm in machine.arms.items()},
        horns={
            name: replace(horn, at_m=flipped(horn.at_m), axis_angle_rad=-horn.axis_angle_rad)
            for name, horn in machine.horns.items()
        },
        stations={name: mirrored_station(station) for name, station in machine.stations.items()},
    )


def flipped(at_m: Point) -> Point:
    return at_m[0], -at_m[1]


def behind(at_m: Point) -> Point:
    return -at_m[0], at_m[1]


def mirrored_arm(arm: Arm) -> Arm:
    weight = arm.counterweight and replace(arm.counterweight, at_m=flipped(arm.counterweight.at_m))
    return replace(arm, pivot_m=behind(arm.pivot_m), com_m=flipped(arm.com_m), counterweight=weight)


def mirrored_station(station: Station) -> Station:
    start, end = math.pi - station.from_rad, math.pi - station.to_rad
    place = station.joint
    if place is not None:
        place = replace(place, at_m=behind(place.at_m), upper_arm_rad=math.pi - place.upper_arm_rad)
    return replace(station, drive=mirrored_drive(station.drive), from_rad=start, to_rad=end, joint=place)


def mirrored_drive(drive: Drive) -> Drive:
    if isinstance(drive, AcrossArm):
        return AcrossArm(flipped(drive.hand_m))
    if isinstance(drive, FixedDirection):
        return FixedDirection(flipped(drive.hand_m), math.pi - drive.direction_rad)
    if not isinstance(drive, Cable):
        return drive
    wheel = replace(drive.wheel, at_m=behind(drive.wheel.at_m), turn=-drive.wheel.turn)
    end = drive.dead_end
    if end is not None:
        end = replace(end, anchor_m=behind(end.anchor_m), wheel_turn=-end.wheel_turn)
    further, exit_rad = tuple(map(behind, drive.more_wheels_m)), math.pi - drive.exit_rad
    return replace(
        drive, arm_m=flipped(drive.arm_m), wheel=wheel, exit_rad=exit_rad, dead_end=end, more_wheels_m=further
    )
