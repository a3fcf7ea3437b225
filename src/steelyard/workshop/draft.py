"""A machine while it is being described: the tables of its file with every answer as it was typed.

A draft may be wrong or half done; nothing typed is ever thrown away. `tables_of` turns it into what a machine file
holds, leaving every judgement to the reader of that file.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Iterator, Sequence
from copy import deepcopy
from typing import Any

from steelyard.errors import DamagedFile, OutOfRange
from steelyard.machine.examples import example_text
from steelyard.machine.file import NAME, read_machine, write_machine
from steelyard.machine.model import Machine
from steelyard.tables import shown
from steelyard.workshop.fields import NAMED, OPTIONAL, SECTIONS, Field, Kind, field_at

Draft = dict[str, Any]
"""Tables as in the file. A leaf is a text; for a pair a list of two, for exercises a list of ids."""

NUMBER = re.compile(r"[+-]?(?:[0-9]{1,20}(?:[.,][0-9]{0,40})?|[.,][0-9]{1,40})(?:[eE][+-]?[0-9]{1,3})?")
MOST_PARTS = 100
"""More arms, horns or stations than any machine has; a page with more would not be worked through."""
YES_NO = {"yes": True, "no": False}
MODELS = {
    "arm.counterweight": ("counterbeam", "arm.beam.counterweight"),
    "station.cable.dead_end": ("boathouse", "station.low-pulley.cable.dead_end"),
    "arm": ("boathouse", "arm.main"),
    "horn": ("boathouse", "horn.tip"),
    "lever": ("boathouse", "station.row"),
    "cable": ("boathouse", "station.high-pulley"),
    "body": ("boathouse", "station.inverted-row"),
    "free": ("boathouse", "station.handle"),
}
"""What a new part is a copy of where the machine has none of its kind: an example and a place in it."""
JOINT: Draft = {"is": "elbow", "at_mm": ["", ""], "upper_arm_deg": ""}


def drafted(machine: Machine) -> Draft:
    """A machine as its answers.

    >>> boathouse = read_machine(example_text("boathouse"), "boathouse.toml")
    >>> drafted(boathouse)["horn"]["tip"]["at_mm"]
    ['900', '40']
    """
    return _drafted_table(tomllib.loads(write_machine(machine)), "")


def _drafted_table(table: dict[str, Any], section: str) -> Draft:
    found: Draft = {}
    for key, value in table.items():
        field = field_at(section, key)
        if field is not None:
            found[key] = _typed(field, value)
        elif key in NAMED and not section:
            found[key] = {name: _drafted_table(part, key) for name, part in value.items()}
        else:
            found[key] = _drafted_table(value, f"{section}.{key}".lstrip("."))
    return found


def _typed(field: Field, value: Any) -> str | list[str]:
    """A value as a person would type it."""
    match field.kind:
        case Kind.EXERCISES:
            return list(value)
        case Kind.PAIR:
            return [str(part) for part in value]
        case Kind.LINES:
            return "\n".join(value)
        case Kind.POINTS:
            return "\n".join(f"{forward} {up}" for forward, up in value)
        case Kind.YES_NO:
            return "yes" if value else "no"
    return str(value)


def draft_of_form(pairs: Iterable[tuple[str, str]]) -> Draft:
    """The draft that a form's fields stand for; `form_of` is the way back.

    Raises: OutOfRange for a field that the form does not have, or for more parts than a machine can have.
    """
    draft: Draft = {}
    for name, text in pairs:
        parts = name.split(".")
        place, section, rest = _table_place(parts)
        field = field_at(section, rest[0]) if rest else None
        if field is None or rest[1:] not in ([["0"], ["1"]] if field.kind is Kind.PAIR else [[]]):
            raise OutOfRange("the form's field", f"'{name[:60]}'", "one that this form has")
        table = draft
        for part in place:
            table = table.setdefault(part, {})
        _fill(table, field, rest[1:], text.replace("\r\n", "\n"))
    for head in NAMED:
        if len(draft.get(head, ())) > MOST_PARTS:
            raise OutOfRange(f"the number of tables {head}", len(draft[head]), f"at most {MOST_PARTS}")
    return draft


def _fill(table: Draft, field: Field, index: list[str], text: str) -> None:
    if field.kind is Kind.PAIR:
        table.setdefault(field.key, ["", ""])[int(index[0])] = text
    elif field.kind is Kind.EXERCISES:
        table.setdefault(field.key, []).append(text)
    else:
        table[field.key] = text


def _table_place(parts: Sequence[str]) -> tuple[list[str], str, list[str]]:
    """From ``station, row, cable, wheel_mm, 0``: the table's place, its section, and what is left of it."""
    deep = 2 if parts[0] in NAMED else 1
    place, section, rest = list(parts[:deep]), parts[0], list(parts[deep:])
    while rest and f"{section}.{rest[0]}" in SECTIONS:
        section = f"{section}.{rest[0]}"
        place.append(rest.pop(0))
    return place, section, rest


def section_of(place: str) -> str:
    """The section of a table's place.

    >>> section_of("station.low-pulley.cable.dead_end")
    'station.cable.dead_end'
    """
    return _table_place(place.split("."))[1]


def form_of(draft: Draft) -> list[tuple[str, str]]:
    """Every answer with its name in the form, such as ``horn.tip.at_mm.0``."""
    return list(_form_of(draft, ()))


def _form_of(table: Draft, place: tuple[str, ...]) -> Iterator[tuple[str, str]]:
    for key, value in table.items():
        name = ".".join((*place, key))
        if isinstance(value, dict):
            yield from _form_of(value, (*place, key))
        elif isinstance(value, str):
            yield name, value
        elif key == "exercises":
            yield from ((name, each) for each in value)
        else:
            yield from ((f"{name}.{number}", part) for number, part in enumerate(value))


def tables_of(draft: Draft) -> dict[str, Any]:
    """The tables of the machine file: what applies and was answered, with numbers where numbers were typed."""
    tables: dict[str, Any] = {"machine": _table(draft.get("machine", {}), "machine")}
    for head in NAMED:
        if draft.get(head):
            tables[head] = {name: _table(part, head) for name, part in draft[head].items()}
    return tables


def _table(answers: Draft, section: str) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for field in SECTIONS[section]:
        if field.applies(answers) and (value := _value(field, answers.get(field.key, ""))) is not None:
            found[field.key] = value
    for key, part in answers.items():
        if isinstance(part, dict) and group_applies(f"{section}.{key}", answers):
            found[key] = _table(part, f"{section}.{key}")
    return found


def group_applies(section: str, answers: Draft) -> bool:
    """Whether a table inside another is asked for: a cable at a cable, a joint at an arm."""
    kinds = {"station.cable": ("cable",), "station.joint": ("lever", "cable")}
    return section not in kinds or answers.get("kind") in kinds[section]


def _value(field: Field, typed: str | list[str]) -> Any:
    """What the file holds for an answer; None for one left empty. Texts that are no numbers stay texts."""
    if isinstance(typed, list):
        texts = [text.strip() for text in typed]
        read: Any = [typed_number(text) for text in texts] if field.kind is Kind.PAIR else texts
        return read if any(texts) else None
    text = typed.strip()
    if field.kind in (Kind.LINES, Kind.POINTS):
        lines = [line.strip() for line in text.splitlines() if line.strip()]
        return ([_typed_point(line) for line in lines] if field.kind is Kind.POINTS else lines) or None
    if field.kind in (Kind.NUMBER, Kind.COUNT):
        return typed_number(text) if text else None
    return YES_NO.get(text, text or None) if field.kind is Kind.YES_NO else text or None


def typed_number(text: str) -> int | float | str:
    """The number typed, with a decimal point or comma; the text itself if it is none.

    >>> typed_number("52,5"), typed_number("−14"), typed_number("a yard")
    (52.5, -14, 'a yard')
    """
    plain = text.replace("−", "-")
    if NUMBER.fullmatch(plain) is None:
        return text
    return int(plain) if plain.lstrip("+-").isdigit() else float(plain.replace(",", "."))


def _typed_point(line: str) -> list[int | float | str]:
    """Two numbers of a line, parted by a space, or by a comma if there is no space."""
    parts = [part.strip(",;") for part in line.split()]
    return [typed_number(part) for part in (parts if len(parts) > 1 else line.replace(";", ",").split(","))]


def with_part(draft: Draft, place: str, *, name: str = "", like: str = "") -> tuple[Draft, str]:
    """The draft with a part added, and the part's place.

    place: ``arm``, ``horn`` or ``station`` for a further one, else the place of a table that may be left out.
    name:  of the further one; made up if empty.
    like:  name of the one to copy, or ``=cable`` for one of that kind as in the examples; the first one if empty.

    Raises: DamagedFile for a name that is taken or can't be one; OutOfRange where nothing can be added.
    """
    made = deepcopy(draft)
    if place in NAMED:
        known = made.setdefault(place, {})
        if len(known) >= MOST_PARTS:
            raise DamagedFile("", f"new.{place}.name", f"number {len(known) + 1}", f"at most number {MOST_PARTS}")
        name = _free_name(place, name.strip(), known)
        known[name] = _copy(draft, place, like)
        return made, f"{place}.{name}"
    section = section_of(place)
    if section not in OPTIONAL:
        raise OutOfRange("what is added", f"'{place[:60]}'", "an arm, a horn, a station, or a part of one")
    model = MODELS.get(section)
    _table_at(made, place.rpartition(".")[0])[place.rpartition(".")[2]] = (
        _example(*model) if model else dict(JOINT)
    )
    return made, place


def _free_name(place: str, name: str, known: Draft) -> str:
    if not name:
        numbers = range(len(known) + 1, 2 * len(known) + 2)
        return next(free for n in numbers if (free := f"{place}-{n}") not in known)
    accepted = "1 to 40 small letters, digits, - and _, a letter first, and not a name that is taken"
    if not NAME.fullmatch(name) or name in known:
        raise DamagedFile("", f"new.{place}.name", shown(name), accepted)
    return name


def _copy(draft: Draft, place: str, like: str) -> Draft:
    """A copy of the one named, of the first one, or of an example's with names of this machine in it."""
    known = draft.get(place, {})
    if like in known or (known and not like.startswith("=")):
        return _renamed(deepcopy(known.get(like) or next(iter(known.values()))))
    copy = _example(*MODELS.get(like.removeprefix("="), MODELS.get(place, MODELS["lever"])))
    arms, free = draft.get("arm", {}), [name for name, horn in draft.get("horn", {}).items() if not horn.get("on")]
    for key, names in (("on", list(arms)), ("arm", list(arms)), ("horn", free)):
        if key in copy:
            copy[key] = names[0] if names else ""
    return _renamed(copy)


def _renamed(copy: Draft) -> Draft:
    """A copied station is not called as the one it is copied from, and does none of its exercises yet."""
    if "title" in copy:
        copy |= {"title": f"{copy['title']}, another"[:200], "exercises": []}
    return copy


def _example(example: str, place: str) -> Draft:
    machine = read_machine(example_text(example), f"{example}.toml")
    return deepcopy(_table_at(drafted(machine), place))


def without_part(draft: Draft, place: str) -> Draft:
    """The draft without the part at a place. Raises: OutOfRange if there is none that may go."""
    made = deepcopy(draft)
    above, _, key = place.rpartition(".")
    if above not in NAMED and section_of(place) not in OPTIONAL:
        raise OutOfRange("what is removed", f"'{place[:60]}'", "an arm, a horn, a station, or a part of one")
    _table_at(made, above).pop(key, None)
    return made


def _table_at(draft: Draft, place: str) -> Draft:
    """The table at a place. Raises: OutOfRange if there is none."""
    table = draft
    for part in place.split("."):
        found = table.get(part)
        if not isinstance(found, dict):
            raise OutOfRange("the part", f"'{place[:60]}'", "one that the description has")
        table = found
    return table
