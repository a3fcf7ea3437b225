"""What to buy, in sentences that a terminal and a page share."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from steelyard.plates.buying import Advice, Effect, Purchase, Standing
from steelyard.plates.closeness import Closeness
from steelyard.plates.loading import Gap
from steelyard.plates.shifting import Shift
from steelyard.plates.steps import COARSE_PERCENT, FINE_PERCENT, Steps
from steelyard.units import Unit, show_mass


@dataclass(frozen=True, slots=True)
class Told:
    """The answer to one question: the sentence that answers it, and those that rank behind, best first."""

    answer: str
    next_best: tuple[str, ...] = ()


def finer_told(advice: Advice, unit: Unit) -> Told:
    """What makes the steps finer."""
    known = [each for each in advice.now if each.steps is not None]
    if not known:
        return Told("No station here has a ladder of steps yet: any pair begins one.")
    if not advice.excess_percent:
        worst = max(known, key=_largest_percent)
        gap = f"{_gap_words(_steps(worst).largest, unit)} at {_title(worst)}"
        return Told(f"No finer plate is needed: the largest step in the working range is {gap}.")
    if not advice.finer:
        worst = max(known, key=lambda each: _steps(each).excess_percent)
        return Told(f"No pair makes the steps finer. {_title(worst)}: {_limit_words(worst.limit)}.")
    best, *others = advice.finer
    opening = (
        "Buy" if any(_steps(each).coarse for each in known) else "No step is over 5 %. To go finer still, buy"
    )
    answer = f"{opening} {purchase_words(best)}: {finer_words(best)}; {_largest_words(best, unit)}."
    return Told(answer, tuple(f"{purchase_words(each)}: {finer_words(each)}" for each in others))


def further_told(advice: Advice, unit: Unit) -> Told:
    """What adds range at the top."""
    if not advice.further:
        return Told(" ".join(("No pair adds range worth having.", *_held_back(advice.now))))
    told = [
        f"{purchase_words(each)} {further_words(each, unit)}; then {_limit_words(limit)}"
        for each, limit in zip(advice.further, advice.limits, strict=True)
    ]
    return Told(f"For more range, {told[0]}.", tuple(told[1:]))


def shift_told(shift: Shift, unit: Unit) -> str:
    """What a second horn does already."""
    others = " and ".join(shift.others)
    text = (
        f"{shift.law.station.title}: plates on {others} already make finer steps, with nothing to buy. "
        f"On {shift.main} alone the largest would be {_gap_words(shift.alone.largest, unit)}; "
        f"it is {_gap_words(shift.both.largest, unit)}."
    )
    if shift.example is None:
        return text
    one = shift.example
    loads = f"{show_mass(one.from_kg, unit)} becomes {show_mass(one.to_kg, unit)}"
    return f"{text} Moving {one.plate.name} from {one.main} to {one.other}, {loads}."


def purchase_words(bought: Purchase) -> str:
    """What to buy: ``a pair of 1.25 kg``, ``two pairs of 5 kg``, ``a pair of 5 kg and a pair of 2 kg``."""
    one, several = ("a pair of", "two pairs of") if bought.count == 2 else ("one plate of", "two plates of")
    runs = [(plate, len(list(run))) for plate, run in groupby(bought.plates)]
    return " and ".join(f"{one if times == 1 else several} {plate.nominal}" for plate, times in runs)


def finer_words(bought: Purchase) -> str:
    """How many steps a purchase closes: of those over 5 % where there are any, else of those over 2.5 %.

    Where it closes less than half it still divides them, and the typical step tells by how much.
    """
    coarse = sum(len(each.before.steps.coarse) for each in bought.effects if each.before.steps)
    percent = COARSE_PERCENT if coarse else FINE_PERCENT
    of = coarse or sum(len(each.before.steps.wide) for each in bought.effects if each.before.steps)
    closed = [each.closed_coarse if coarse else each.closed_wide for each in bought.effects]
    if 2 * sum(closed) < of:
        before, after = bought.typical_percent
        return f"makes the typical step {after:.1f} % instead of {before:.1f} %"
    stations = sum(1 for each in closed if each)
    where = f"at {stations} {'station' if stations == 1 else 'stations'}"
    return f"closes {sum(closed)} of {of} {'step' if of == 1 else 'steps'} over {percent:g} %, {where}"


def further_words(bought: Purchase, unit: Unit) -> str:
    """How much a purchase adds at the top, where it adds most."""
    effect = bought.furthest
    top = show_mass(effect.top_kg, unit)
    return f"adds {show_mass(effect.added_kg, unit)} at {_title(effect.before)}, up to {top}"


def _largest_words(bought: Purchase, unit: Unit) -> str:
    """What becomes of the largest step, where the largest is."""
    known = [each for each in bought.effects if each.steps is not None]
    worst: Effect = max(known, key=lambda each: _largest_percent(each.before))
    where, before = _title(worst.before), _steps(worst.before).largest
    if worst.steps is None or worst.steps.largest == before:
        return f"the largest, {_gap_words(before, unit)} at {where}, stays"
    after = _gap_words(worst.steps.largest, unit)
    return f"the largest, at {where}, shrinks from {_gap_words(before, unit)} to {after}"


def _held_back(now: Sequence[Standing]) -> Iterator[str]:
    """What holds the tops back, a sentence for each limit, those that hold most stations first."""
    held: dict[str, list[str]] = {}
    for each in now:
        held.setdefault(_limit_words(each.limit), []).append(_title(each))
    for limit, titles in sorted(held.items(), key=lambda one: -len(one[1])):
        where = titles[0] if len(titles) == 1 else f"{len(titles)} stations"
        yield f"What holds it back at {where}: {limit} under the heaviest load now."


def _limit_words(limit: Closeness | None) -> str:
    return limit.words if limit else "no limit is stated"


def _title(standing: Standing) -> str:
    return standing.use.law.station.title


def _steps(standing: Standing) -> Steps:
    """The steps of a station that has some."""
    assert standing.steps is not None
    return standing.steps


def _largest_percent(standing: Standing) -> float:
    return _steps(standing).largest.percent


def _gap_words(gap: Gap, unit: Unit) -> str:
    """A step and its share of the lower load: ``1.3 kg (2.1 %)``."""
    return f"{show_mass(gap.step_kg, unit)} ({gap.percent:.1f} %)"
