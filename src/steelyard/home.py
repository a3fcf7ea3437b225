"""The home folder: the files a person reads and writes, and the journal beside them.

machine.toml     the lever gym              outlines/*.toml   sessions without kilos
plates.toml      the plates in the house    exercises.toml    further exercises, if any
journal.db       what happened
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from steelyard.errors import DamagedFile
from steelyard.machine.examples import example_names, example_text
from steelyard.machine.file import read_machine
from steelyard.plates.example import example_text as plates_text
from steelyard.plates.file import read_inventory
from steelyard.training.exercises import exercises, read_exercises
from steelyard.training.gym import Gym
from steelyard.training.model import Exercise, Outline
from steelyard.training.outline import read_outline
from steelyard.training.outlines import outline_names, outline_text

LARGEST_FILE = 1_000_000
"""More than this is no file that a person wrote. [bytes]"""


@dataclass(frozen=True, slots=True)
class Home:
    """What the files say: the gym and the outlines by name; journal is the path of the journal file."""

    folder: Path
    gym: Gym
    outlines: dict[str, Outline]

    @property
    def journal(self) -> Path:
        """Where the journal is kept."""
        return self.folder / "journal.db"


def read_home(folder: Path) -> Home:
    """Read the files of a home folder.

    Raises: DamagedFile naming the file, the key, the value and what is accepted.
    """
    if not (folder / "machine.toml").is_file():
        way_out = "a home folder with a machine.toml; make one with: steelyard setup"
        raise DamagedFile(str(folder), "", "not a home folder", way_out)
    known = _read_exercises(folder)
    machine = read_machine(read_text(folder / "machine.toml"), "machine.toml")
    inventory = read_inventory(read_text(folder / "plates.toml"), "plates.toml")
    outlines = {
        path.stem: read_outline(read_text(path), f"outlines/{path.name}", known)
        for path in sorted((folder / "outlines").glob("*.toml"))
    }
    if not outlines:
        raise DamagedFile(
            str(folder / "outlines"), "", "without any outline", "a folder with one .toml file a session"
        )
    return Home(folder, Gym(machine, inventory, known), outlines)


def make_home(folder: Path, machine: str = "boathouse") -> None:
    """Fill a new home folder with an example machine, plates and outlines to edit; never overwrites.

    machine: the name of a shipped example.

    Raises: UnknownName if there is no such example; DamagedFile if the folder already has a machine.
    """
    if (folder / "machine.toml").exists():
        raise DamagedFile(str(folder), "", "already a home folder", "a new folder; choose another with --home")
    texts = {"machine.toml": example_text(machine), "plates.toml": plates_text()}
    texts |= {f"outlines/{name}.toml": outline_text(name) for name in outline_names()}
    try:
        (folder / "outlines").mkdir(parents=True, exist_ok=True)
        for name, text in texts.items():
            (folder / name).write_text(text, encoding="utf-8")
    except OSError as problem:
        accepted = "a folder that can be made; choose another with --home"
        raise DamagedFile(str(folder), "", f"not writable ({problem.strerror})", accepted) from problem


def machine_examples() -> tuple[str, ...]:
    """Names of the machines that a home can start from."""
    return tuple(example_names())


def _read_exercises(folder: Path) -> dict[str, Exercise]:
    """The shipped exercises, and those that the home folder adds."""
    path = folder / "exercises.toml"
    return exercises() | (read_exercises(read_text(path), "exercises.toml") if path.is_file() else {})


def read_text(path: Path, *, most: int | None = LARGEST_FILE) -> str:
    """The text of a file a person wrote, of at most so many bytes.

    Raises: DamagedFile if it can't be read, is too long or is not UTF-8.
    """
    try:
        data = path.read_bytes()
    except OSError as problem:
        raise DamagedFile(str(path), "", f"not readable ({problem.strerror})", "a readable file") from problem
    if most is not None and len(data) > most:
        raise DamagedFile(str(path), "", f"{len(data)} bytes long", f"at most {most} bytes")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        accepted = "text in UTF-8; save it again with that encoding"
        raise DamagedFile(str(path), "", f"not text (byte {problem.start})", accepted) from problem
