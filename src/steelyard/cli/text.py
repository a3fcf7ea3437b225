"""How things read on a terminal: plain text, no colour needed, nothing wider than it must be."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import degrees

from steelyard.machine.curve import resistance_curve
from steelyard.machine.model import Horn, Machine
from steelyard.plates.instructions import instructions, stack_words
from steelyard.plates.loading import largest_gap
from steelyard.plates.model import Plate, Rung
from steelyard.review.report import Review
from steelyard.training.gym import Gym, StationLoads
from steelyard.training.model import PreparedSession, PreparedSet, Role, Side
from steelyard.training.nearness import near_words
from steelyard.units import Unit, felt_kg, show_mass
from steelyard.workshop.pace import session_pace


def clock(seconds: float) -> str:
    """Minutes and seconds.

    >>> clock(125.4)
    '2:05'
    """
    whole = round(seconds)
    return f"{whole // 60}:{whole % 60:02d}"


def session_lines(session: PreparedSession, gym: Gym, unit: Unit, name: str) -> Iterator[str]:
    """A prepared session from top to bottom."""
    pace = session_pace(gym, session)
    minutes = round(session.lasts_s / 60)
    yield f"{session.outline.title}, for {name}, on {session.machine}: about {minutes} minutes"
    yield from (f"  note: {note}" for note in session.notes)
    if session.closest:
        yield f"  {session.closest}"
    exercise = ""
    for one in session.sets:
        if one.exercise != exercise:
            exercise = one.exercise
            station = gym.machine.stations[one.station]
            yield ""
            yield f"{clock(one.starts_s):>6}  {gym.exercises[exercise].name}, at {station.title}"
            if exercise in pace:
                yield f"          {pace.pop(exercise)}"
        yield from set_lines(one, gym, unit)
    yield ""
    yield from (f"  {caution}" for caution in session.cautions)


def set_lines(one: PreparedSet, gym: Gym, unit: Unit) -> Iterator[str]:
    """One set in two or three lines: what to do, how to build it, and why."""
    station = gym.machine.stations[one.station]
    horns = {horn.name: horn for horn in gym.machine.horns_of(station)}
    side = ("" if one.side is Side.BOTH else f", {one.side} arm") + (", straight on" if one.paired else "")
    felt = show_mass(one.felt_kg, unit)
    yield f"{clock(one.starts_s):>6}    {role_words(one)}{side}: {reps_words(one)}, {felt} felt"
    yield f"          {stack_words(one.loading, horns)} ({hands_words(one, unit, named=len(horns) > 1)})"
    if near := near_words(one):
        yield f"          {near}"
    if one.role in (Role.WORK, Role.TEST, Role.DROP):
        yield f"          {one.reason}"
        if one.runner_up:
            yield f"          {one.runner_up}"


def hands_words(one: PreparedSet, unit: Unit, *, named: bool) -> str:
    """What hands do to the plates before a set; named: name the horn even if it is one."""
    return instructions(one.moves, unit, named=named) or "plates stay"


def role_words(one: PreparedSet) -> str:
    """What kind of set it is."""
    counted = {Role.WARM_UP: "warm-up", Role.WORK: "set", Role.DROP: "drop", Role.REST_PAUSE: "rest-pause"}
    if one.role is Role.TEST:
        return "light test set"
    return f"{counted[one.role]} {one.number} of {one.of}"


def reps_words(one: PreparedSet) -> str:
    """The reps wanted and where to stop."""
    reps = f"{one.reps_low}" if one.reps_low == one.reps_high else f"{one.reps_low} to {one.reps_high}"
    if one.role is Role.WARM_UP:
        return f"{reps} easy reps"
    if one.role is Role.TEST:
        return f"{reps} reps, stop while {one.rir} or more are left"
    if one.role in (Role.DROP, Role.REST_PAUSE):
        return f"about {reps} reps, until form would go"
    return f"{reps} reps, " + (f"{one.rir} left" if one.rir else "none left")


def station_lines(loads: StationLoads, unit: Unit) -> Iterator[str]:
    """A station in a few lines: empty and full, its steps, and how plates count."""
    law, ladder = loads.law, loads.ladder
    yield f"{loads.station.name}: {loads.station.title}"
    span = f"empty {show_mass(law.base_kg, unit)} felt, up to {show_mass(ladder[-1].felt_kg, unit)}"
    yield f"  {span}, {len(ladder)} loads"
    for share in law.shares:
        each = " on each side" if share.horn.sides == 2 else ""
        yield f"  1 kg{each} on {share.horn.name} adds {share.sides * share.per_kg:.3f} kg felt"
    if law.lowering is not None:
        yield f"  lowering, empty: {show_mass(law.lowering.base_kg, unit)} felt; friction takes the difference"
    widest = largest_gap(ladder)
    if widest is not None:
        yield f"  largest gap: {show_mass(widest.below_kg, unit)} to {show_mass(widest.above_kg, unit)}"
    if law.stroke_m:
        yield f"  handle travel {law.stroke_m * 100:.0f} cm"
    yield f"  exercises: {', '.join(loads.station.exercises)}"


def resistance_lines(machine: Machine, loads: StationLoads, unit: Unit, *, one_arm: bool) -> Iterator[str]:
    """Handle force over the range, empty and with 20 kg on each post, raising and lowering."""
    station = loads.station
    if station.arm is None:
        return
    angles = [station.from_rad + (station.to_rad - station.from_rad) * step / 6 for step in range(7)]
    twenty = {share.horn.name: (20.0, 0.0) for share in loads.law.shares}
    empty = resistance_curve(machine, station, angles, {}, one_arm=one_arm)
    laden = resistance_curve(machine, station, angles, twenty, one_arm=one_arm)
    yield "  over the range (arm angle, handle travel): empty up/down, with 20 kg a post up/down"
    columns = (empty.raising_n, empty.lowering_n, laden.raising_n, laden.lowering_n)
    for angle, travel_m, *forces_n in zip(empty.angles_rad, empty.travel_m, *columns, strict=True):
        up, down, laden_up, laden_down = (show_mass(felt_kg(force), unit) for force in forces_n)
        place = f"{degrees(angle):+4.0f} deg, {travel_m * 100:3.0f} cm"
        yield f"    {place}:  {up:>9} / {down:>9}    {laden_up:>9} / {laden_down:>9}"


def ladder_lines(rungs: tuple[Rung, ...], horns: Mapping[str, Horn], unit: Unit) -> Iterator[str]:
    """The load ladder, lightest first."""
    for rung in rungs:
        yield f"{show_mass(rung.felt_kg, unit):>10}   {stack_words(rung.loading, horns)}"


def plate_line(plate: Plate, count: int) -> str:
    """One kind of plate and how many there are."""
    weighed = f", weighed {plate.weighed}" if plate.weighed else ""
    return f"{count:>3} x {plate.name}{weighed}, {plate.thickness_m * 1000:g} mm thick"


def review_lines(review: Review, unit: Unit) -> Iterator[str]:
    """A review: sentences first, then exercises, then muscles."""
    yield f"{review.lifter.name}"
    yield from review.sentences
    for line in review.lines:
        sets = ", ".join(f"{done.reps} at {show_mass(done.felt_kg, unit)}" for done in line.last_sets)
        yield ""
        yield f"{line.name} ({line.last_on:%d %b}): {sets}"
        yield f"  {line.sentence}"
        if line.handbook:
            yield f"  {line.handbook}"
        if line.one_rm_kg and line.one_rm_low_kg and line.one_rm_high_kg:
            span = f"{show_mass(line.one_rm_low_kg, unit)} to {show_mass(line.one_rm_high_kg, unit)}"
            yield f"  estimated one-rep maximum {show_mass(line.one_rm_kg, unit)} (nine chances in ten: {span})"
    if review.muscles:
        yield ""
        yield "Hard sets in the last seven days (indirect work counts half):"
        yield from (f"  {week.sets:>5.1f}  {week.name} ({week.label})" for week in review.muscles)
