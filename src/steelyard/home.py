"""The home folder: the files a person reads and writes, and the journal beside them.

machine.toml     the lever gym              outlines/*.toml   sessions without kilos
plates.toml      the plates in the house    exercises.toml    further exercises, if any
journal.db       what happened
"""

from __future__ import annotations

import os
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from steelyard.errors import DamagedFile
from steelyard.machine.examples import example_names, example_text
from steelyard.machine.file import read_machine
from steelyard.machine.model import Machine
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
    return home_with(folder, read_machine(read_text(folder / "machine.toml"), "machine.toml"))


def home_with(folder: Path, machine: Machine) -> Home:
    """A home folder with this machine in place of the one in its file; all else is read.

    Raises: DamagedFile; OutOfRange if a station names an exercise that the exercise list lacks.
    """
    known = known_exercises(folder)
    inventory = read_inventory(read_text(folder / "plates.toml"), "plates.toml")
    outlines = known_outlines(folder)
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
    fill_home(folder, example_text(machine))


def fill_home(folder: Path, machine_text: str) -> None:
    """Write a new home: this machine file, example plates and outlines to edit; what is there already stays.

    Raises: DamagedFile if it can't be written.
    """
    texts = {"machine.toml": machine_text, "plates.toml": plates_text()}
    texts |= {f"outlines/{name}.toml": outline_text(name) for name in outline_names()}
    try:
        (folder / "outlines").mkdir(parents=True, exist_ok=True)
        for name, text in texts.items():
            if not (folder / name).exists():
                (folder / name).write_text(text, encoding="utf-8")
    except OSError as problem:
        accepted = "a folder that can be made; choose another with --home"
        raise DamagedFile(str(folder), "", f"not writable ({problem.strerror})", accepted) from problem


def keep_machine(folder: Path, text: str, at: datetime) -> Path | None:
    """Put a machine file in place of the one there, which is kept beside it under its date.

    A power cut leaves the one or the other, never a part of one.

    at: now, for the name of the former file.

    Returns the former file's new path; None if there was none, or if it says the very same.
    Raises: DamagedFile if it can't be written; the file there is untouched then.
    """
    path = folder / "machine.toml"
    try:
        former = path.read_bytes() if path.exists() else None
        if former == text.encode():
            return None
        kept = None if former is None else _written_beside(path, former, at)
        beside = folder / "machine.toml.new"
        _write_through(beside, text.encode(), "wb")
        beside.replace(path)
        _sync_folder(folder)
    except OSError as problem:
        accepted = "a home folder that can be written to; nothing was changed"
        raise DamagedFile(str(path), "", f"not writable ({problem.strerror})", accepted) from problem
    return kept


def _written_beside(path: Path, data: bytes, at: datetime) -> Path:
    """A copy under the date, never over another file."""
    for number in range(1, 1000):
        more = "" if number == 1 else f"-{number}"
        kept = path.with_name(f"{path.stem}-{at:%Y%m%d-%H%M%S}{more}{path.suffix}")
        with suppress(FileExistsError):
            _write_through(kept, data, "xb")
            return kept
    raise FileExistsError(17, "too many files of this second")


def _write_through(path: Path, data: bytes, mode: str) -> None:
    """Write, and return when it is on disk; a part of a file is not left behind."""
    file = path.open(mode)
    try:
        with file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
    except OSError:
        path.unlink(missing_ok=True)
        raise


def _sync_folder(folder: Path) -> None:
    """Make a new name last; where a folder can't be opened for that, the system looks after it."""
    if hasattr(os, "O_DIRECTORY"):
        opened = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
        try:
            os.fsync(opened)
        finally:
            os.close(opened)


def machine_examples() -> tuple[str, ...]:
    """Names of the machines that a home can start from."""
    return tuple(example_names())


def known_outlines(folder: Path) -> dict[str, Outline]:
    """The outlines of a home folder, by name; none where there is no such folder. Raises: DamagedFile."""
    known = known_exercises(folder)
    return {
        path.stem: read_outline(read_text(path), f"outlines/{path.name}", known)
        for path in sorted((folder / "outlines").glob("*.toml"))
    }


def home_files(folder: Path) -> dict[str, str]:
    """The texts of the files that a home is read from, by their paths inside it. Raises: DamagedFile."""
    names = ("machine.toml", "plates.toml", "exercises.toml")
    paths = [*(folder / name for name in names), *sorted((folder / "outlines").glob("*.toml"))]
    return {path.relative_to(folder).as_posix(): read_text(path) for path in paths if path.is_file()}


def known_exercises(folder: Path) -> dict[str, Exercise]:
    """The shipped exercises, and those that the home folder adds. Raises: DamagedFile."""
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
