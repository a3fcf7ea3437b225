"""What hangs on the machine once these sets were done."""

from __future__ import annotations

from collections.abc import Sequence

from steelyard.journal.fold import LoggedSet
from steelyard.plates.house import after_set
from steelyard.plates.model import Loading
from steelyard.training.gym import Gym


def left_hanging(gym: Gym, sets: Sequence[LoggedSet]) -> Loading:
    """What the sets, in order of time, left on the horns of this machine; a set of unknown plates left nothing.

    Horns of other stations keep their plates until these are used elsewhere.
    """
    found: Loading = {}
    latest = {_place(gym, logged): number for number, logged in enumerate(sets)}
    for logged in sets[min(latest.values(), default=0) :]:  # before it every horn was loaded anew since
        station = gym.machine.stations.get(logged.done.station)
        loading = gym.known_loading(logged.done.loading)
        if logged.done.machine not in ("", gym.machine.name) or station is None or loading is None:
            found = {}
            continue
        own = [horn.name for horn in gym.machine.horns_of(station)]
        found = after_set(found, loading, own, gym.machine.horns, gym.inventory)
    return found


def _place(gym: Gym, logged: LoggedSet) -> str | None:
    """What stations with the same horns share: their arm, or their own horn."""
    station = gym.machine.stations.get(logged.done.station)
    return None if station is None else station.arm or station.horn
