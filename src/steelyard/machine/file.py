"""The machine file: TOML that a person with a tape measure can write. Millimetres and degrees outside, SI inside.

The format is described in docs/machine-file.md.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from typing import Any

from steelyard.errors import DamagedFile, OutOfRange
from steelyard.machine.model import (
    AcrossArm,
    Arm,
    Attachment,
    Axis,
    BodyWeight,
    Cable,
    Counterweight,
    DeadEnd,
    Drive,
    FixedDirection,
    FreeWeight,
    Horn,
    Joint,
    JointPlace,
    Machine,
    Station,
    Wheel,
)
from steelyard.machine.soundness import check_free_horns, check_station
from steelyard.machine.written import in_degrees, in_mm, mass_text, point_mm, tidy
from steelyard.tables import Table, read_toml, write_toml
from steelyard.units import STANDARD_GRAVITY, Mass, newtons, parse_mass

NAME = re.compile(r"[a-z][a-z0-9_-]{0,39}")
EXERCISE = re.compile(r"[a-z][a-z0-9_]{0,59}")
TURNS = {"counter-clockwise": 1, "clockwise": -1}
KINDS = ("lever", "cable", "body", "free")


def read_machine(text: str, source: str) -> Machine:
    """The machine that a TOML text describes.

    source: the file's name, for messages.

    Raises: DamagedFile, one line that names the file, the key, the value and what is accepted.
    """
    top = read_toml(text, source)
    head = top.table("machine")
    name, notes = head.text("name"), head.text("notes", "")
    rated_user_kg = head.mass_kg("rated_user", 30.0, 400.0)
    head.close()
    arm_tables, horn_tables = top.named_tables("arm"), top.named_tables("horn", required=False)
    tables = top.named_tables("station")
    top.close()
    arms = {key: read_arm(key, table) for key, table in arm_tables.items()}
    horns = {key: read_horn(key, table, arms) for key, table in horn_tables.items()}
    stations = {key: read_station(key, table, arms, horns) for key, table in tables.items()}
    machine = Machine(name, arms, horns, stations, rated_user_kg, notes)
    check_free_horns(machine, source)
    for key, station in stations.items():
        check_station(machine, station, tables[key])
    return machine


def checked_name(name: str, table: Table) -> str:
    """A name fit to be typed: it stands in commands and addresses."""
    if not NAME.fullmatch(name):
        accepted = "named with 1 to 40 small letters, digits, - and _, a letter first"
        raise DamagedFile(table.source, table.place, f"named '{name[:60]}'", accepted)
    return name


def read_arm(name: str, table: Table) -> Arm:
    """One `[arm.NAME]`."""
    counterweight = None
    if "counterweight" in table:
        part = table.table("counterweight")
        counterweight = Counterweight(
            part.mass("mass", 0.1, 500.0).kg, part.point_m("at_mm"), part.number("inertia_kg_m2", 0.0, 500.0, 0.0)
        )
        part.close()
    arm = Arm(
        name=checked_name(name, table),
        pivot_m=table.point_m("pivot_mm"),
        mass_kg=table.mass("mass", 0.0, 500.0).kg,
        com_m=table.point_m("balance_mm"),
        inertia_kg_m2=table.number("inertia_kg_m2", 0.0, 500.0, 0.0),
        counterweight=counterweight,
        hinge_torque_n_m=table.number("hinge_torque_n_m", 0.0, 200.0, 0.0),
        rated_plates_kg=table.mass_kg("rated_plates", 1.0, 2000.0),
        paired=table.flag("paired", False),
    )
    table.close()
    return arm


def read_horn(name: str, table: Table, arms: Mapping[str, Arm]) -> Horn:
    """One `[horn.NAME]`; where it lies is asked for on an arm only."""
    on = one_of(table, "on", arms) if "on" in table else None
    paired = on is not None and arms[on].paired
    axis = Axis(table.choice("lies", [axis.value for axis in Axis], Axis.ACROSS)) if on else Axis.ACROSS
    horn = Horn(
        name=checked_name(name, table),
        arm=on,
        length_m=table.number("length_mm", 20.0, 1000.0) / 1000.0,
        at_m=table.point_m("at_mm") if on else (0.0, 0.0),
        axis=axis,
        axis_angle_rad=math.radians(table.number("along_deg", -360.0, 360.0)) if axis is Axis.ALONG else 0.0,
        sides=table.whole("sides", 1, 2, 2 if paired else 1),
        collar_m=table.number("collar_mm", 0.0, 200.0, 0.0) / 1000.0,
        rated_kg=table.mass_kg("rated", 1.0, 1000.0),
        plates_turn_with_arm=table.flag("plates_turn_with_arm", True),
    )
    table.close()
    if paired and horn.sides != 2:
        raise table.wrong("sides", f"2: arm {on} is paired, so the horn is there on the left and on the right")
    if horn.collar_m >= horn.length_m:
        raise table.wrong("collar_mm", f"less than length_mm, {in_mm(horn.length_m)}, to leave room for a plate")
    return horn


def one_of(table: Table, key: str, known: Iterable[str]) -> str:
    """A name among those described in the file."""
    names = tuple(known)
    if not names:
        raise table.wrong(key, "left out: the file describes nothing that it could name")
    return table.choice(key, names)


def read_station(name: str, table: Table, arms: Mapping[str, Arm], horns: Mapping[str, Horn]) -> Station:
    """One `[station.NAME]`; its kind says which keys belong to it."""
    kind = table.choice("kind", KINDS)
    on_arm = kind in ("lever", "cable")
    arm = one_of(table, "arm", arms) if on_arm else None
    free_horns = [key for key, horn in horns.items() if horn.arm is None]
    start, end = table.numbers("range_deg", (2, 2), -360.0, 360.0) if on_arm else (0.0, 0.0)
    station = Station(
        name=checked_name(name, table),
        title=table.text("title"),
        drive=read_drive(kind, table),
        arm=arm,
        from_rad=math.radians(start),
        to_rad=math.radians(end),
        horn=one_of(table, "horn", free_horns) if not on_arm and "horn" in table else None,
        exercises=read_exercises(table),
        attachments=read_attachments(table),
        setup_s=table.number("setup_s", 0.0, 1800.0, 60.0),
        joint=read_joint(table.table("joint")) if on_arm and "joint" in table else None,
    )
    table.close()
    return station


def read_joint(table: Table) -> JointPlace:
    """Where the elbow or the shoulder rests; the upper arm's direction is for an elbow only."""
    joint = Joint(table.choice("is", [each.value for each in Joint]))
    upper_arm_deg = table.number("upper_arm_deg", -360.0, 360.0, -90.0) if joint is Joint.ELBOW else -90.0
    place = JointPlace(joint, table.point_m("at_mm"), math.radians(upper_arm_deg))
    table.close()
    return place


def read_drive(kind: str, table: Table) -> Drive:
    """What the hand works on, by the station's kind."""
    if kind == "cable":
        return read_cable(table.table("cable"))
    if kind == "lever":
        hand_m = table.point_m("hand_mm")
        if "direction_deg" not in table:
            return AcrossArm(hand_m)
        return FixedDirection(hand_m, math.radians(table.number("direction_deg", -360.0, 360.0)))
    travel_m = table.number("travel_mm", 0.0, 3000.0, 0.0) / 1000.0
    if kind == "body":
        return BodyWeight(table.number("share", 0.05, 1.5), travel_m)
    return FreeWeight(table.mass("mass", 0.0, 200.0).kg, travel_m)


def read_cable(table: Table) -> Cable:
    """One `[station.NAME.cable]`."""
    wheel = Wheel(
        table.point_m("wheel_mm"), table.number("wheel_radius_mm", 0.0, 500.0) / 1000.0, read_turn(table)
    )
    dead_end = None
    if "dead_end" in table:
        part = table.table("dead_end")
        radius_m = part.number("wheel_radius_mm", 0.0, 500.0) / 1000.0
        dead_end = DeadEnd(part.point_m("anchor_mm"), radius_m, read_turn(part))
        part.close()
    rated_kg = table.mass_kg("rated", 10.0, 3000.0)
    more_wheels = table.whole("more_wheels", 0, 20, 0)
    cable = Cable(
        arm_m=table.point_m("arm_mm"),
        wheel=wheel,
        exit_rad=math.radians(table.number("exit_deg", -360.0, 360.0)),
        dead_end=dead_end,
        more_wheels=more_wheels,
        efficiency=table.number("efficiency", 0.5, 1.0),
        rated_n=None if rated_kg is None else newtons(rated_kg),
        more_wheels_m=table.points_m("more_wheels_mm", more_wheels),
    )
    table.close()
    return cable


def read_turn(table: Table) -> int:
    """Which way the cable runs round a wheel, on its way to the hand."""
    return TURNS[table.choice("wheel_turn", tuple(TURNS))]


def read_exercises(table: Table) -> tuple[str, ...]:
    """The ids of what is done here; whether they exist is for the exercise list to say."""
    ids = table.texts("exercises", ())
    for each in ids:
        if not EXERCISE.fullmatch(each):
            raise DamagedFile(
                table.source,
                table.path("exercises"),
                f"'{each[:60]}'",
                "ids such as curl_cable: small letters, digits and _",
            )
    return ids


def read_attachments(table: Table) -> tuple[Attachment, ...]:
    """What can be clipped on, each written ``"name: mass"``."""
    found: dict[str, Attachment] = {}
    for text in table.texts("attachments", ()):
        name, colon, mass = text.rpartition(":")
        read = attachment_mass(mass)
        if not colon or not name.strip() or name.strip() in found or not name.isprintable() or read is None:
            accepted = 'different names, each with a mass up to 50 kg, such as "rope: 0.8 kg"'
            raise DamagedFile(table.source, table.path("attachments"), f"'{text[:60]}'", accepted)
        found[name.strip()] = Attachment(name.strip(), read.kg)
    return tuple(found.values())


def attachment_mass(text: str) -> Mass | None:
    """A mass with its unit, up to 50 kg; None for anything else."""
    try:
        mass = parse_mass(text)
    except OutOfRange:
        return None
    return mass if text.strip()[-1].isalpha() and mass.kg <= 50.0 else None


def write_machine(machine: Machine) -> str:
    """The machine as TOML; what was read from a file reads back to the very same machine.

    >>> from steelyard.machine.examples import example_text
    >>> boathouse = read_machine(example_text("boathouse"), "boathouse.toml")
    >>> read_machine(write_machine(boathouse), "again.toml") == boathouse
    True
    """
    head = {
        "name": machine.name,
        "rated_user": optional_mass(machine.rated_user_kg),
        "notes": machine.notes or None,
    }
    return write_toml(
        {
            "machine": head,
            "arm": {name: arm_table(arm) for name, arm in machine.arms.items()},
            "horn": {name: horn_table(horn) for name, horn in machine.horns.items()} or None,
            "station": {name: station_table(station) for name, station in machine.stations.items()},
        }
    )


def optional_mass(mass_kg: float | None) -> str | None:
    """The mass as written, or nothing."""
    return None if mass_kg is None else mass_text(mass_kg)


def arm_table(arm: Arm) -> dict[str, Any]:
    """One `[arm.NAME]`."""
    weight = arm.counterweight
    return {
        "pivot_mm": point_mm(arm.pivot_m),
        "mass": mass_text(arm.mass_kg),
        "balance_mm": point_mm(arm.com_m),
        "inertia_kg_m2": tidy(arm.inertia_kg_m2),
        "hinge_torque_n_m": tidy(arm.hinge_torque_n_m),
        "rated_plates": optional_mass(arm.rated_plates_kg),
        "paired": arm.paired,
        "counterweight": weight
        and {
            "mass": mass_text(weight.mass_kg),
            "at_mm": point_mm(weight.at_m),
            "inertia_kg_m2": tidy(weight.inertia_kg_m2),
        },
    }


def horn_table(horn: Horn) -> dict[str, Any]:
    """One `[horn.NAME]`."""
    return {
        "on": horn.arm,
        "at_mm": point_mm(horn.at_m) if horn.arm is not None else None,
        "lies": str(horn.axis) if horn.arm is not None else None,
        "along_deg": in_degrees(horn.axis_angle_rad) if horn.axis is Axis.ALONG else None,
        "sides": horn.sides,
        "length_mm": in_mm(horn.length_m),
        "collar_mm": in_mm(horn.collar_m),
        "rated": optional_mass(horn.rated_kg),
        "plates_turn_with_arm": horn.plates_turn_with_arm,
    }


def station_table(station: Station) -> dict[str, Any]:
    """One `[station.NAME]`."""
    on_arm = station.arm is not None
    return {
        "title": station.title,
        **drive_table(station.drive),
        "arm": station.arm,
        "range_deg": [in_degrees(station.from_rad), in_degrees(station.to_rad)] if on_arm else None,
        "horn": station.horn,
        "exercises": list(station.exercises),
        "attachments": [f"{each.name}: {mass_text(each.mass_kg)}" for each in station.attachments] or None,
        "setup_s": tidy(station.setup_s),
        "joint": station.joint and joint_table(station.joint),
    }


def joint_table(place: JointPlace) -> dict[str, Any]:
    """One `[station.NAME.joint]`."""
    upper_arm = in_degrees(place.upper_arm_rad) if place.joint is Joint.ELBOW else None
    return {"is": place.joint.value, "at_mm": point_mm(place.at_m), "upper_arm_deg": upper_arm}


def drive_table(drive: Drive) -> dict[str, Any]:
    """The keys that a station's kind brings with it."""
    match drive:
        case AcrossArm(hand_m):
            return {"kind": "lever", "hand_mm": point_mm(hand_m)}
        case FixedDirection(hand_m, direction_rad):
            return {"kind": "lever", "hand_mm": point_mm(hand_m), "direction_deg": in_degrees(direction_rad)}
        case Cable():
            return {"kind": "cable", "cable": cable_table(drive)}
        case BodyWeight(share, travel_m):
            return {"kind": "body", "share": share, "travel_mm": in_mm(travel_m)}
        case FreeWeight(mass_kg, travel_m):
            return {"kind": "free", "mass": mass_text(mass_kg), "travel_mm": in_mm(travel_m)}


def cable_table(cable: Cable) -> dict[str, Any]:
    """One `[station.NAME.cable]`."""
    end = cable.dead_end
    return {
        "arm_mm": point_mm(cable.arm_m),
        "wheel_mm": point_mm(cable.wheel.at_m),
        "wheel_radius_mm": in_mm(cable.wheel.radius_m),
        "wheel_turn": turn_word(cable.wheel.turn),
        "exit_deg": in_degrees(cable.exit_rad),
        "more_wheels": cable.more_wheels,
        "more_wheels_mm": [point_mm(each) for each in cable.more_wheels_m] or None,
        "efficiency": cable.efficiency,
        "rated": None if cable.rated_n is None else mass_text(cable.rated_n, scale=STANDARD_GRAVITY),
        "dead_end": end
        and {
            "anchor_mm": point_mm(end.anchor_m),
            "wheel_radius_mm": in_mm(end.wheel_radius_m),
            "wheel_turn": turn_word(end.wheel_turn),
        },
    }


def turn_word(turn: int) -> str:
    """The word for a turn."""
    return "counter-clockwise" if turn > 0 else "clockwise"
