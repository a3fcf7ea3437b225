"""The exercise list: what each one works, free of any machine. Data in data/exercises.toml; a home may add its
own.
"""

from __future__ import annotations

import re
from functools import cache
from importlib.resources import files

from steelyard.errors import DamagedFile
from steelyard.tables import Table, read_toml
from steelyard.training.model import Exercise

MUSCLES = {
    "lats": "Lats",
    "mid_back": "Middle back",
    "upper_traps": "Upper trapezius",
    "erectors": "Spinal erectors",
    "chest": "Chest",
    "chest_upper": "Upper chest",
    "front_delt": "Front deltoid",
    "side_delt": "Side deltoid",
    "rear_delt": "Rear deltoid",
    "rotator_cuff": "Rotator cuff",
    "elbow_flexors": "Elbow flexors",
    "triceps": "Triceps",
    "forearms": "Forearms",
    "abs": "Abdominals",
    "obliques": "Obliques",
    "hip_flexors": "Hip flexors",
    "glutes": "Glutes",
    "quads": "Quadriceps",
    "hamstrings": "Hamstrings",
    "adductors": "Adductors",
    "abductors": "Abductors",
    "calves": "Calves",
}
"""Names of the muscles that exercises are counted for, by key."""

PATTERNS = (
    "horizontal_pull",
    "vertical_pull",
    "vertical_pull_low",
    "horizontal_push",
    "vertical_push",
    "vertical_push_down",
    "squat",
    "lunge",
    "hinge",
    "carry",
    "shoulder_extension",
    "shoulder_flexion",
    "shoulder_abduction",
    "shoulder_rotation",
    "horizontal_abduction",
    "horizontal_adduction",
    "scapular_elevation",
    "elbow_flexion",
    "elbow_extension",
    "wrist_flexion",
    "knee_extension",
    "knee_flexion",
    "hip_extension",
    "hip_abduction",
    "hip_adduction",
    "ankle_plantarflexion",
    "trunk_flexion",
    "trunk_rotation",
    "trunk_lateral_flexion",
)
"""Movement patterns, many-jointed ones first."""

ID = re.compile(r"[a-z][a-z0-9_]{0,59}")


def exercises() -> dict[str, Exercise]:
    """The shipped exercises by id; the package's data is read once.

    >>> exercises()["curl_cable_one_arm"].one_arm
    True
    """
    return dict(_shipped())


def read_exercises(text: str, source: str) -> dict[str, Exercise]:
    """The exercises that a TOML text describes, by id, one table ``[exercise.ID]`` each.

    source: the file's name, for messages.

    Raises: DamagedFile, one line that names the file, the key, the value and what is accepted.
    """
    top = read_toml(text, source)
    tables = top.named_tables("exercise")
    top.close()
    return {name: _read_exercise(name, table) for name, table in tables.items()}


@cache
def _shipped() -> dict[str, Exercise]:
    path = files("steelyard.training").joinpath("data", "exercises.toml")
    return read_exercises(path.read_text(encoding="utf-8"), "exercises.toml")


def _read_exercise(name: str, table: Table) -> Exercise:
    if not ID.fullmatch(name):
        accepted = "named with 1 to 60 small letters, digits and _, a letter first"
        raise DamagedFile(table.source, table.place, f"named '{name[:60]}'", accepted)
    exercise = Exercise(
        id=name,
        name=table.text("name"),
        pattern=table.choice("pattern", PATTERNS),
        compound=table.flag("compound", False),
        one_arm=table.flag("one_arm", False),
        primary=_muscles(table, "primary", table.texts("primary")),
        secondary=_muscles(table, "secondary", table.texts("secondary", ())),
        needs_stops=table.flag("needs_stops", False),
        source=table.text("source"),
    )
    table.close()
    if not exercise.primary:
        raise table.wrong("primary", "a list of at least one muscle")
    if set(exercise.primary) & set(exercise.secondary):
        raise table.wrong("secondary", "a list of muscles other than the primary ones")
    return exercise


def _muscles(table: Table, key: str, muscles: tuple[str, ...]) -> tuple[str, ...]:
    for muscle in muscles:
        if muscle not in MUSCLES:
            accepted = f"a list of muscles out of {', '.join(MUSCLES)}"
            raise DamagedFile(table.source, table.path(key), f"naming '{muscle[:60]}'", accepted)
    return muscles
