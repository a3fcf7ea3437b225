"""The cheapest course on one horn, exactly: which plates stay on it for how long.

Plates come off a stack in the opposite order in which they went on, so the runs of stages through which they
hang there nest like brackets. Of a filling that stays through a run only this matters: the least that the run
costs with it. That is the least of three: one more plate stays through the run too; the run falls into two, and
between them all beyond the filling comes off; or it is one stage with just the filling. Fillings are gone
through from the largest down, so that each run is worked out once.

The cost of a run counts the price of its stages, putting on all its plates before it and taking them off after it.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import chain, zip_longest
from operator import add
from typing import NamedTuple

from steelyard.errors import NoLoading
from steelyard.plates.fillings import Code, Post, Rack
from steelyard.plates.nesting import Chain, end, in_order, with_more
from steelyard.plates.outlook import NEVER, off_ms
from steelyard.plates.stages import Stage
from steelyard.plates.wishes import Way

NESTS_KEPT = 4
MOST_RUNS_KEPT = 200_000
"""Larger nests are not kept."""


class Span(NamedTuple):
    """A run of stages, the first and the last, what stays through it, and the stack that it stands on."""

    first: int
    last: int
    held: Code
    inner: Chain


Rows = dict[int, list[int]]
"""What runs cost with one filling, by the stage they begin at, then by how many more stages they have. [ms]"""


@dataclass(eq=False, slots=True)
class Nest:
    """One horn's stages and what all runs of them cost.

    start: what hangs on the horn before the first stage, plate by plate.
    rows:  by filling; each has a row for every stage that it may stay through, larger fillings first.
    """

    rack: Rack
    post: Post
    stages: Sequence[Stage]
    start: Chain
    rows: dict[Code, Rows] = field(default_factory=dict)
    _at: dict[Code, int] = field(default_factory=dict)
    _more: defaultdict[Code, list[Code]] = field(default_factory=lambda: defaultdict(list))
    _prices: defaultdict[Code, dict[int, int]] = field(default_factory=lambda: defaultdict(dict))
    _strips: list[int] = field(default_factory=list)
    _odd: list[int] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Find the fillings of every stage, and all that they contain."""
        self._strips = [number for number, stage in enumerate(self.stages) if stage.wish.way is Way.STRIP]
        self._odd = [number for number, stage in enumerate(self.stages[1:]) if stage.wish.way is not Way.FREE]
        levels = self._candidates()
        masks = [each.mask for each in reversed(self.post.fields)]
        for count in range(max(levels, default=0), -1, -1):
            fewer = levels[count - 1]
            for code, stages in levels[count].items():
                at = self._at[code] = self._through_strips(stages)
                for mask in masks:
                    part = code & mask
                    if part:  # what may lie under the last plate; in order, the last one is the lightest
                        less = code ^ 1 << part.bit_length() - 1
                        fewer[less] = fewer.get(less, 0) | at
                        self._more[less].append(code)
                        if self.post.along:
                            break

    def _through_strips(self, at: int) -> int:
        """These stages, and the strips that follow them, to which a filling may be left."""
        for number in self._strips:
            at |= at << 1 & 1 << number
        return at

    def _candidates(self) -> defaultdict[int, dict[Code, int]]:
        """What each stage may be given, by the number of plates; for each filling the stages, a bit each."""
        levels: defaultdict[int, dict[Code, int]] = defaultdict(dict)
        held, first = end(self.start), True
        for number, stage in enumerate(self.stages):
            if number not in self._strips:
                first = False
                for code, price in stage.candidates().items():
                    self._prices[code][number] = price
                    level = levels[code.bit_count()]
                    level[code] = level.get(code, 0) | 1 << number
            elif first:
                level = levels[held.bit_count()]
                level[held] = level.get(held, 0) | 1 << number
        return levels

    @property
    def size(self) -> int:
        """How many runs there are to work out, all fillings counted."""
        return sum(fillings * _runs(at) for at, fillings in Counter(self._at.values()).items())

    def fill(self, alike: Nest | None = None) -> None:
        """Work out all runs.

        alike: a filled one of the same horn and rack. Runs of the stages with which both end cost the same in
               both, so they are taken over.
        """
        since = len(self.stages) - (0 if alike is None else self.shared(alike.stages))
        for code, at in self._at.items():
            self.rows[code] = self._rows_of(code, at, self._taken_over(alike, code, at, since))

    def shared(self, stages: Sequence[Stage]) -> int:
        """With how many stages both end alike, without strips that what goes before them could reach into."""
        count = 0
        for mine, its in zip(reversed(self.stages), reversed(stages), strict=False):
            if not mine.is_like(its):
                break
            count += 1
        while count and self.stages[-count].wish.way is Way.STRIP:
            count -= 1
        return count

    def _taken_over(self, alike: Nest | None, code: Code, at: int, since: int) -> Rows:
        """The rows of a filling from a stage on, as another nest has them."""
        if alike is None or not at >> since:
            return {}
        known, further = alike.rows[code], len(alike.stages) - len(self.stages)
        return {number: known[number + further] for number in range(since, at.bit_length()) if at >> number & 1}

    def _rows_of(self, code: Code, at: int, rows: Rows) -> Rows:
        """The rows of a filling, those of all larger ones being known.

        at: the stages it may stay through. rows: those that are known already, all of the latest stages.
        """
        if len(rows) == at.bit_count():
            return rows
        between, prices = self._between(code), self._prices.get(code, {})
        more = [self.rows[each] for each in self._more.get(code, ())]
        later: list[list[int]] = []
        while at:
            number = at.bit_length() - 1
            at ^= 1 << number
            if number + 1 not in rows:
                later = []
            row = rows.get(number)
            if row is None:
                price = self.stages[number].price(code) if number in self._strips else prices.get(number)
                alone = NEVER if price is None else price + between[number]
                longer = [] if number in self._strips else [each[number] for each in more if number in each]
                rows[number] = row = _row(alone, longer, later)
            if number and at >> number - 1 & 1:
                # To each later stage's column goes what the run costs as a second one, its plates being there.
                later.insert(0, [])
                for cost, column in zip(row, later, strict=True):
                    column.insert(0, cost - between[number - 1])
        return rows

    def _between(self, code: Code) -> list[int]:
        """What it costs to take a filling off after each stage, and to put it on again for the next. [ms]"""
        on = self.rack.weights[code]
        found = [2 * on] * len(self.stages)
        for number in self._odd:
            found[number] = on + off_ms(self.stages[number + 1], self.rack.weights, code)
        found[-1] = on
        return found

    def cheapest(self) -> tuple[int, list[Chain]]:
        """What the cheapest course costs [ms], and the stack at each stage.

        Raises: NoLoading if no part of what hangs there is allowed at a stage before which plates only come off.
        """
        opening = self._opening()
        cost = opening[0][-1]
        if cost >= NEVER:
            raise NoLoading("a set for which plates only come off", ())
        chains = list(self._through(self._beginning(opening)))
        if self.post.along:
            chains = [in_order(self.rack, self.post, end(stack)) for stack in chains]
        return cost, chains

    def _opening(self) -> list[list[int]]:
        """What runs from the first stage on cost through which so many plates of the start stay, by their number.

        What comes off before the first stage is counted, and those that stay need not be put on; no row for plates
        that can't stay. [ms]
        """
        found: list[list[int]] = [[] for _ in range(len(self.start) + 2)]
        for count in range(len(self.start), -1, -1):
            code = end(self.start[:count])
            if self.post.along and self.start[:count] != in_order(self.rack, self.post, code):
                continue
            rows, between, least = self.rows.get(code, {}), self._between(code), found[count]
            for last, cost in enumerate(rows.get(0, ())):
                ways = [cost + self._before(code), *found[count + 1][last : last + 1]]
                ways += [least[at] + rows[at + 1][last - at - 1] - between[at] for at in range(last)]
                least.append(min(ways))
        return found[:-1]

    def _before(self, code: Code) -> int:
        """What it costs that of the start just this filling stays, less what putting it on would. [ms]"""
        stage, weights = self.stages[0], self.rack.weights
        return off_ms(stage, weights, end(self.start)) - off_ms(stage, weights, code) - weights[code]

    def _beginning(self, opening: Sequence[Sequence[int]]) -> list[Span]:
        """The runs of the cheapest course through which the same plates of the start stay, last run first."""
        found: list[Span] = []
        count, last = 0, len(self.stages) - 1
        while True:
            inner = self.start[:count]
            rows, between, least = self.rows[end(inner)], self._between(end(inner)), opening[count]
            if count < len(self.start) and opening[count + 1][last : last + 1] == [least[last]]:
                count += 1
                continue
            if least[last] == rows[0][last] + self._before(end(inner)):
                return [*found, Span(0, last, end(inner), inner)]
            at = next(
                at for at in range(last) if least[last] == least[at] + rows[at + 1][last - at - 1] - between[at]
            )
            found.append(Span(at + 1, last, end(inner), inner))
            last = at

    def _through(self, spans: list[Span]) -> Iterator[Chain]:
        """The stacks of runs of least cost, stage by stage; runs are given last one first."""
        while spans:
            span = spans.pop()
            inside = self._inside(span)
            if inside:
                spans.extend(inside)
            else:
                yield with_more(span.inner, span.held)

    def _inside(self, span: Span) -> list[Span]:
        """What a run of least cost is made of, last part first; nothing if it is one stage with the filling."""
        first, last, held, inner = span
        rows, between = self.rows[held], self._between(held)
        cost = rows[first][last - first]
        if first not in self._strips:
            for each in self._more.get(held, ()):
                if self.rows[each].get(first, [])[last - first : last - first + 1] == [cost]:
                    return [Span(first, last, each, inner)]
        for at in range(first, last):
            if cost == rows[first][at - first] + rows[at + 1][last - at - 1] - between[at]:
                under = with_more(inner, held)
                return [Span(at + 1, last, held, under), Span(first, at, held, under)]
        return []


def _runs(at: int) -> int:
    """How many runs some stages have, a bit each."""
    return sum(length * (length + 1) // 2 for length in map(len, f"{at:b}".split("0")))


class Finished:
    """Nests filled lately on one horn of a rack; the next takes over what it has in common with one of them."""

    def __init__(self) -> None:
        self._nests: tuple[Nest, ...] = ()

    def filled(self, nest: Nest) -> Nest:
        """This nest, or a kept one that is the same, filled."""
        kept, most = self._nests, 0
        alike: Nest | None = None
        for each in kept:
            shared = each.shared(nest.stages)
            if shared == len(nest.stages) == len(each.stages) and each.start == nest.start:
                return each
            if shared > most:
                alike, most = each, shared
        nest.fill(alike)
        if nest.size <= MOST_RUNS_KEPT:
            self._nests = (*kept[1 - NESTS_KEPT :], nest)
        return nest


@lru_cache(maxsize=32)
def finished(rack: Rack, horn: str) -> Finished:
    """What is kept of one horn of a rack. Raises: UnknownName for a horn that the rack lacks."""
    rack.post(horn)
    return Finished()


def _row(alone: int, longer: Sequence[list[int]], later: Sequence[Sequence[int]]) -> list[int]:
    """What runs from one stage on cost. [ms]

    alone:  that stage with just the filling. longer: rows of the fillings that have one plate more.
    later:  for each later stage what second runs up to it cost, by the stage that they begin at.
    """
    staying = map(min, zip_longest(*longer, fillvalue=NEVER)) if len(longer) > 1 else chain(*longer)
    row = [min(alone, next(staying, NEVER))]
    at = 0
    for at, cost in enumerate(staying, 1):
        row.append(min(cost, *map(add, row, later[at - 1])))
    for column in later[at:]:
        row.append(min(map(add, row, column)))
    return row
