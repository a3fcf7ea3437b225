"""The sets of an exercise, or of several that alternate: warm-up, work sets, and what follows the last.

Exercises that alternate are warmed up first. Then they go set by set: the first, the next straight on, and only
then the rest that the first one asks for. What follows a last set follows at once, before the other exercise and
before the other arm.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import count

from steelyard.plates.model import Rung
from steelyard.plates.wishes import Wish
from steelyard.strength.belief import Belief
from steelyard.training.asking import LEAST_OFF, RampStep, drop_wish, ramp_steps, same_wish, work_wish
from steelyard.training.decide import TELLABLE, Choice, Decision, Situation, Wanted, choose, decide, odds_words
from steelyard.training.dose import efforts, is_over
from steelyard.training.laying import Draft, Item, Laying
from steelyard.training.model import Role, Side, Technique
from steelyard.training.pauses import Pause
from steelyard.training.resting import longer_words, with_rest
from steelyard.training.rules import BETWEEN_ARMS_S, REST_PAUSE_S, WARM_UP_REST_S, warm_up_steps
from steelyard.training.slots import read_slot
from steelyard.units import Unit, show_mass, show_share

WARM_UP_RIR = 6
"""Reps in reserve that a warm-up leaves at least; it is shown as "easy"."""
SHORT_OF = 0.6
"""After a drop or a pause the reps expected are a prediction that no study has counted; from this share of it up
is as expected (a choice)."""


@dataclass(slots=True)
class Work:
    """One exercise as far as it is laid.

    rirs:  efforts of its work sets. warm: it gets a warm-up, and has got one if it is ramped.
    over:  it has given what it can today.
    last:  what its latest work set asked of the plates; None before the first. last_kg: its load. [kg]
    """

    of: Item
    rirs: tuple[int, ...]
    warm: bool
    ramped: bool = False
    over: bool = False
    last: Wish | None = None
    last_kg: float = 0.0

    def wanted(self, number: int) -> Wanted:
        """What the work set of this number, from 1, should come to."""
        return Wanted(self.of.item.reps_low, self.of.item.reps_high, self.rirs[number - 1])

    def slots(self, role: Role, number: int) -> list[str]:
        """The places of all its sides in the session."""
        return [self.of.slot(role, number, side) for side in self.of.sides]

    def stays(self, laying: Laying) -> bool:
        """Whether a work set of it was done or is still to do."""
        slots = (slot for number in range(1, len(self.rirs) + 1) for slot in self.slots(Role.WORK, number))
        return any(slot in laying.done or not laying.is_taken(slot) for slot in slots)


@dataclass(frozen=True, slots=True)
class _Turn:
    """One work set on all sides.

    side:    the first that is still to do, which it is decided for.
    free:    what is decided before the plates are. held_kg: the load done on the other side, if one was. [kg]
    before:  the belief at the end of the set before. paired: it goes straight on from another exercise.
    rest_s:  how long the lifter rests before it, plates aside. [s]
    longer:  why that is longer than the outline wants, where others have their turn, and usual: what would be
             decided after the rest of the outline; None where it is no longer.
    """

    number: int
    side: Side
    free: Choice
    held_kg: float | None
    before: Belief
    paired: bool
    rest_s: float
    longer: Pause | None
    usual: Choice | None


def work_of(laying: Laying, of: Item, *, warm: bool) -> Work:
    """An exercise with as many work sets as are worth doing."""
    return Work(of, efforts(laying, of), warm)


def lay_in_turn(laying: Laying, works: Sequence[Work]) -> None:
    """The sets of these exercises, alternating if there are several."""
    for work in works:
        _lay_warm_up(laying, work)
    for number in range(1, max((len(work.rirs) for work in works), default=0) + 1):
        for place, work in enumerate(works):
            if number <= len(work.rirs) and not work.over:
                _lay_turn(laying, work, number, works[:place], alone=len(works) == 1)


def _lay_warm_up(laying: Laying, work: Work) -> None:
    """The ramp to the first work set, while that is still to come."""
    of, slots = work.of, work.slots(Role.WORK, 1)
    if not work.warm or all(map(laying.is_taken, slots)):
        return
    held_kg = laying.first_done(of, slots)
    free = _choose(laying, of, work.wanted(1), held_kg, rest_s=laying.rest_before(slots[0], of.item.rest_s))
    if held_kg is None and is_over(laying, of, slots, free.rung.felt_kg):
        work.over = True
        return
    for draft in _warm_up(laying, of, (laying.chosen(of, slots[0]) or free.rung).felt_kg, slots):
        work.ramped = True
        laying.lay(of, as_chosen(laying, of, draft))


def _warm_up(laying: Laying, of: Item, work_kg: float, work_slots: Sequence[str]) -> Iterator[Draft]:
    """The ramp to a work load. [kg]"""
    steps = _as_asked(laying, of, ramp_steps(of.loads.law, of.loads.ladder, work_kg, of.item.reps_high))
    given_kg = laying.given_kg(work_slots[0], work_kg)
    for number, step in enumerate(steps, start=1):
        wanted = Wanted(step.reps, step.reps, WARM_UP_RIR)
        for side in of.sides:
            slot = of.slot(Role.WARM_UP, number, side)
            share = laying.given_kg(slot, step.wish.wanted_kg) / given_kg
            reason = f"Warm-up at {show_share(share)} of the work load."
            rest_s = BETWEEN_ARMS_S if side is Side.RIGHT else WARM_UP_REST_S
            ramped = number > 1 and side is of.sides[0]
            yield Draft(
                slot, Role.WARM_UP, number, len(steps), side, wanted, rest_s, step.wish, reason, ramped=ramped
            )


def _as_asked(laying: Laying, of: Item, steps: Sequence[RampStep]) -> Sequence[RampStep]:
    """As many steps as plates were asked for: what the plates give leads to another work load, and that could tip
    how many there are."""
    changes = laying.changes
    if changes is None:
        return steps
    found: list[RampStep] = []
    for number in count(1):
        slots = [of.slot(Role.WARM_UP, number, side) for side in of.sides]
        wish = next((changes[slot].wish for slot in slots if slot in changes), None)
        if number <= len(steps) and (wish or any(map(laying.is_taken, slots))):
            found.append(steps[number - 1])
        elif wish:
            reps = found[-1].reps if found else warm_up_steps(of.item.reps_high)[-1][1]
            found.append(RampStep(reps, wish))
        else:
            break
    return found


def as_chosen(laying: Laying, of: Item, draft: Draft) -> Draft:
    """A set that is no work set, with the load that the lifter chose for it, if they did."""
    chosen, most_kg = laying.chosen(of, draft.slot), draft.wish.wanted_kg
    if chosen is None:
        return draft
    advised_kg = laying.usual_kg.get(draft.slot, most_kg)
    if draft.role is Role.TEST and chosen.felt_kg > most_kg:  # it must not be heavier than is safe to try
        return draft
    if not _tells(chosen.felt_kg, advised_kg):
        return replace(draft, wish=same_wish(of.loads.law, chosen.felt_kg), reason=f"{_AS_ADVISED} {draft.reason}")
    reason = f"Your choice; {show_mass(advised_kg, laying.unit)} was advised."
    wish = same_wish(of.loads.law, chosen.felt_kg)
    return replace(draft, wish=wish, reason=reason, advised_kg=advised_kg, ramped=False)


def _lay_turn(laying: Laying, work: Work, number: int, earlier: Sequence[Work], *, alone: bool) -> None:
    """One work set on all sides, each followed at once by what follows the last.

    earlier: the exercises that have their turn before it. alone: it alternates with none.
    """
    of, slots = work.of, work.slots(Role.WORK, number)
    is_last = number == len(work.rirs)
    held_kg = laying.first_done(of, slots)
    if held_kg is not None:
        work.last, work.last_kg = same_wish(of.loads.law, held_kg), held_kg
    if all(map(laying.is_taken, slots)):
        for side in of.sides if is_last else ():
            _lay_afterwards(laying, work, side)
        return
    before, paired = laying.belief, _follows(laying.latest, [each.of.place for each in earlier], number)
    first = next(side for side, slot in zip(of.sides, slots, strict=True) if not laying.is_taken(slot))
    other_done = held_kg is not None and first is not of.sides[0]
    rest_s = laying.walk_s(of) if paired else laying.rest_before(slots[0], of.item.rest_s)
    longer = None if paired or other_done else laying.longer(slots[0], of.item.rest_s)
    usual = _choose(laying, of, work.wanted(number), held_kg, rest_s=of.item.rest_s) if longer else None
    laying.rest(BETWEEN_ARMS_S if other_done else rest_s)
    free = _choose(laying, of, work.wanted(number), held_kg, side=first)
    if held_kg is None and is_over(laying, of, slots, free.rung.felt_kg):
        work.over = True
        return
    if paired:  # what the plates take is known only once they are chosen; the load was chosen without it
        laying.rest(laying.handling_s(slots[0]))
    turn = _Turn(number, first, free, held_kg, before, paired, rest_s, longer, usual)
    drafts = [_work_set(laying, work, turn, side) for side in of.sides]
    for draft, decision in drafts:
        ramped = alone and work.ramped and number == 1 and draft.side is of.sides[0]
        reps = min(max(decision.expected, 0.0), of.item.reps_high)
        _lay_and_tire(laying, of, replace(draft, ramped=ramped), decision.rung.felt_kg, reps)
        work.last, work.last_kg = draft.wish, decision.rung.felt_kg
        if is_last:
            _lay_afterwards(laying, work, draft.side)


def _follows(latest: str, earlier: Sequence[int], number: int) -> bool:
    """Whether a work set of this number goes straight on from the latest set, of an earlier exercise."""
    slot = read_slot(latest)
    if slot is None or slot.place not in earlier:
        return False
    return slot.role in (Role.DROP, Role.REST_PAUSE) or (slot.role, slot.number) == (Role.WORK, number)


def _work_set(laying: Laying, work: Work, turn: _Turn, side: Side) -> tuple[Draft, Choice | Decision]:
    """One side of a work set, with the load that the lifter chose, that the other side had, or that is best.

    Only where the plates are chosen is it said why; before that nobody reads it.
    """
    of, wanted = work.of, work.wanted(turn.number)
    slot, advised = of.slot(Role.WORK, turn.number, side), turn.free.rung
    chosen = laying.chosen(of, slot)
    if chosen is None and turn.held_kg is None:
        chosen = laying.chosen(of, of.slot(Role.WORK, turn.number, of.sides[0]))
    if chosen is not None:
        wish = same_wish(of.loads.law, chosen.felt_kg)
    elif turn.held_kg is not None:
        wish = same_wish(of.loads.law, turn.held_kg)
    else:
        wish = work_wish(of.loads.law, advised.felt_kg, of.item.rest_s)
    rest_s = BETWEEN_ARMS_S if side is Side.RIGHT else 0.0 if turn.paired else of.item.rest_s
    draft = Draft(
        slot,
        Role.WORK,
        turn.number,
        len(work.rirs),
        side,
        wanted,
        rest_s,
        wish,
        "",
        advised_kg=None if chosen is None else _advised_kg(laying, slot, chosen.felt_kg, advised.felt_kg),
        paired=turn.paired and side is of.sides[0],
    )
    if laying.changes is None:
        return draft, _choose(laying, of, wanted, wish.wanted_kg, side=turn.side)
    return _explained(laying, work, turn, draft, chosen)


def _explained(
    laying: Laying, work: Work, turn: _Turn, draft: Draft, chosen: Rung | None
) -> tuple[Draft, Decision]:
    """A work set with why it has its load. chosen: the load that the lifter chose, if they did."""
    of, wanted = work.of, draft.wanted
    decision = _decide(laying, of, wanted, laying.given_kg(draft.slot, draft.wish.wanted_kg), turn.side)
    reason = decision.reason + _for_the_plates(turn.free, decision, laying.unit)
    reason += _for_the_rest(turn, decision, of, laying.unit)
    if chosen is not None:
        reason = _choice_words(chosen.felt_kg, draft.advised_kg or 0.0, decision, wanted, laying.unit)
    elif work.last is not None and turn.held_kg is None and not turn.paired:
        decision = with_rest(decision, turn.before, of, wanted, work.last_kg, turn.rest_s, laying.unit)
    return replace(draft, reason=reason, decision=decision), decision


def _advised_kg(laying: Laying, slot: str, chosen_kg: float, best_kg: float) -> float:
    """What the lifter was advised: what would be on otherwise, or what would do but for the plates. [kg]"""
    return laying.usual_kg.get(slot, best_kg) if _tells(chosen_kg, best_kg) else best_kg


def _tells(one_kg: float, other_kg: float) -> bool:
    """Whether a hand could tell two loads apart. [kg]"""
    return abs(one_kg - other_kg) >= TELLABLE * max(one_kg, other_kg)


_AS_ADVISED = "Your choice, and as advised."
"""Also where the plates had made it a trifle lighter before it was chosen."""


def _choice_words(chosen_kg: float, advised_kg: float, decision: Decision, wanted: Wanted, unit: Unit) -> str:
    """Why this load: because the lifter wants it, and what it promises."""
    differs = f"Your choice; {show_mass(advised_kg, unit)} was advised."
    first = differs if _tells(chosen_kg, advised_kg) else _AS_ADVISED
    return f"{first} {odds_words(decision.chance).capitalize()} for {wanted.reps_low} or more."


def _lay_and_tire(laying: Laying, of: Item, draft: Draft, felt_kg: float, reps: float) -> None:
    """A set and what it takes out of the lifter; one that was done has done so already."""
    if laying.is_taken(draft.slot):
        return
    laying.lay(of, draft)
    if (draft.role, draft.side) == (Role.WORK, Side.RIGHT):
        laying.rest(BETWEEN_ARMS_S)
    laying.spend(of, felt_kg, reps, draft.side)


def _choose(
    laying: Laying,
    of: Item,
    wanted: Wanted,
    held_kg: float | None,
    *,
    rest_s: float = 0.0,
    side: Side | None = None,
) -> Choice:
    """The load of a work set after a rest; held_kg: the one to keep, if it is settled. [kg], [s]

    side: the one it is decided for; the first, if left out.
    """
    promised = laying.outlook(of, side or of.sides[0], rest_s=rest_s)
    return choose(of.loads, promised, of.evidence, wanted, Situation(ease=of.allowed.load, held_kg=held_kg))


def _decide(laying: Laying, of: Item, wanted: Wanted, held_kg: float, side: Side) -> Decision:
    """A load that is settled, with all that is said of it, as it is for one side. [kg]"""
    situation = Situation(ease=of.allowed.load, held_kg=held_kg)
    promised = laying.outlook(of, side)
    return decide(of.loads, promised, of.evidence, wanted, situation, unit=laying.unit, now=laying.now)


def _for_the_plates(free: Choice, given: Decision, unit: Unit) -> str:
    """Why the load is less than it could be, if a hand could tell."""
    short = 1 - given.rung.felt_kg / free.rung.felt_kg if free.rung.felt_kg else 0.0
    if short < TELLABLE:
        return ""
    return f" {show_mass(free.rung.felt_kg, unit)} would do; this saves plates."


def _for_the_rest(turn: _Turn, given: Decision, of: Item, unit: Unit) -> str:
    """Why the load is more than the outline's rest would allow, if a hand could tell."""
    if turn.longer is None or turn.usual is None:
        return ""
    usual_kg = turn.usual.rung.felt_kg
    if given.rung.felt_kg < (1 + TELLABLE) * usual_kg:
        return ""
    return f" {longer_words(turn.longer, of.item.rest_s, show_mass(usual_kg, unit))}"


def _lay_afterwards(laying: Laying, work: Work, side: Side) -> None:
    """Drop sets or rest-pause of one side after its last work set, which asked for this."""
    of, last = work.of, work.last
    if not of.allowed.techniques or last is None:  # none if every work set was skipped
        return
    drop = of.item.after is Technique.DROP
    role = Role.DROP if drop else Role.REST_PAUSE
    wish, felt = last, _before(laying, work, side, last.wanted_kg)
    for number in range(1, of.item.rounds + 1):
        slot = of.slot(role, number, side)
        done_kg = laying.first_done(of, [slot, *work.slots(role, number)])
        if laying.is_taken(slot):
            felt = done_kg if done_kg is not None else felt
            continue
        before, rest_s, reason = felt, REST_PAUSE_S, _PAUSE_REASON
        if drop:
            wish = drop_wish(of.loads.law, before) if done_kg is None else same_wish(of.loads.law, done_kg)
            if done_kg is None and _strips_nothing(laying, of, slot, before):
                note = f"{of.exercise.name}: a drop set is left out; nothing lighter is left to strip to."
                laying.notes += [note] * (note not in laying.notes)
                break
            felt = laying.given_kg(slot, wish.wanted_kg)
            rest_s, reason = 0.0, _drop_reason(before, felt)
        laying.rest(max(rest_s, laying.handling_s(slot)))
        able = max(1.0, laying.outlook(of, side).expected_reps(felt))
        wanted = Wanted(max(1, round(SHORT_OF * able)), round(able) + 1, 0)
        draft = Draft(slot, role, number, of.item.rounds, side, wanted, rest_s, wish, reason)
        _lay_and_tire(laying, of, as_chosen(laying, of, draft), felt, able)


def _before(laying: Laying, work: Work, side: Side, wanted_kg: float) -> float:
    """What this side has in its last work set that was not left out; as wanted, if all were. [kg]"""
    for number in range(len(work.rirs), 0, -1):
        slot = work.of.slot(Role.WORK, number, side)
        if not laying.is_taken(slot):
            return laying.given_kg(slot, wanted_kg)
        done_kg = laying.first_done(work.of, [slot])
        if done_kg is not None:
            return done_kg
    return wanted_kg


def _strips_nothing(laying: Laying, of: Item, slot: str, before_kg: float) -> bool:
    """Whether the station can be no lighter than before by more than plates save, or what hangs leaves no drop."""
    if laying.changes is None:
        return of.loads.felt_kg[0] > (1 - LEAST_OFF) * before_kg
    change = laying.changes.get(slot)
    return change is None or (not change.moves and change.felt_kg >= before_kg)


_PAUSE_REASON = f"Same load after {REST_PAUSE_S:.0f} s of rest; stop when form goes."


def _drop_reason(before_kg: float, felt_kg: float) -> str:
    """How much a drop takes off. [kg]"""
    share = 1 - felt_kg / before_kg if before_kg else 0.0
    if share <= 0:
        return "Nothing is left to take off: go on with the same load, in good form."
    return f"{show_share(share)} off, from the outside only; go at once, as many as stay clean."
