"""Every key of the machine file as a question that a person with a tape measure can answer, in the order of work.

The format itself is described in docs/machine-file.md; a test holds the two together.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any


class Kind(StrEnum):
    """How an answer is typed."""

    TEXT = "text"
    MASS = "mass"
    NUMBER = "number"
    PAIR = "pair"
    CHOICE = "choice"
    COUNT = "count"
    YES_NO = "yes-no"
    ARM = "arm"
    FREE_HORN = "free-horn"
    LINES = "lines"
    POINTS = "points"
    EXERCISES = "exercises"


ANY = ("*",)
"""Stands for any answer but an empty one."""
FRAME = ("forward", "up")
ARM_POINT = ("along", "up")
YES_OR_NO = (("no", "no"), ("yes", "yes"))
ACROSS = (("across", "out to the side, across the way the arm moves"), ("along", "along the way the arm moves"))
STATIONS = (
    ("lever", "the hand is on the arm"),
    ("cable", "the hand pulls a cable from the arm"),
    ("body", "the lifter's own weight"),
    ("free", "a plain mass: a bar, a sled, a handle"),
)
TURNS = (("clockwise", "clockwise"), ("counter-clockwise", "counter-clockwise"))
ON_ARM = ("kind", ("lever", "cable"))


@dataclass(frozen=True, slots=True)
class Field:
    """One key.

    label, hint: what is asked, and how to find it out. unit: what the number counts; a mass says its own.
    parts:   names of the two numbers of a pair. options: answers to choose from, each with its words.
    when:    other keys of the same table, each with the answers that make this one be asked; `ANY` for any.
    least:   0 if the number is never negative, so that a keyboard without a minus does.
    """

    key: str
    kind: Kind
    label: str
    hint: str = ""
    unit: str = ""
    parts: tuple[str, str] = ("", "")
    options: tuple[tuple[str, str], ...] = ()
    when: tuple[tuple[str, tuple[str, ...]], ...] = ()
    needed: bool = False
    least: int = 0

    def applies(self, table: Mapping[str, Any]) -> bool:
        """Whether it is asked, with the other answers of its table as they are."""
        return all(
            bool(table.get(key)) if wanted == ANY else table.get(key) in wanted for key, wanted in self.when
        )


def point(key: str, label: str, hint: str, parts: tuple[str, str], **more: Any) -> Field:
    """A place, as two lengths."""
    return Field(key, Kind.PAIR, label, hint, "mm", parts, least=-1, **more)


def length(key: str, label: str, hint: str, **more: Any) -> Field:
    """A length."""
    return Field(key, Kind.NUMBER, label, hint, "mm", **more)


def angle(key: str, label: str, hint: str, **more: Any) -> Field:
    """A direction."""
    return Field(key, Kind.NUMBER, label, hint, "degrees", least=-1, **more)


def mass(key: str, label: str, hint: str, **more: Any) -> Field:
    """A mass with its unit."""
    return Field(key, Kind.MASS, label, hint, "kg or lb", **more)


def choice(key: str, label: str, hint: str, options: tuple[tuple[str, str], ...], **more: Any) -> Field:
    """One of several answers."""
    return Field(key, Kind.CHOICE, label, hint, options=options, **more)


TURN = choice(
    "wheel_turn",
    "Which way the cable runs round it",
    "On its way to the hand, looking at the machine with forward to your right.",
    TURNS,
    needed=True,
)
INERTIA = Field(
    "inertia_kg_m2",
    Kind.NUMBER,
    "Moment of inertia",
    "About its own balance point; a bar: its mass × its length in metres squared ÷ 12. For motion only.",
    "kg m²",
)
LEVEL = "From the hinge, with the arm level; above the line through the hinge is plus."
FLOOR = "From the mark on the floor under the hinge; forward is where the arm points."

SECTIONS: dict[str, tuple[Field, ...]] = {
    "machine": (
        Field("name", Kind.TEXT, "What you call it", "Sets already logged are known by this name.", needed=True),
        mass("rated_user", "Heaviest lifter allowed", "From the label or the manual. Not stated: leave it empty."),
        Field("notes", Kind.TEXT, "Notes", "One line."),
    ),
    "arm": (
        point("pivot_mm", "The hinge", FLOOR + " Up is its height over the floor.", FRAME, needed=True),
        mass(
            "mass", "Mass of the bare arm", "If you don't know it: any reasonable one, see balance.", needed=True
        ),
        point(
            "balance_mm",
            "Where it balances",
            "Hook a scale in at the handle, arm level: reading × distance from the hinge ÷ mass of the arm.",
            ARM_POINT,
            needed=True,
        ),
        INERTIA,
        Field(
            "hinge_torque_n_m",
            Kind.NUMBER,
            "Friction of the hinge",
            "Half the difference of the scale between creeping up and down, × 9.81 × metres to the hook.",
            "N m",
        ),
        mass(
            "rated_plates",
            "Most in plates on one arm",
            "From the label or the manual. Not stated: leave it empty.",
        ),
        Field(
            "paired",
            Kind.YES_NO,
            "Are there two such arms, left and right, moving on their own?",
            options=YES_OR_NO,
        ),
    ),
    "arm.counterweight": (
        mass("mass", "Its mass", "Weigh it, or read what is cast into it.", needed=True),
        point("at_mm", "Its middle", LEVEL + " Behind the hinge along is negative.", ARM_POINT, needed=True),
        INERTIA,
    ),
    "horn": (
        Field("on", Kind.ARM, "Fixed to", "Nothing, for the post of a belt, a vest or a loading handle."),
        choice("lies", "It stands", "Which way plates slide on.", ACROSS, when=(("on", ANY),)),
        point(
            "at_mm",
            "Its place on the arm",
            LEVEL
            + " The middle of the post; on a post along the arm's way, where the first plate's inner face sits.",
            ARM_POINT,
            when=(("on", ANY),),
            needed=True,
        ),
        angle(
            "along_deg",
            "Which way plates stack outwards",
            "Arm level: 0 forward, 90 up.",
            when=(("on", ANY), ("lies", ("along",))),
            needed=True,
        ),
        Field(
            "sides",
            Kind.COUNT,
            "How many of it",
            "Left and right are always loaded alike.",
            options=(("1", "one"), ("2", "two, left and right")),
        ),
        length("length_mm", "Room on the post", "From the inner stop to the end of the post.", needed=True),
        length("collar_mm", "What the collar takes of it", "0 without a collar."),
        mass("rated", "Most on one such post", "From the label or the manual. Not stated: leave it empty."),
        Field(
            "plates_turn_with_arm",
            Kind.YES_NO,
            "Do plates turn with the arm?",
            "No, if they spin freely on the post. For motion only.",
            options=YES_OR_NO,
        ),
    ),
    "station": (
        Field("title", Kind.TEXT, "What people call it", needed=True),
        choice("kind", "How the load gets to the hand", "", STATIONS, needed=True),
        Field("arm", Kind.ARM, "The arm it works", when=(ON_ARM,), needed=True),
        Field(
            "range_deg",
            Kind.PAIR,
            "Arm angle where a lift begins and ends",
            "Lay a phone on the arm: 0 is level, plus is tip up. In that order; the second may be the lower.",
            "degrees",
            ("begins", "ends"),
            when=(ON_ARM,),
            needed=True,
            least=-1,
        ),
        point("hand_mm", "The hand", LEVEL, ARM_POINT, when=(("kind", ("lever",)),), needed=True),
        angle(
            "direction_deg",
            "The one way the hand goes",
            "Leave it empty if it goes round with the arm. 0 forward, 90 up, 180 backward, -90 down.",
            when=(("kind", ("lever",)),),
        ),
        Field(
            "share",
            Kind.NUMBER,
            "Share of the body's mass",
            "0.6 stands for 60 %. Stand or hang on a scale in the middle of the movement.",
            when=(("kind", ("body",)),),
            needed=True,
        ),
        mass(
            "mass", "Mass of the empty bar, sled or handle", "Weigh it.", when=(("kind", ("free",)),), needed=True
        ),
        length("travel_mm", "Way of one repetition", "0 if not measured.", when=(("kind", ("body", "free")),)),
        Field("horn", Kind.FREE_HORN, "The post that takes plates", when=(("kind", ("body", "free")),)),
        Field("exercises", Kind.EXERCISES, "What is done here"),
        Field(
            "attachments",
            Kind.LINES,
            "What can be clipped on",
            "One a line with its mass, such as: rope: 0.8 kg. The first is on unless another is asked for.",
        ),
        Field("setup_s", Kind.NUMBER, "Time to walk there and set it up", "Empty means 60.", "seconds"),
    ),
    "station.cable": (
        point(
            "arm_mm",
            "Where it is fixed to the arm",
            LEVEL + " Or the middle of the arm's wheel.",
            ARM_POINT,
            needed=True,
        ),
        point("wheel_mm", "Middle of the first wheel on the frame", FLOOR, FRAME, needed=True),
        length(
            "wheel_radius_mm", "Radius of that wheel", "Half its width, to the middle of the cable.", needed=True
        ),
        TURN,
        angle("exit_deg", "Which way the hand pulls", "0 forward, 90 up, 180 backward, -90 down.", needed=True),
        Field("more_wheels", Kind.NUMBER, "How many more fixed wheels follow", "On the way to the hand."),
        Field(
            "more_wheels_mm",
            Kind.POINTS,
            "Where those are, if measured",
            "One a line, forward and up, such as: 1620 2150. For the drawing; no load depends on it.",
            "mm",
        ),
        Field(
            "efficiency",
            Kind.NUMBER,
            "Share of the pull each wheel passes on",
            "0.95 to 0.98 on ball bearings, 0.90 to 0.95 on bushes or with dirt (from memory).",
            needed=True,
        ),
        mass("rated", "Most the cable may carry", "From the label or the manual. Not stated: leave it empty."),
    ),
    "station.cable.dead_end": (
        point("anchor_mm", "Where the end is tied to the frame", FLOOR, FRAME, needed=True),
        length("wheel_radius_mm", "Radius of the wheel on the arm", "Half its width, to the cable.", needed=True),
        TURN,
    ),
    "station.joint": (
        choice("is", "Which joint", "", (("elbow", "elbow"), ("shoulder", "shoulder")), needed=True),
        point("at_mm", "Where it rests", FLOOR, FRAME, needed=True),
        angle(
            "upper_arm_deg",
            "Which way the upper arm points, from shoulder to elbow",
            "-90 is straight down; empty means that.",
            when=(("is", ("elbow",)),),
        ),
    ),
}
"""Fields by the table they stand in, in the order in which they are asked."""

OPTIONAL = {
    "arm.counterweight": "Counterweight",
    "station.cable.dead_end": "Wheel on the arm, with the cable's end tied to the frame",
    "station.joint": "Where the working joint rests",
}
"""Tables that may be left out, with their headings."""
NAMED = ("arm", "horn", "station")
"""Tables of which there are several, each with a name."""


def field_at(section: str, key: str) -> Field | None:
    """The field of a key, if there is one.

    >>> field_at("horn", "length_mm").label
    'Room on the post'
    """
    return next((field for field in SECTIONS.get(section, ()) if field.key == key), None)
