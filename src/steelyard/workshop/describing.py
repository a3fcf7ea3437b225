"""Describing a machine: from answers to a sound machine, what it comes to, how it differs, and keeping it.

The text that is kept is the text that was checked; the former machine file stays beside it under its date.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from math import isclose
from pathlib import Path

from steelyard.errors import DamagedFile
from steelyard.home import Home, fill_home, home_with, keep_machine, read_text
from steelyard.machine.felt import felt_law
from steelyard.machine.file import read_machine
from steelyard.machine.model import BodyWeight, Cable, Horn, Machine, Station
from steelyard.machine.written import mass_text
from steelyard.service import Steelyard
from steelyard.tables import write_toml
from steelyard.training.model import Exercise, Outline
from steelyard.units import STANDARD_GRAVITY, Unit, show_mass, show_share
from steelyard.workshop.draft import MOST_PARTS, Draft, tables_of
from steelyard.workshop.fields import NAMED

FILE = "machine.toml"
NOT_STATED = "not stated"
PLATE_KG = 20.0
"""What is hung on each post of a station's first horn to show what plates do. [kg]"""
CAUTIONS = (
    "Limits come from the label on your machine and its maker's manual. Where they say less, they are right.",
    "A file from somebody else describes somebody else's machine: check every limit against your own label, and "
    "measure again what you can.",
    "Felt loads are only as good as the tape measure. Calibrate with a hanging scale before you trust them.",
)


@dataclass(frozen=True, slots=True)
class StationFelt:
    """What a station puts in the hands.

    empty_kg, loaded_kg: felt load without plates, and with a 20 kg plate on each post of a horn; of a body-weight
    station what is felt beyond the share of the body. None where there is no horn. [kg]
    horn, sides: that horn, and how many posts of it count; empty and 0 without one.
    share:       of the body's mass; 0 elsewhere.
    """

    station: Station
    empty_kg: float
    loaded_kg: float | None
    horn: str
    sides: int
    share: float = 0.0


@dataclass(frozen=True, slots=True)
class Kept:
    """A machine that was saved: where the former file is now, and the home as it is now."""

    former: Path | None
    home: Home


def described(draft: Draft, exercises: Mapping[str, Exercise]) -> tuple[Machine, str]:
    """The machine that a draft describes, and the text of its file.

    Raises: DamagedFile that names the key to correct.
    """
    text = write_toml(tables_of(draft))
    return checked(text, FILE, exercises), text


def checked(text: str, source: str, exercises: Mapping[str, Exercise]) -> Machine:
    """The machine of a file, if it is sound, not larger than any machine is, and its exercises are known here.

    Raises: DamagedFile.
    """
    check_size(text, source)
    machine = read_machine(text, source)
    for station in machine.stations.values():
        unknown = [name for name in station.exercises if name not in exercises]
        if unknown:
            accepted = "ids of the exercise list; untick it, or describe it in exercises.toml in the home folder"
            raise DamagedFile(source, f"station.{station.name}.exercises", f"'{unknown[0]}'", accepted)
    return machine


def check_size(text: str, source: str) -> None:
    """Refuse a file of thousands of tables before they are worked through. Raises: DamagedFile."""
    try:
        top = tomllib.loads(text)
    except (ValueError, RecursionError):
        return  # the reader says what is wrong
    for head in NAMED:
        part = top.get(head)
        if isinstance(part, dict) and len(part) > MOST_PARTS:
            raise DamagedFile(source, head, f"{len(part)} tables", f"at most {MOST_PARTS} tables")


def station_felts(machine: Machine) -> tuple[StationFelt, ...]:
    """What every station puts in the hands, empty and with plates."""
    return tuple(station_felt(machine, station) for station in machine.stations.values())


def station_felt(machine: Machine, station: Station) -> StationFelt:
    """What one station puts in the hands, empty and with plates."""
    share = station.drive.share if isinstance(station.drive, BodyWeight) else 0.0
    law = felt_law(machine, station, body_mass_kg=100.0 if share else None)
    empty_kg = round(law.base_kg - 100.0 * share, 9)
    if not law.shares:
        return StationFelt(station, empty_kg, None, "", 0, share)
    first = law.shares[0]
    loaded_kg = empty_kg + first.sides * first.per_kg * PLATE_KG
    return StationFelt(station, empty_kg, loaded_kg, first.horn.name, first.sides, share)


def felt_words(felt: StationFelt) -> str:
    """A station's felt loads in a line, such as ``empty 9.2 kg, with 20 kg on each tip post 41.2 kg``."""
    body = f"{show_share(felt.share)} of the lifter" if felt.share else ""
    empty = body if felt.share and not felt.empty_kg else " + ".join(filter(None, (body, _kg(felt.empty_kg))))
    if felt.loaded_kg is None:
        return f"empty {empty}; takes no plates"
    loaded = " + ".join(filter(None, (body, _kg(felt.loaded_kg))))
    return f"empty {empty}, with {_kg(PLATE_KG, 0)} on {posts_words(felt)} {loaded}"


def posts_words(felt: StationFelt) -> str:
    """Where the plates hang."""
    return f"each {felt.horn} post" if felt.sides > 1 else felt.horn


def _kg(mass_kg: float, places: int = 1) -> str:
    return show_mass(mass_kg, Unit.KG, places)


def limits(machine: Machine) -> dict[str, str]:
    """Every rated limit as the label says it, under its name; ``not stated`` where the file gives none."""
    found = {"lifter": machine.rated_user_kg}
    found |= {f"plates on arm {arm.name}": arm.rated_plates_kg for arm in machine.arms.values()}
    found |= {f"one post of horn {horn.name}": horn.rated_kg for horn in machine.horns.values()}
    said = {name: NOT_STATED if limit_kg is None else mass_text(limit_kg) for name, limit_kg in found.items()}
    for station in machine.stations.values():
        if isinstance(station.drive, Cable):
            rated_n = station.drive.rated_n
            words = NOT_STATED if rated_n is None else mass_text(rated_n, scale=STANDARD_GRAVITY)
            said[f"cable of station {station.name}"] = words
    return said


def differences(old: Machine, new: Machine) -> tuple[str, ...]:
    """What a change of machine changes, in sentences without a full stop: names, limits, horns, felt loads."""
    if old == new:
        return ()
    found = [f"name: {old.name} → {new.name}"] if old.name != new.name else []
    return (*found, *_limits_changed(old, new), *_horns_changed(old, new), *_felts_changed(old, new))


def _limits_changed(old: Machine, new: Machine) -> Iterator[str]:
    before = limits(old)
    for name, now in limits(new).items():
        was = before.get(name)
        if was is None and now != NOT_STATED:
            yield f"limit, {name}, new: {now}"
        elif was not in (None, now):
            yield f"limit, {name}: {was} → {now}"


def _horns_changed(old: Machine, new: Machine) -> Iterator[str]:
    yield from (f"horn {name} is gone" for name in old.horns if name not in new.horns)
    for name, horn in new.horns.items():
        was = old.horns.get(name)
        if was is None:
            yield f"horn {name} is new"
        elif room_mm(was) != room_mm(horn):
            yield f"horn {name}, room for plates: {room_mm(was):g} → {room_mm(horn):g} mm"


def room_mm(horn: Horn) -> float:
    """Room for plates on one post, to a tenth. [mm]"""
    return round(1000 * (horn.length_m - horn.collar_m), 1)


def _felts_changed(old: Machine, new: Machine) -> Iterator[str]:
    """Felt loads of stations of the same name, where they differ in a tenth of a kilogram."""
    before = {felt.station.name: felt for felt in station_felts(old)}
    for felt in station_felts(new):
        was = before.pop(felt.station.name, None)
        if was is None:
            yield f"station {felt.station.name} is new: {felt_words(felt)}"
        elif change := _change(was, felt):
            yield f"{felt.station.name}: {change}"
    yield from (f"station {name} is gone" for name in before)


def _change(was: StationFelt, now: StationFelt) -> str:
    """``empty 8.1 → 7.6 kg, with 20 kg on each tip post 40.1 → 38.2 kg``, only what changed."""
    if (was.share, was.horn, was.sides) != (now.share, now.horn, now.sides):
        return f"{felt_words(was)} → {felt_words(now)}"
    found = [f"empty {was.empty_kg:.1f} → {_kg(now.empty_kg)}"] if _differ(was.empty_kg, now.empty_kg) else []
    if was.loaded_kg is not None and now.loaded_kg is not None and _differ(was.loaded_kg, now.loaded_kg):
        posts = f"with {_kg(PLATE_KG, 0)} on {posts_words(now)}"
        found.append(f"{posts} {was.loaded_kg:.1f} → {_kg(now.loaded_kg)}")
    return ", ".join(found)


def _differ(one_kg: float, other_kg: float) -> bool:
    return not isclose(one_kg, other_kg) and f"{one_kg:.1f}" != f"{other_kg:.1f}"


def outlines_left_out(old: Machine | None, new: Machine, outlines: Mapping[str, Outline]) -> tuple[str, ...]:
    """Outlines with an exercise that has no station on the new machine, in sentences without a full stop.

    old: what was there before; an exercise that had no station there either is not told again.
    """
    has = {exercise for station in new.stations.values() for exercise in station.exercises}
    had = has if old is None else {name for station in old.stations.values() for name in station.exercises}
    found = []
    for name, outline in outlines.items():
        wanted = dict.fromkeys(item.exercise for item in outline.items)
        missing = [each for each in wanted if each not in has and (old is None or each in had)]
        if missing:
            found.append(f"outline {name} has no station any more for {', '.join(missing)}")
    return tuple(found)


def keep(steelyard: Steelyard, text: str, at: datetime) -> Kept:
    """Save a machine file that was checked, and go on with it; plates, outlines and journal stay.

    at: now; the former file is kept under this time.

    Raises: DamagedFile if another file of the home can't be read or this one can't be written; nothing is changed.
    """
    machine = read_machine(text, FILE)
    home = home_with(steelyard.home.folder, machine)
    same = present_machine(home.folder) == machine  # a file that says the same, perhaps with remarks, stays
    former = None if same else keep_machine(home.folder, text, at)
    steelyard.use(home)
    return Kept(former, home)


def present_machine(folder: Path) -> Machine | None:
    """The machine of a home folder; None if there is none, or none that can be read."""
    try:
        return read_machine(read_text(folder / FILE), FILE)
    except DamagedFile:
        return None


def take(folder: Path, text: str, at: datetime) -> Kept:
    """Save a machine file that was checked in a home folder, which is made if it is not there.

    Raises: DamagedFile as `keep`.
    """
    machine = read_machine(text, FILE)
    if not (folder / FILE).exists():
        fill_home(folder, text)
        return Kept(None, home_with(folder, machine))
    home = home_with(folder, machine)
    return Kept(keep_machine(folder, text, at), home)
