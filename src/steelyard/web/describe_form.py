"""The guided description as a template needs it: parts, fields with what was typed, the one problem in place."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from steelyard.errors import DamagedFile, SteelyardError
from steelyard.training.exercises import PATTERNS
from steelyard.training.model import Exercise
from steelyard.workshop.draft import Draft, form_of, group_applies
from steelyard.workshop.fields import NAMED, OPTIONAL, SECTIONS, STATIONS, Field, Kind, field_at

HEADINGS = {"arm": "Arms", "horn": "Horns", "station": "Stations"}
LABEL = "Name and limits"
GROUPS = {"arm": ("counterweight",), "station": ("cable", "joint"), "station.cable": ("dead_end",)}
"""Tables inside the tables of a section."""
TITLES = OPTIONAL | {"station.cable": "The cable, from the arm to the hand"}
LAST = ("exercises", "attachments", "setup_s")
GROUP_WHEN = {"station.cable": "kind=cable", "station.joint": "kind=lever,cable"}


@dataclass(frozen=True, slots=True)
class Problem:
    """What is wrong with a draft: where, in words; target is the id of the field to go to."""

    key: str
    words: str
    target: str = ""
    name: str = ""


@dataclass(frozen=True, slots=True)
class Answer:
    """A field as it is shown.

    name: in the form; a pair's inputs add .0 and .1. hidden: not asked with the other answers as they are.
    when: the condition for the script, such as ``on=*&lies=along``.
    """

    field: Field
    name: str
    typed: str | list[str]
    options: Sequence[tuple[str, str]]
    hidden: bool
    when: str
    amiss: str = ""

    @property
    def id(self) -> str:
        """What links point at."""
        return f"f-{self.name}"


@dataclass(frozen=True, slots=True)
class Group:
    """A table inside another: a counterweight, a cable, its dead end, a joint. Absent ones can be added."""

    place: str
    title: str
    answers: list[Answer]
    groups: list[Group]
    present: bool
    optional: bool
    hidden: bool
    when: str
    amiss: str = ""


@dataclass(frozen=True, slots=True)
class Part:
    """The label, an arm, a horn or a station.

    last: what is asked after the groups, because it is not measured.
    """

    place: str
    title: str
    note: str
    answers: list[Answer]
    groups: list[Group] = field(default_factory=list)
    last: list[Answer] = field(default_factory=list)
    open: bool = False
    amiss: str = ""


@dataclass(frozen=True, slots=True)
class Form:
    """A draft with its problem, ready to be drawn.

    opened: the place of the part to show open, if no problem says otherwise.
    """

    draft: Draft
    exercises: Mapping[str, Exercise]
    problem: Problem | None = None
    opened: str = ""

    @property
    def label(self) -> Part:
        """What the label says."""
        return self._part("machine", "machine", self.draft.get("machine", {}))

    def parts(self, head: str) -> list[Part]:
        """All arms, horns or stations."""
        return [self._part(f"{head}.{name}", head, table) for name, table in self.draft.get(head, {}).items()]

    def _part(self, place: str, section: str, table: Draft) -> Part:
        answers = self._answers(place, section, table)
        blamed = self.problem is not None and f"{self.problem.key}.".startswith(f"{place}.")
        return Part(
            place=place,
            title=part_title(place, table),
            note=part_note(section, table),
            answers=[each for each in answers if each.field.key not in LAST],
            groups=self._groups(place, section, table),
            last=[each for each in answers if each.field.key in LAST],
            open=blamed or self.opened == place or self.opened.startswith(f"{place}."),
            amiss=self._amiss(place),
        )

    def _groups(self, place: str, section: str, table: Draft) -> list[Group]:
        return [self._group(f"{place}.{key}", f"{section}.{key}", table) for key in GROUPS.get(section, ())]

    def _group(self, place: str, section: str, above: Draft) -> Group:
        table = above.get(place.rpartition(".")[2])
        optional = section in OPTIONAL
        present = table is not None or not optional
        return Group(
            place=place,
            title=TITLES[section],
            answers=self._answers(place, section, table or {}) if present else [],
            groups=self._groups(place, section, table or {}) if present else [],
            present=present,
            optional=optional,
            hidden=not group_applies(section, above),
            when=GROUP_WHEN.get(section, ""),
            amiss=self._amiss(place),
        )

    def _answers(self, place: str, section: str, table: Draft) -> list[Answer]:
        return [
            Answer(
                field=each,
                name=f"{place}.{each.key}",
                typed=table.get(each.key, ["", ""] if each.kind is Kind.PAIR else ""),
                options=self._options(each, section, table),
                hidden=not each.applies(table),
                when="&".join(f"{key}={','.join(wanted)}" for key, wanted in each.when),
                amiss=self._amiss(f"{place}.{each.key}"),
            )
            for each in SECTIONS[section]
        ]

    def _amiss(self, key: str) -> str:
        return self.problem.words if self.problem is not None and self.problem.key == key else ""

    def _options(self, asked: Field, section: str, table: Draft) -> Sequence[tuple[str, str]]:
        """What can be chosen; an answer that is none of them is kept among them."""
        options = list(asked.options)
        if asked.kind is Kind.ARM:
            options = [(name, name) for name in self.draft.get("arm", {})]
        elif asked.kind is Kind.FREE_HORN:
            options = [(name, name) for name, horn in self.draft.get("horn", {}).items() if not horn.get("on")]
        else:
            return self._with_typed(options, table.get(asked.key, "")) if options else ()
        nothing = ("", "choose" if asked.needed else "nothing")
        return self._with_typed([nothing, *options], table.get(asked.key, ""))

    @staticmethod
    def _with_typed(options: list[tuple[str, str]], typed: str) -> list[tuple[str, str]]:
        known = [value for value, _ in options]
        return options if not typed or typed in known else [*options, (typed, typed)]

    def exercise_groups(self, ticked: Sequence[str]) -> Iterator[tuple[str, list[tuple[str, str, bool]]]]:
        """Exercises to tick: those ticked first, in their order, then by movement pattern."""
        if ticked:
            yield "Done here", [(name, self._exercise(name), True) for name in ticked]
        for pattern in PATTERNS:
            left = [each for each in self.exercises.values() if each.pattern == pattern and each.id not in ticked]
            if left:
                words = pattern.replace("_", " ").capitalize()
                yield words, [(each.id, each.name, False) for each in left]

    def _exercise(self, name: str) -> str:
        known = self.exercises.get(name)
        return known.name if known else f"{name}, not in the exercise list"

    def copies(self, head: str) -> list[tuple[str, str]]:
        """What a further arm, horn or station can be a copy of."""
        here = [(name, f"a copy of {part_title(f'{head}.{name}', table)}") for name, table in self._tables(head)]
        if head != "station":
            return here or [("", "as in the example")]
        return [*here, *((f"={kind}", f"an example: {words}") for kind, words in STATIONS)]

    def _tables(self, head: str) -> list[tuple[str, Draft]]:
        return list(self.draft.get(head, {}).items())


def part_title(place: str, table: Draft) -> str:
    """What a part is called on the page."""
    head, _, name = place.partition(".")
    if head == "machine":
        return LABEL
    return str(table.get("title") or name) if head == "station" else f"{head.capitalize()} {name}"


def part_note(section: str, table: Draft) -> str:
    """A few words that tell parts of a kind apart."""
    if section == "horn":
        where = f"on {table['on']}" if table.get("on") else "on no arm"
        return f"{where}, {table.get('length_mm') or '?'} mm"
    if section == "station":
        return str(table.get("kind", ""))
    return str(table.get("name", "")) if section == "machine" else str(table.get("mass", ""))


def problem_of(refused: SteelyardError, draft: Draft) -> Problem:
    """A refusal as the page tells it: beside the field it blames, or the part if the field is not shown.

    A refusal of another file than the machine's blames no field.
    """
    if not isinstance(refused, DamagedFile):
        return Problem("", f"{refused}.")
    key = refused.key
    if key.startswith("new."):
        head = key.split(".")[1]
        return Problem(key, f"It is {refused.value}; it must be {refused.accepted}.", f"f-{key}", f"New {head}")
    if key.split(".")[0] not in SECTIONS:
        return Problem("", f"{refused}.")
    value = "Empty" if refused.value == "missing" else f"It is {refused.value}"
    words = f"{value}; it must be {in_form_words(refused.accepted)}."
    return Problem(key, words, _target(key, draft), name_of_key(key, draft))


def in_form_words(accepted: str) -> str:
    """What is accepted, as a form has it and not a file."""
    if accepted.startswith("one or more tables"):
        return "at least one; add one"
    return (
        accepted.replace("a list of 2 numbers", "two numbers")
        .replace("points such as [1200, 1900]", "points, one a line such as 1200 1900")
        .replace("true or false", "yes or no")
    )


def _target(key: str, draft: Draft) -> str:
    """The id to go to: the field's; its part's or its heading's where there is no such field."""
    parts = key.split(".")
    section = ".".join(part for number, part in enumerate(parts[:-1]) if number != 1 or parts[0] not in NAMED)
    if field_at(section, parts[-1]) is not None:
        return f"f-{key}"
    known = {name for name, _ in form_of(draft)}
    return f"part-{key}" if any(name.startswith(f"{key}.") for name in known) else f"all-{parts[0]}"


def name_of_key(key: str, draft: Draft) -> str:
    """A key as the page names it: ``Horn tip: room on the post``."""
    parts = key.split(".")
    deep = 2 if parts[0] in NAMED else 1
    if len(parts) < deep:
        return HEADINGS[parts[0]]
    table = draft.get(parts[0], {})
    table = table.get(parts[1], {}) if deep == 2 else table
    title = part_title(".".join(parts[:deep]), table)
    section = ".".join([parts[0], *parts[deep:-1]])
    asked = field_at(section, parts[-1]) if len(parts) > deep else None
    return f"{title}: {asked.label[0].lower()}{asked.label[1:]}" if asked else title
