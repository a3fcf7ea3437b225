"""Scale readings in words, alike on the terminal and on the page."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from steelyard.journal.events import ScaleRead
from steelyard.plates.model import Stack, plate_names
from steelyard.units import Unit, in_unit, newtons, show_mass, show_share

if TYPE_CHECKING:
    from steelyard.machine.fit import Suspect
    from steelyard.machine.protocol import Suggestion
    from steelyard.workshop.fitting import Report

WAYS = {"up": "creeping up", "down": "creeping down", "held": "held still"}


def reading_words(read: ScaleRead) -> str:
    """Where and how a reading was taken: ``row, 10.0 degrees, creeping up, tip=20 kg``."""
    if not read.station:
        return f"the scale itself with {read.hung_kg:.4g} kg hung on it"
    return f"{read.station}, {degrees_words(read.angle_rad)}, {WAYS[read.creep]}, {names_words(read.plates)}"


def degrees_words(angle_rad: float) -> str:
    """An arm angle.

    >>> degrees_words(-1e-9)
    '0.0 degrees'
    """
    return f"{round(math.degrees(angle_rad), 1) + 0.0:.1f} degrees"


def shown_words(read: ScaleRead) -> str:
    """What the scale showed, in the unit it was read in, and in kilograms."""
    if read.unit == "N":
        return f"{newtons(read.scale_kg):.0f} N ({read.scale_kg:.2f} kg)"
    if read.unit == "lb":
        return f"{in_unit(read.scale_kg, Unit.LB):.1f} lb ({read.scale_kg:.2f} kg)"
    return f"{read.scale_kg:.2f} kg"


def names_words(plates: Mapping[str, Sequence[str]]) -> str:
    """Plates by horn as they are typed: ``tip=20 kg,10 kg``; ``empty`` without any."""
    return " ".join(f"{horn}={','.join(stack)}" for horn, stack in plates.items() if stack) or "empty"


def stacks_words(stacks: Mapping[str, Stack]) -> str:
    """The same from the plates themselves."""
    return names_words(plate_names(stacks))


def suspect_words(report: Report, suspect: Suspect) -> str:
    """Which reading can't be right, and why."""
    read = report.reads[suspect.reading.id]
    return f"{reading_words(read)}: it says {shown_words(read)}, {reason_words(suspect)}"


def reason_words(suspect: Suspect) -> str:
    """What the other readings expect in place of one that can't be right, and what may have happened."""
    span = f"{show_mass(suspect.low_kg, Unit.KG)} to {show_mass(suspect.high_kg, Unit.KG)}"
    return f"the other readings expect {span}" + (f". {suspect.likely}" if suspect.likely else "")


def suggestion_words(suggestion: Suggestion) -> str:
    """The further reading that helps most, and by how much."""
    return f"{sentence(suggestion.words)} It narrows the felt loads by about {show_share(suggestion.narrows)}."


def sentence(words: str) -> str:
    """Words as a sentence of their own.

    >>> sentence("does the arm bind?"), sentence("read the empty arm next")
    ('Does the arm bind?', 'Read the empty arm next.')
    """
    return ended(opened(words))


def opened(words: str) -> str:
    """Words with a capital letter in front, the others left as they are.

    >>> opened("stature is 90 cm")
    'Stature is 90 cm'
    """
    return words[:1].upper() + words[1:]


def ended(words: str) -> str:
    """Words with a full stop, unless they end a sentence already."""
    return words if words.endswith((".", "?", "!")) else f"{words}."
