"""Which home a command means, the use cases on it, and plates as they are typed."""

from __future__ import annotations

import argparse
import os
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from random import SystemRandom
from typing import TYPE_CHECKING

from steelyard.errors import OutOfRange

if TYPE_CHECKING:
    from steelyard.service import Steelyard
    from steelyard.units import Unit


def home_folder(args: argparse.Namespace) -> Path:
    """The home folder meant by the command line, the environment or the current folder."""
    if args.home is not None:
        return Path(args.home)
    if os.environ.get("STEELYARD_HOME"):
        return Path(os.environ["STEELYARD_HOME"])
    return Path() if Path("machine.toml").is_file() else Path.home() / "steelyard"


def open_steelyard(folder: Path) -> Steelyard:
    """The use cases on a home folder, with the real clock and real randomness."""
    from steelyard.home import read_home  # noqa: PLC0415  --help must not wait for it
    from steelyard.journal.sqlite import SqliteJournal  # noqa: PLC0415
    from steelyard.service import Steelyard  # noqa: PLC0415

    home = read_home(folder)
    return Steelyard(
        home,
        SqliteJournal(home.journal),
        clock=lambda: datetime.now().astimezone(),
        random=SystemRandom(),
        origin="cli",
    )


def one_lifter(steelyard: Steelyard, named: str | None) -> str:
    """The lifter named, or the only one there is. Raises: UnknownName; OutOfRange if there are none or several."""
    if named is not None:
        return steelyard.lifter(named).lifter
    everyone = [lifter.lifter for lifter in steelyard.lifters()]
    if len(everyone) == 1:
        return everyone[0]
    if not everyone:
        raise OutOfRange("the list of lifters", "empty", "one or more; add one with: steelyard lifter add")
    raise OutOfRange("lifter", "not named", f"one of {', '.join(everyone)}")


def unit_of(steelyard: Steelyard, lifter: str | None) -> Unit:
    """The unit a lifter reads; kilograms without one. Raises: UnknownName."""
    from steelyard.units import Unit  # noqa: PLC0415

    return Unit(steelyard.lifter(lifter).unit) if lifter else Unit.KG


def loading_of(texts: Sequence[str]) -> dict[str, tuple[str, ...]]:
    """What several ``--plates`` say together."""
    loading: dict[str, tuple[str, ...]] = {}
    for text in texts:
        horn, names = horn_plates(text)
        if horn in loading:
            raise OutOfRange("--plates", f"given twice for {horn}", "given once a horn, such as tip=20 kg,10 kg")
        loading[horn] = names
    return loading


def horn_plates(text: str) -> tuple[str, tuple[str, ...]]:
    """``tip=20 kg,10 kg`` as a horn and its plates, innermost first."""
    horn, equals, names = text.partition("=")
    if not equals:
        raise OutOfRange("--plates", f"'{text}'", "a horn, =, and plates, such as tip=20 kg,10 kg")
    return horn.strip(), tuple(name.strip() for name in names.split(",") if name.strip())
