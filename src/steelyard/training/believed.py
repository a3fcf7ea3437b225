"""What is believed of the machine now, and what sets done earlier weigh in that light.

A set keeps the felt load that was believed when it was done. To decide the next load it must be on the same
footing as the load ladder of now, so its felt load is reckoned anew from its plates with the machine as known now.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from steelyard.errors import SteelyardError
from steelyard.journal.events import SetDone
from steelyard.journal.fold import LoggedCalibration, LoggedSet, SessionState
from steelyard.machine.calibration import Calibration, calibrated
from steelyard.machine.fingerprint import fingerprint
from steelyard.plates.loading import felt_kg
from steelyard.training.gym import Gym
from steelyard.units import show_share

WORTH_SAYING = 0.01
"""A change of felt load beyond this share is told; a choice, below what anybody feels."""
SET_ASIDE = (
    "The calibration of {day:%d %B %Y} is set aside, because the machine file was changed since. Its readings are "
    "kept: fit them again with steelyard machine calibrate --fit --keep, or on the page under Machine, Calibrate"
)


@dataclass(frozen=True)
class Believed:
    """The gym as described, as it is believed to be, and why they differ.

    latest: the machine's latest calibration. note: why it is not used; empty if it is, or if there is none.
    """

    described: Gym
    gym: Gym
    latest: LoggedCalibration | None
    note: str = ""
    _felt: dict[object, float | None] = field(default_factory=dict, init=False, repr=False, compare=False)
    _sets: dict[str, tuple[LoggedSet, LoggedSet]] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )

    @property
    def used(self) -> LoggedCalibration | None:
        """The calibration that is used; None for the machine as described."""
        return None if self.note else self.latest

    def felt_now_kg(self, done: SetDone) -> float | None:
        """What a set's plates are believed to be felt as now; None where that can't be said. [kg]

        That is so on another machine, where the body or a plain mass is the load, and where the station, the
        exercise or a plate is no longer here.
        """
        station = self.gym.machine.stations.get(done.station)
        exercise = self.gym.exercises.get(done.exercise)
        if done.machine != self.gym.machine.name or station is None or station.arm is None or exercise is None:
            return None
        key = (done.station, exercise.one_arm, tuple(done.loading.items()))
        if key not in self._felt:
            self._felt[key] = self._reckoned(done.station, exercise.one_arm, done.loading)
        return self._felt[key]

    def _reckoned(self, station: str, one_arm: bool, names: Mapping[str, tuple[str, ...]]) -> float | None:
        loading = self.gym.known_loading(names)
        law = self.gym.law(self.gym.machine.stations[station], one_arm=one_arm)
        felt = {share.horn.name for share in law.shares}
        if loading is None or not felt >= loading.keys():
            return None
        return max(0.0, felt_kg(law, loading))

    def recounted(self, sets: Iterable[LoggedSet]) -> list[LoggedSet]:
        """The sets with their felt loads as they are believed to be now, where that can be said."""
        return [self._recounted(logged) for logged in sets]

    def _recounted(self, logged: LoggedSet) -> LoggedSet:
        """A set recounted; the same set gives the same object, so that what follows from it is known again."""
        known = self._sets.get(logged.id)
        if known is None or (known[0] is not logged and known[0] != logged):
            known = self._sets[logged.id] = logged, self._reckoned_anew(logged)
        return known[1]

    def _reckoned_anew(self, logged: LoggedSet) -> LoggedSet:
        now_kg = self.felt_now_kg(logged.done)
        if now_kg is None or now_kg == logged.done.felt_kg:
            return logged
        return replace(logged, done=replace(logged.done, felt_kg=now_kg))

    def session_recounted(self, session: SessionState | None) -> SessionState | None:
        """A session with its sets recounted."""
        return session and replace(session, sets=tuple(self.recounted(session.sets)))

    def told(self, sets: Sequence[LoggedSet]) -> tuple[str, ...]:
        """In a sentence, how many of these sets weigh more or less than was believed; nothing if none does."""
        changes = [change for logged in sets if (change := self.change(logged.done)) is not None]
        worth = [change for change in changes if abs(change) > WORTH_SAYING]
        if not worth:
            return ()
        known = f"as calibrated on {self.used.at:%d %B %Y}" if self.used else "as described in its file now"
        ends = (min(worth),) if len(set(worth)) == 1 else (min(worth), max(worth))
        span = " to ".join(show_share(change, places=1, signed=True) for change in ends)
        return (
            f"{len(worth)} of {len(sets)} sets weigh more or less than was believed when they were done ({span}), "
            f"with the machine {known}; what you read here is reckoned with it.",
        )

    def change(self, done: SetDone) -> float | None:
        """How much more a set weighs than was believed, relative; None where that can't be said."""
        now_kg = self.felt_now_kg(done)
        return None if now_kg is None or done.felt_kg <= 0 else now_kg / done.felt_kg - 1


def believed(described: Gym, calibrations: Sequence[LoggedCalibration]) -> Believed:
    """The gym with the latest calibration of its machine, if that was made from the machine as described now.

    calibrations: of this machine, in order of time.
    """
    if not calibrations:
        return Believed(described, described, None)
    latest = calibrations[-1]
    set_aside = Believed(described, described, latest, SET_ASIDE.format(day=latest.at))
    if latest.made.described != fingerprint(described.machine):
        return set_aside
    try:
        machine = calibrated(described.machine, calibration_in(latest))
        return Believed(described, Gym(machine, described.inventory, described.exercises), latest)
    except (SteelyardError, ArithmeticError, ValueError):  # brought in from elsewhere, with figures no fit gives
        return set_aside


def calibration_in(logged: LoggedCalibration) -> Calibration:
    """What an event says of a machine, as the machine room reads it."""
    made = logged.made
    return Calibration(made.names, made.values, made.covariance, made.noise)
