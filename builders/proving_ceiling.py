"""How many work sets of the shipped lifters could lie inside the range for someone who knew their hidden truth.

Chooses every load by trying it on the true lifter with a hundred draws of luck, once knowing the form of the day
and once not. Takes some minutes. Run: python builders/proving_ceiling.py [LIFTERS]
"""

from __future__ import annotations

import copy
import math
import sys
from collections.abc import Sequence
from random import Random

from steelyard.proving.lifters import BAD_DAY, BAD_DAY_LOSS, FORM_SD, LOST_TRACK, SET_SD, Luck, SimulatedLifter
from steelyard.proving.protocol import Answer, Ask
from steelyard.proving.scores import scores
from steelyard.proving.season import Season, season_of

DRAWS = 100
MOST_CANDIDATES = 16


class Knowing:
    """Advice by a lifter's own hidden truth; only chance is left out."""

    def __init__(self, lifter: SimulatedLifter, *, knows_form: bool) -> None:
        random = Random(1)
        self._lifter, self._knows_form = lifter, knows_form
        self._luck = [
            Luck(
                capacity=math.exp(random.gauss(0, SET_SD)),
                feel=random.gauss(0, 2 if random.random() < LOST_TRACK else 1),
                silent=1.0,
                mistyped=1.0,
                which=0.0,
            )
            for _ in range(DRAWS)
        ]
        bad = [random.uniform(*BAD_DAY_LOSS) if random.random() < BAD_DAY else 0.0 for _ in range(DRAWS)]
        self._forms = [math.exp(random.gauss(0, FORM_SD)) * (1 - loss) for loss in bad]

    def begin(self, exercises: Sequence[str], training_months: float, body_mass_kg: float) -> None:
        """Nothing to learn."""

    def learn(self, ask: Ask, answer: Answer) -> None:
        """Nothing to learn."""

    def interval(self, ask: Ask) -> None:
        """Nothing to say."""

    def expected(self, ask: Ask) -> None:
        """Nothing to say."""

    def choose(self, ask: Ask, loads_kg: Sequence[float]) -> float:
        """The load that is most often inside the range."""
        now = copy.deepcopy(self._lifter)
        now._come_to(ask)
        middle_kg = now.skill(ask.exercise).one_rm_kg * math.exp(-12 * now.skill(ask.exercise).rate)
        near = [load_kg for load_kg in loads_kg if 0.6 * middle_kg <= load_kg <= 1.1 * middle_kg] or loads_kg[:1]
        near = near[:: max(1, len(near) // MOST_CANDIDATES)]
        return max(near, key=lambda load_kg: (self._inside(now, ask, load_kg), load_kg))

    def _inside(self, now: SimulatedLifter, ask: Ask, load_kg: float) -> int:
        forms = [now._form] * DRAWS if self._knows_form else self._forms
        inside, skill = 0, now.skill(ask.exercise)
        for luck, form in zip(self._luck, forms, strict=True):
            _, able = now._able(skill, load_kg / (skill.one_rm_kg * form * luck.capacity))
            inside += ask.reps_low <= now._stop(ask, able, luck)[0] <= ask.reps_high
        return inside


def main(number: int) -> None:
    """Print both ceilings."""
    for knows_form in (True, False):
        tallies = []
        for each in range(number):
            lifter = SimulatedLifter(each)
            policy = Knowing(lifter, knows_form=knows_form)
            tallies.append(season_of(policy, lifter, Season(weeks=2), each))
        found = scores(tallies)
        print(f"form known: {knows_form}; inside {found.inside:.3f} ± {found.inside_error:.3f}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 40)
