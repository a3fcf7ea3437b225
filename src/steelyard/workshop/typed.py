"""A scale reading as a person types it: parts in any order, in any unit, on one line.

``row 10 deg up tip=20 kg 31.2 kg``, ``height 92 cm down 24 lb``, ``check 20 kg 20.1 kg``.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass, field

from steelyard.errors import OutOfRange, UnknownName
from steelyard.plates.model import Plate, Stack
from steelyard.training.gym import Gym
from steelyard.units import STANDARD_GRAVITY, Unit

PARTS = "parts such as row, 10 deg, height 92 cm, travel 30 cm, up, tip=20 kg, empty and 31.2 kg, in any order"
CREEP_WORDS = {
    "up": "up",
    "raising": "up",
    "down": "down",
    "lowering": "down",
    "held": "held",
    "still": "held",
    "rest": "held",
}
IDLE_WORDS = frozenset({"at", "with", "on", "scale", "angle", "reads", "and"})
METRES = {"mm": 0.001, "cm": 0.01, "m": 1.0, "in": 0.0254, "inch": 0.0254, "inches": 0.0254, "ft": 0.3048}
"""Source: international yard of 0.9144 m exactly (international yard and pound agreement, 1959)."""
SCALE_WORDS = {"kg": "kg", "kgs": "kg", "kgf": "kg", "lb": "lb", "lbs": "lb", "lbf": "lb", "n": "N", "newton": "N"}
KG_PER = {"kg": 1.0, "lb": float(Unit.LB.in_kg), "N": 1.0 / STANDARD_GRAVITY}
RAD_PER = dict.fromkeys(("deg", "degree", "degrees", "°"), math.pi / 180) | {"rad": 1.0}
LONGEST_LINE = 200

NUMBER = re.compile(r"[+-]?\d{1,6}(?:[.,]\d{1,6})?(?!\d)")
WORD = re.compile(r"[^\W\d_][\w-]*|°")
HORN = re.compile(r"([\w-]+)\s*=\s*")
BLANK = re.compile(r"[\s,;]+")
JOIN = re.compile(r"\s*[,+]\s*(?=\w)")
COUNT = re.compile(r"(\d{1,2})\s*x\s*(?=\w)", re.IGNORECASE)
BOUND = re.compile(r"(?![\w-])")
IDLE_EQUALS = re.compile(rf"\b({'|'.join((*IDLE_WORDS, 'check', 'height', 'travel'))})\s*=", re.IGNORECASE)


@dataclass(slots=True)
class Typed:
    """The parts of a line that were there; None for those that were not.

    height_m, travel_m: where the handle was, instead of an angle. [m]
    stacks: plates by horn. hung: what was hung on the scale to check it, a plate or a mass in kg.
    scale:  what the scale showed [kg], and the unit it was read in.
    said:   the words for each part.
    """

    station: str | None = None
    angle_rad: float | None = None
    height_m: float | None = None
    travel_m: float | None = None
    creep: str | None = None
    stacks: dict[str, Stack] | None = None
    scale: tuple[float, str] | None = None
    check: bool = False
    hung: Plate | float | None = None
    said: dict[str, str] = field(default_factory=dict)

    def once(self, part: str, words: str) -> None:
        """Note that a part was said. Raises: OutOfRange if it was said before."""
        if part in self.said:
            accepted = "given once"
            if part == "the scale":
                accepted += "; plates are written with their horn, such as tip=20 kg"
            raise OutOfRange(part, f"given twice ('{self.said[part]}' and '{words}')", accepted)
        self.said[part] = words


def read_line(text: str, gym: Gym, *, unit: str = "kg") -> Typed:
    """The parts of one line.

    gym:  whose stations, horns and plates may be named.
    unit: of a scale reading without one: kg, lb or N.

    Raises: OutOfRange for what can't be read, or is said twice; UnknownName for a horn or plate not here.
    """
    if len(text) > LONGEST_LINE or not text.isprintable():
        raise OutOfRange("the reading", f"{len(text)} characters long", f"one line of at most {LONGEST_LINE}")
    return _Line(text, gym, unit).read()


class _Line:
    """Goes through one line, part by part."""

    def __init__(self, text: str, gym: Gym, unit: str) -> None:
        plain = text.replace("\u2212", "-").replace("\u00d7", "x")
        self.text = IDLE_EQUALS.sub(r"\1 ", plain)
        self.at = 0
        self.gym = gym
        self.unit = unit
        self.typed = Typed()

    def read(self) -> Typed:
        readers = (self.horn, self.station, self.word, self.number)
        self.take(BLANK)
        while self.at < len(self.text):
            if not any(reader() for reader in readers):
                raise OutOfRange("the reading", f"'{self.text}', where '{self.rest()}' is not clear", PARTS)
            self.take(BLANK)
        return self.typed

    def rest(self) -> str:
        return self.text[self.at :].strip()

    def take(self, pattern: re.Pattern[str]) -> re.Match[str] | None:
        """The pattern, if it comes next; then go on behind it."""
        found = pattern.match(self.text, self.at)
        self.at = found.end() if found else self.at
        return found

    def unit_word(self) -> str:
        """A unit behind a number; empty if there is none."""
        before = self.at
        self.take(BLANK)
        found = self.take(WORD)
        if found and found[0].casefold() in METRES | SCALE_WORDS | RAD_PER:
            return found[0].casefold()
        self.at = before
        return ""

    def longest(self, names: Iterable[str]) -> str | None:
        """The longest of the names that comes next as whole words, in capitals or not; then go on behind it."""
        rest = self.text[self.at :].casefold()
        for name in sorted(names, key=len, reverse=True):
            if rest.startswith(name.casefold()) and BOUND.match(self.text, self.at + len(name)):
                self.at += len(name)
                return name
        return None

    def horn(self) -> bool:
        """``tip=20 kg,10 kg``."""
        found = self.take(HORN)
        if found is None:
            return False
        named = [horn for horn in self.gym.machine.horns if horn.casefold() == found[1].casefold()]
        if not named:
            raise UnknownName("horn", found[1], self.gym.machine.horns)
        stack = self.stack(named[0])
        self.typed.once(f"the load of {named[0]}", self.text[found.start() : self.at])
        self.typed.stacks = (self.typed.stacks or {}) | {named[0]: stack}
        return True

    def stack(self, horn: str) -> Stack:
        """Plates, innermost first; ``2x10 kg`` is two."""
        if self.longest(("empty", "none", "0")) is not None:
            return ()
        plates: list[Plate] = []
        while True:
            count = self.take(COUNT)
            plate = self.plate()
            if plate is None:
                known = [plate.name for plate in self.gym.inventory.counts]
                raise UnknownName(f"plate on {horn}", self.rest()[:40] or "nothing", known)
            plates += [plate] * (int(count[1]) if count else 1)
            before = self.at
            if self.take(JOIN) is None:
                return tuple(plates)
            if not (COUNT.match(self.text, self.at) or self.comes_plate()):
                self.at = before  # the comma stood before another part
                return tuple(plates)

    def comes_plate(self) -> bool:
        before = self.at
        found = self.plate() is not None
        self.at = before
        return found

    def plate(self) -> Plate | None:
        """A plate of the house, by its name or by the mass cast into it."""
        counts = self.gym.inventory.counts
        named = self.longest(plate.name for plate in counts)
        if named is not None:
            return self.gym.inventory.plate(named)
        before, mass = self.at, self.mass()
        alike = [plate for plate in counts if mass is not None and abs(plate.nominal.kg - mass[0]) < 1e-9]
        self.at = self.at if len(alike) == 1 else before
        return alike[0] if len(alike) == 1 else None

    def mass(self) -> tuple[float, str] | None:
        """A number with a unit of mass or force, or with none: kilograms, and the unit."""
        before, number = self.at, self.take(NUMBER)
        word = self.unit_word() if number else ""
        if number is None or (word and word not in SCALE_WORDS):
            self.at = before
            return None
        unit = SCALE_WORDS.get(word, self.unit)
        return as_float(number[0]) * KG_PER[unit], unit

    def station(self) -> bool:
        name = self.longest(self.gym.machine.stations)
        if name is not None:
            self.typed.once("the station", name)
            self.typed.station = name
        return name is not None

    def word(self) -> bool:
        """up, down, empty, check, height and travel, and words that say nothing."""
        before, found = self.at, self.take(WORD)
        word = found[0].casefold() if found else ""
        if word in CREEP_WORDS:
            self.typed.once("the way of the handle", word)
            self.typed.creep = CREEP_WORDS[word]
        elif word == "empty":
            self.typed.once("the load", word)
            self.typed.stacks = self.typed.stacks or {}
        elif word == "check":
            self.check()
        elif word in ("height", "travel"):
            self.place(word)
        elif word not in IDLE_WORDS:
            self.at = before
            return False
        return True

    def check(self) -> None:
        """What hangs straight on the scale."""
        self.typed.once("check", "check")
        self.take(BLANK)
        mass = None
        self.typed.hung = self.plate()
        if self.typed.hung is None:
            mass = self.mass()
            self.typed.hung = mass[0] if mass else None
        self.typed.check = True

    def place(self, kind: str) -> None:
        """A height over the floor mark, or a travel since the lift began."""
        self.take(BLANK)
        start, number = self.at, self.take(NUMBER)
        unit = self.unit_word()
        if number is None or unit not in METRES:
            raise OutOfRange(
                kind, f"'{self.text[start : self.at + 10].strip()}'", "a length such as 92 cm or 36 in"
            )
        self.typed.once("the angle", f"{kind} {number[0]} {unit}")
        length_m = as_float(number[0]) * METRES[unit]
        if kind == "height":
            self.typed.height_m = length_m
        else:
            self.typed.travel_m = length_m

    def number(self) -> bool:
        """An angle, or what the scale showed."""
        before, number = self.at, self.take(NUMBER)
        if number is None:
            return False
        unit = self.unit_word()
        words = self.text[before : self.at].strip()
        if unit in METRES:
            raise OutOfRange("a length", f"'{words}'", f"said to be one: height {words}, or travel {words}")
        if unit in RAD_PER:
            self.typed.once("the angle", words)
            self.typed.angle_rad = as_float(number[0]) * RAD_PER[unit]
        else:
            scale = SCALE_WORDS.get(unit, self.unit)
            self.typed.once("the scale", words)
            self.typed.scale = (as_float(number[0]) * KG_PER[scale], scale)
        return True


def as_float(number: str) -> float:
    """A number with a decimal point or comma.

    >>> as_float("31,2")
    31.2
    """
    return float(number.replace(",", "."))
