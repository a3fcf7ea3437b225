"""Does a described machine work? Checks across keys, each blamed on the key a person would correct.

Every check takes the table it blames, so that the message carries file, key and value.
"""

from __future__ import annotations

import math

from steelyard.errors import DamagedFile, OutOfRange
from steelyard.machine.cable import cable_paths, hold_strands, turn_on_arm_wheel, turn_on_frame_wheel
from steelyard.machine.felt import felt_law
from steelyard.machine.model import AcrossArm, Cable, FixedDirection, Machine, Point, Station
from steelyard.machine.statics import (
    Mechanism,
    Way,
    arm_moment,
    effective_ratio,
    from_hinge,
    gravity_torque,
    handle_force,
    mechanism_of,
)
from steelyard.tables import Table
from steelyard.units import felt_kg

LEAST_HAND_M = 0.05
LEAST_RATIO_M = 0.02
"""A handle that goes less far per radian stands nearly still, and its force grows without bound. [m/rad]"""
LEAST_RANGE_RAD, MOST_RANGE_RAD = math.radians(2.0), math.radians(170.0)
MOST_TURN_RAD = math.radians(270.0)
ANGLES = 61


def check_station(machine: Machine, station: Station, table: Table) -> None:
    """Refuse a lever or cable station whose handle, cable or plates can't go the way described.

    table: the station's own table, `station.NAME`.

    Raises: DamagedFile.
    """
    if station.arm is None:
        return
    mechanism = mechanism_of(machine, station)
    check_range(mechanism, table)
    if isinstance(mechanism.drive, Cable):
        check_cable(mechanism, mechanism.drive, table.table("cable"))
    else:
        check_hand(mechanism.drive, table)
    check_handle_follows(mechanism, table)
    check_plates_rise(machine, station, table)
    if isinstance(mechanism.drive, Cable):
        check_taut(mechanism, table)
        check_cable_rating(machine, station, mechanism.drive, table.table("cable"))


def check_range(mechanism: Mechanism, table: Table) -> None:
    """A lift needs a range, and one that a lever can swing through."""
    if not LEAST_RANGE_RAD <= abs(mechanism.to_rad - mechanism.from_rad) <= MOST_RANGE_RAD:
        raise table.wrong("range_deg", "two arm angles that are 2 to 170 degrees apart")


def check_hand(drive: AcrossArm | FixedDirection, table: Table) -> None:
    """A handle at the hinge moves nothing."""
    if math.hypot(*drive.hand_m) < LEAST_HAND_M:
        raise table.wrong("hand_mm", f"{1000 * LEAST_HAND_M:.0f} mm or more from the hinge, which is at [0, 0]")


def check_cable(mechanism: Mechanism, cable: Cable, table: Table) -> None:
    """Wheels apart over the whole range, and the cable on the right side of them."""
    for angle in mechanism.angles(ANGLES):
        out = from_hinge(cable.arm_m, angle)
        at = (mechanism.arm.pivot_m[0] + out[0], mechanism.arm.pivot_m[1] + out[1])
        place = f"at an arm angle of {math.degrees(angle):.0f} degrees"
        check_dead_end(cable, at, place, table)
        check_frame_wheel(cable, at, place, table)


def check_dead_end(cable: Cable, at: Point, place: str, table: Table) -> None:
    """The part from the dead end to the arm's wheel."""
    end = cable.dead_end
    if end is None:
        return
    try:
        hold_strands(cable, at[:1], at[1:])
    except OutOfRange as overlap:
        raise table.table("dead_end").wrong("anchor_mm", f"clear of the arm's wheel; {place} {overlap}") from None


def check_frame_wheel(cable: Cable, at: Point, place: str, table: Table) -> None:
    """The part from the arm to the frame wheel, and the turns round both wheels."""
    try:
        path = cable_paths(cable, at[:1], at[1:])
    except OutOfRange as overlap:
        raise table.wrong("wheel_mm", f"clear of the cable's point on the arm; {place} {overlap}") from None
    turn = turn_on_arm_wheel(cable, path)
    if turn > MOST_TURN_RAD:
        raise table.table("dead_end").wrong("wheel_turn", other_side(turn, place))
    turn = turn_on_frame_wheel(cable, path)
    if turn > MOST_TURN_RAD:
        raise table.wrong("wheel_turn", other_side(turn, place))


def other_side(turn_rad: float, place: str) -> str:
    """What to say of a wheel that the cable would run round nearly whole."""
    round_it = f"{place} the cable would run {math.degrees(turn_rad):.0f} degrees round it"
    return f"the other turn, or the wheel elsewhere; {round_it}"


def check_handle_follows(mechanism: Mechanism, table: Table) -> None:
    """The handle goes with the lift at every angle, or a cable is pulled in."""
    moved = (
        "the cable comes in"
        if isinstance(mechanism.drive, Cable)
        else "the handle moves the way it is pushed or pulled"
    )
    for angle in mechanism.angles(ANGLES):
        ratio = min(mechanism.lift * effective_ratio(mechanism, angle, way) for way in Way)
        if ratio < LEAST_RATIO_M:
            there = f"at {math.degrees(angle):.0f} degrees it stands still or runs back"
            raise table.wrong("range_deg", f"a range in which {moved} all the way; {there}")


def check_plates_rise(machine: Machine, station: Station, table: Table) -> None:
    """On at least one horn of the arm, plates are lifted and not let down."""
    shares = felt_law(machine, station).shares
    if shares and max(share.per_kg for share in shares) <= 0.0:
        raise table.wrong("range_deg", "a range in which the plates rise; is it the wrong way round?")


def check_taut(mechanism: Mechanism, table: Table) -> None:
    """The empty arm pulls on its cable at every angle."""
    empty = arm_moment(mechanism.arm)
    for angle in mechanism.angles(ANGLES):
        if handle_force(mechanism, gravity_torque(empty, angle), angle) < 0.0:
            there = f"empty, the cable hangs slack at {math.degrees(angle):.0f} degrees"
            raise table.wrong("arm", f"an arm whose weight keeps the cable taut over the range; {there}")


def check_cable_rating(machine: Machine, station: Station, cable: Cable, table: Table) -> None:
    """The cable may carry at least the empty arm, in a brisk raise too."""
    law = felt_law(machine, station)
    empty_n = max(*law.peak_base_n, *law.moving_base_n)
    if cable.rated_n is not None and empty_n > cable.rated_n:
        accepted = f"at least what the empty arm pulls in a brisk raise, {felt_kg(empty_n):.1f} kg"
        raise table.wrong("rated", accepted)


def check_free_horns(machine: Machine, source: str) -> None:
    """A horn that sits on no arm must belong to a body-weight or free-weight station."""
    used = {station.horn for station in machine.stations.values()}
    for horn in machine.horns.values():
        if horn.arm is None and horn.name not in used:
            accepted = f"one of {', '.join(machine.arms)}, or the horn of a body or free station"
            raise DamagedFile(source, f"horn.{horn.name}.on", "missing", accepted)
