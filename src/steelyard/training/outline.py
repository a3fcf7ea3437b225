"""The outline file: a session without machine and kilos, in TOML that is pleasant to write by hand.

The format is described in docs/outline-file.md.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from difflib import get_close_matches

from steelyard.errors import DamagedFile
from steelyard.tables import Table, read_toml
from steelyard.training.model import Exercise, Outline, OutlineItem, Technique
from steelyard.training.rules import default_rest_s

Value = str | int | bool | list[int]

NAME = re.compile(r"[a-z][a-z0-9_-]{0,39}")
REST = re.compile(r"(\d{1,4}(?:[.,]\d{1,3})?)\s*(s|sec|seconds?|min|minutes?)", re.IGNORECASE)
MOST_REPS, MOST_RIR, MOST_REST_S, MOST_SETS, MOST_ROUNDS, MOST_EXERCISES = 50, 6, 600, 10, 4, 20
MASS_KEYS = ("load", "load_kg", "load_lb", "felt_kg", "kg", "lb", "kilos", "pounds", "mass", "weight", "plates")
NO_MASS = (
    "left out: an outline holds no kilos, so that it fits every lifter and machine; "
    "loads are worked out when it is prepared"
)
REPS = f"a whole number from 1 to {MOST_REPS}, or a range such as [10, 12], the lower end first"
RIR = f"reps in reserve from 0 to {MOST_RIR}: a list, one for each set, such as [3, 2, 1], or one with sets = 3"
REST_TEXT = f'a rest up to {MOST_REST_S} s with its unit, such as "90 s" or "2 min"'


def read_outline(text: str, source: str, exercises: Mapping[str, Exercise]) -> Outline:
    """The outline that a TOML text describes.

    source:    the file's name, for messages.
    exercises: those known, by id.

    Raises: DamagedFile, one line that names the file, the key, the value and what is accepted.

    >>> from steelyard.training.exercises import exercises
    >>> text = 'name = "curls"\\n[[exercise]]\\ndo = "curl_cable"\\nreps = 12\\nsets = 3\\nrir = 2'
    >>> read_outline(text, "curls.toml", exercises()).items[0].rir
    (2, 2, 2)
    """
    top = read_toml(text, source)
    _refuse_mass(top)
    name = top.text("name")
    if not NAME.fullmatch(name):
        raise top.wrong("name", "1 to 40 small letters, digits, - and _, a letter first")
    title, notes = top.text("title", name), top.text("notes", "")
    tables = top.listed_tables("exercise")
    top.close()
    if len(tables) > MOST_EXERCISES:
        raise DamagedFile(source, "exercise", f"there {len(tables)} times", f"there 1 to {MOST_EXERCISES} times")
    items = tuple(_read_item(table, exercises) for table in tables)
    _check_alternating(items, tables)
    return Outline(name, title, items, notes)


def write_outline(outline: Outline) -> str:
    """The outline as TOML, as a person would write it; it reads back to the very same outline.

    >>> item = OutlineItem("curl_cable", 10, 12, (2, 1), 90.0, Technique.DROP, 1)
    >>> print(write_outline(Outline("curls", "Curls", (item,))))
    name = "curls"
    title = "Curls"
    <BLANKLINE>
    [[exercise]]
    do = "curl_cable"
    reps = [10, 12]
    rir = [2, 1]
    rest = "90 s"
    then = "drop"
    <BLANKLINE>
    """
    head: dict[str, Value] = {"name": outline.name, "title": outline.title}
    if outline.notes:
        head["notes"] = outline.notes
    items = ["[[exercise]]\n" + _lines(_item_table(item)) for item in outline.items]
    return "\n".join([_lines(head), *items])


def _read_item(table: Table, exercises: Mapping[str, Exercise]) -> OutlineItem:
    _refuse_mass(table)
    exercise = table.text("do")
    if exercise not in exercises:
        near = get_close_matches(exercise, exercises, n=1)
        hint = f"did you mean {near[0]}?" if near else "see the exercise list"
        raise table.wrong("do", f"the id of a known exercise ({hint})")
    low, high = _read_reps(table)
    rir = _read_rir(table)
    rest_s = _read_rest_s(table) if "rest" in table else default_rest_s(exercises[exercise], low)
    after = Technique(table.choice("then", [each.value for each in Technique], Technique.STRAIGHT))
    straight = after is Technique.STRAIGHT
    if straight and "rounds" in table:
        raise table.wrong("rounds", 'left out, or used with then = "drop" or "rest-pause"')
    rounds = 0 if straight else table.whole("rounds", 1, MOST_ROUNDS, 1)
    superset = table.flag("superset", False)
    table.close()
    return OutlineItem(exercise, low, high, rir, rest_s, after, rounds, superset)


def _check_alternating(items: Sequence[OutlineItem], tables: Sequence[Table]) -> None:
    """Refuse an exercise that would alternate with none, or with itself."""
    group: set[str] = set()
    for number, (item, table) in enumerate(zip(items, tables, strict=True)):
        if item.superset and number == 0:
            raise table.wrong("superset", "left out of the first exercise: it alternates with the one before")
        if item.superset and item.exercise in group:
            raise table.wrong("superset", f"left out here: {item.exercise} can't alternate with itself")
        group = {*group, item.exercise} if item.superset else {item.exercise}


def _refuse_mass(table: Table) -> None:
    for key in MASS_KEYS:
        if key in table:
            raise table.wrong(key, NO_MASS)


def _read_reps(table: Table) -> tuple[int, int]:
    """One number, or a range of two."""
    try:
        reps = table.whole("reps", 1, MOST_REPS)
        return reps, reps
    except DamagedFile:
        pass
    try:
        low, high = table.numbers("reps", (2, 2), 1, MOST_REPS)
    except DamagedFile:
        raise table.wrong("reps", REPS) from None
    if low > high or low % 1 or high % 1:
        raise table.wrong("reps", REPS)
    return int(low), int(high)


def _read_rir(table: Table) -> tuple[int, ...]:
    """One figure a set: a list, or one figure for all sets."""
    try:
        rir = table.whole("rir", 0, MOST_RIR)
        return (rir,) * table.whole("sets", 1, MOST_SETS)
    except DamagedFile as problem:
        if problem.key == table.path("sets"):
            raise
    try:
        listed = table.numbers("rir", (1, MOST_SETS), 0, MOST_RIR)
    except DamagedFile:
        raise table.wrong("rir", RIR) from None
    if any(each % 1 for each in listed):
        raise table.wrong("rir", RIR)
    if "sets" in table:
        raise table.wrong("sets", f"left out, as rir already lists {len(listed)} sets")
    return tuple(int(each) for each in listed)


def _read_rest_s(table: Table) -> float:
    try:
        found = REST.fullmatch(table.text("rest"))
    except DamagedFile:
        found = None
    if found is None:
        raise table.wrong("rest", REST_TEXT)
    rest_s = float(found[1].replace(",", ".")) * (60.0 if found[2].lower().startswith("m") else 1.0)
    if rest_s > MOST_REST_S:
        raise table.wrong("rest", REST_TEXT)
    return round(rest_s, 3)


def _item_table(item: OutlineItem) -> dict[str, Value]:
    """One `[[exercise]]`, in the shortest way of writing it."""
    table: dict[str, Value] = {"do": item.exercise}
    table["reps"] = item.reps_low if item.reps_low == item.reps_high else [item.reps_low, item.reps_high]
    if len(set(item.rir)) == 1:
        table["sets"], table["rir"] = item.sets, item.rir[0]
    else:
        table["rir"] = list(item.rir)
    table["rest"] = f"{item.rest_s:.3f}".rstrip("0").rstrip(".") + " s"
    if item.after is not Technique.STRAIGHT:
        table["then"] = str(item.after)
        if item.rounds != 1:
            table["rounds"] = item.rounds
    if item.superset:
        table["superset"] = True
    return table


def _lines(table: Mapping[str, Value]) -> str:
    """One key a line; for printable text, whole numbers and lists of them JSON and TOML write alike."""
    return "".join(f"{key} = {json.dumps(value, ensure_ascii=False)}\n" for key, value in table.items())
