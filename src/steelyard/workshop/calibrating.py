"""Taking the readings for a calibration."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from steelyard.errors import SteelyardError, UnknownName
from steelyard.journal.events import ScaleRead
from steelyard.journal.fold import LoggedReading
from steelyard.service import Steelyard
from steelyard.training.gym import Gym
from steelyard.workshop.taking import Asked, reading_from
from steelyard.workshop.typed import read_line


def described(steelyard: Steelyard) -> Gym:
    """The gym as its files describe it, which is what readings are fitted to."""
    return steelyard.believed.described


def logged_readings(steelyard: Steelyard) -> tuple[LoggedReading, ...]:
    """All readings of this machine that count, in the order of time."""
    return steelyard.state.readings.get(described(steelyard).machine.name, ())


def take(
    steelyard: Steelyard,
    line: str,
    asked: Asked,
    *,
    unit: str = "kg",
    scale_range_kg: float | None = None,
    event_id: str | None = None,
) -> str:
    """Record a reading as typed; returns the id of the event, which is on disk.

    asked: what parts left out are taken from. unit: of a scale reading that names none.
    scale_range_kg: the most the scale can show, if it is known. [kg]

    Raises: OutOfRange, UnknownName, LimitExceeded; nothing is recorded then.
    """
    gym = described(steelyard)
    typed = read_line(line, gym, unit=unit)
    read = reading_from(typed, asked, gym, as_typed=line, scale_range_kg=scale_range_kg)
    return steelyard.record(read, event_id)


def forget(steelyard: Steelyard, named: str, *, event_id: str | None = None) -> LoggedReading:
    """Undo a reading, named by its id or the beginning of it. Raises: UnknownName."""
    readings = logged_readings(steelyard)
    found = [logged for logged in readings if named and logged.id.startswith(named.lower())]
    if len(found) != 1:
        raise UnknownName("reading", named, [logged.id[:8] for logged in readings])
    steelyard.delete(found[0].id, event_id=event_id)
    return found[0]


def bring(
    steelyard: Steelyard, lines: Sequence[str], source: str, asked: Asked, *, scale_range_kg: float | None
) -> tuple[int, int]:
    """Record the readings of a file, one a line; returns how many it holds and how many were new.

    What is here already, as often as the file says it, is not recorded again. Blank lines, and what follows a #,
    are passed over.

    Raises: SteelyardError naming the first line that can't be read; nothing is recorded then.
    """
    gym = described(steelyard)
    here = Counter(_content(logged.read) for logged in logged_readings(steelyard))
    new, count = [], 0
    for number, text in enumerate(lines, start=1):
        line = text.partition("#")[0].strip()
        if not line:
            continue
        count += 1
        try:
            typed = read_line(line, gym)
            read = reading_from(typed, asked, gym, as_typed=line, scale_range_kg=scale_range_kg)
        except SteelyardError as problem:
            raise SteelyardError(f"{source} line {number}: {problem}") from problem
        if here[_content(read)] > 0:
            here[_content(read)] -= 1
        else:
            new.append(read)
    for read in new:
        steelyard.record(read)
    return count, len(new)


def _content(read: ScaleRead) -> str:
    return repr(replace(read, as_typed=""))
