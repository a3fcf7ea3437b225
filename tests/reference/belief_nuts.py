"""What is believed of a lifter, as a model for a general sampler: NUTS of NumPyro (package numpyro), in float64.

Source: Hoffman and Gelman 2014, J Mach Learn Res 15:1593 (the no-U-turn sampler), run here and now through
NumPyro's public package; Vehtari and others 2021, doi 10.1214/20-BA1221 (effective sample size and split R-hat).

Written from docs/model-strength.md and its constants: the prior, what days and learning do, fatigue from every
earlier set of the day with the very parameters drawn, whole reps as an interval of the margin, the odd set
marginalised. Nothing is linearised and nothing is forgotten from set to set. A history is laid out in arrays of
one size, so that every history shares one compilation.

Everything drawn is standard normal beforehand (not centred). The sampler moves in coordinates stretched by the
curvature at the mode, which costs a few steps of Newton's and changes nothing of what is sampled.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from functools import cache, partial
from typing import Any

import jax
import jax.numpy as jnp
import numpy as np
import numpyro
from jax.scipy.special import erfc
from numpyro import distributions
from numpyro.diagnostics import effective_sample_size, split_gelman_rubin
from numpyro.infer import MCMC, NUTS

from steelyard.strength import population as people
from steelyard.strength.belief import Belief
from steelyard.strength.lifts import CARRIED_SD
from steelyard.strength.model import Ended, Observation
from steelyard.strength.recovery import FAST_S

jax.config.update("jax_enable_x64", True)

DAYS, SETS, LIFTS = 8, 16, 3
"""Room in the arrays: days, sets of a day, lifts."""
FIGURES = ("curve", "fast", "slow", "candour")
CHAINS, WARMUP, DRAWS = 4, 300, 1500
FAR = 1e3
"""Stands for an end that is open, in logarithm of load."""
LEAST = 1e-250
"""No chance is less: it keeps the logarithm finite where a search begins."""
REP_S = 4.0
SIZE = len(FIGURES) + LIFTS + DAYS + DAYS + DAYS * LIFTS

Array = Any


@dataclass
class Laid:
    """A history in arrays: of the person, by day, and by day and set (and, at the end, by earlier set).

    mean, triangle: of curve, fast share, slow time constant, candour and the maxima, and Cholesky's of their
    covariance. gain, shared_sd, gain_own, own_sd: by day and lift, what the time before the day did.
    """

    mean: Array
    triangle: Array
    gain: Array
    shared_sd: Array
    own_sd: Array
    typical: Array
    lift: Array
    log_load: Array
    low: Array
    high: Array
    said: Array
    judged: Array
    seen: Array
    cost: Array
    since_s: Array
    felt: Array
    foreign: Array


jax.tree_util.register_dataclass(Laid, [field.name for field in fields(Laid)], [])


def laid(before: Belief, sets: Sequence[Observation]) -> Laid:
    """A history of no more days, sets and lifts than there is room for."""
    lifts, days = before.lifts, sorted({each.day for each in sets})
    count = len(lifts.each)
    size = len(FIGURES) + LIFTS
    covariance = np.eye(size)
    known = len(FIGURES) + count
    covariance[:known, :known] = np.array(before.covariance)[1:, 1:]
    mean = np.zeros(size)
    mean[:known] = before.mean[1:]
    by_set = {
        name: np.zeros((DAYS, SETS)) for name in ("log_load", "low", "high", "said", "judged", "seen", "cost")
    }
    pairs = {name: np.zeros((DAYS, SETS, SETS)) for name in ("since_s", "felt", "foreign")}
    lift = np.zeros((DAYS, SETS), dtype=int)
    for number, day in enumerate(days):
        today = [each for each in sets if each.day == day]
        for at, each in enumerate(today):
            lift[number, at] = lifts.place[each.lift]
            for name, value in _of_set(each, before).items():
                by_set[name][number, at] = value
            for earlier, other in enumerate(today[:at]):
                apart = "both" not in (each.side, other.side) and each.side != other.side
                share = 0.0 if apart else lifts.carry[lifts.place[each.lift]][lifts.place[other.lift]]
                pairs["felt"][number, at, earlier] = share
                pairs["foreign"][number, at, earlier] = share if each.lift != other.lift else 0.0
                pairs["since_s"][number, at, earlier] = _seconds(today, earlier, at)
    typical = np.ones(LIFTS)
    typical[:count] = [each.reps_scale for each in lifts.each]
    changes = _changes(before, sets, days)
    return Laid(mean, np.linalg.cholesky(covariance), *changes, typical, lift, **by_set, **pairs)


def _seconds(today: Sequence[Observation], earlier: int, at: int) -> float:
    """Rest that the muscles of one set have had before another: the rests, and what other lifts and sides took."""
    own = today[earlier].lift, today[earlier].side
    between = today[earlier:at]
    working = sum(REP_S * each.reps for each in between if (each.lift, each.side) != own)
    return working + sum(each.rest_s or 0.0 for each in today[earlier + 1 : at + 1])


def _of_set(seen: Observation, before: Belief) -> dict[str, float]:
    """Ends in reps before candour, and what goes with them."""
    failed = seen.ended is Ended.FAILURE
    cost = (seen.reps + 0.5 * failed) * seen.felt_kg / before.lifts.each[before.lifts.place[seen.lift]].reps_scale
    found = {"log_load": math.log(seen.felt_kg), "seen": 1.0, "cost": cost}
    if seen.ended is Ended.REPORTED and seen.rir is not None:
        low = float(seen.reps + seen.rir)
        return found | {
            "low": low,
            "high": low + 1.0,
            "said": people.candour_weight(seen.rir),
            "judged": people.rir_error_reps(seen.rir, seen.reps),
        }
    low = seen.reps or -math.inf
    return found | {"low": low, "high": seen.reps + 1.0 if failed else math.inf}


def _changes(before: Belief, sets: Sequence[Observation], days: Sequence[float]) -> tuple[Array, Array, Array]:
    """Mean change by day and lift, deviation by day of what all lifts share of it, and of what each has alone."""
    gain, shared, own = np.zeros((DAYS, LIFTS)), np.zeros(DAYS), np.zeros((DAYS, LIFTS))
    weeks, done = before.weeks, [0] * len(before.lifts.each)
    for number, day in enumerate(days):
        if number:
            apart = day - days[number - 1]
            training, off = min(apart, people.BREAK_DAYS) / 7.0, max(0.0, apart - people.BREAK_DAYS) / 7.0
            gained = people.gain_per_week(weeks + training / 2.0) * training
            gain[number] = gained - people.LOSS_PER_WEEK * off
            sds = people.DRIFT_SD * math.sqrt(apart / 7.0), people.GAIN_CV * gained, people.LOSS_SD_PER_WEEK * off
            shared[number] = math.hypot(*sds)
            own[number] = people.OWN_DRIFT_SD * math.sqrt(apart / 7.0)
            weeks += training
        for place in {before.lifts.place[each.lift] for each in sets if each.day == day}:
            if done[place]:
                fading = math.exp(-(done[place] - 1) / people.LEARNING_SESSIONS)
                gain[number, place] += people.LEARNING * fading
                own[number, place] = math.hypot(own[number, place], people.LEARNING_SD * math.sqrt(fading))
            done[place] += 1
    return gain, shared, own


def unfolded(at: Laid, luck: Array) -> tuple[Array, Array, Array]:
    """Curve, fast share, slow time constant and candour; form by day; ln maximum by day and lift."""
    known = len(FIGURES) + LIFTS
    first, rest = luck[:known], luck[known:]
    figures = at.mean + at.triangle @ first
    form = people.DAY_SD * rest[:DAYS]
    shared = at.shared_sd * rest[DAYS : 2 * DAYS]
    own = at.own_sd * rest[2 * DAYS :].reshape(DAYS, LIFTS)
    changes = at.gain + shared[:, None] + own
    return figures[: len(FIGURES)], form, figures[len(FIGURES) :] + jnp.cumsum(changes, axis=0)


def log_chance(at: Laid, luck: Array) -> Array:
    """Logarithm of the chance of all sets."""
    (curve, fast, slow, candour), form, maxima = unfolded(at, luck)
    day = jnp.arange(DAYS)[:, None]
    maximum = maxima[day, at.lift] + form[:, None]
    typical = at.typical[at.lift]
    scale = typical * jnp.exp(curve)
    share = jax.nn.sigmoid(fast)
    kept = share * jnp.exp(-at.since_s / FAST_S) + (1.0 - share) * jnp.exp(-at.since_s * jnp.exp(-slow))
    left = kept * (at.cost * jnp.exp(-maximum - curve))[:, None, :]
    missing, foreign = jnp.sum(at.felt * left, axis=-1), jnp.sum(at.foreign * left, axis=-1)
    capacity = jnp.maximum(0.05, 1.0 - missing)
    margin = maximum + jnp.log(capacity) - at.log_load
    low, high = at.low + at.said * candour, at.high + at.said * candour
    closed = jnp.where(jnp.isinf(high), low, low + 0.5)
    about = jnp.maximum(jnp.where(jnp.isinf(low), 0.5, closed), 0.5)
    stretch = (typical + about) / (scale + about)
    near = people.NEAR_MAX_DOUBT * jnp.maximum(0.0, 1.0 - about / people.NEAR_MAX_REPS) * missing
    square = (stretch * people.SET_SD) ** 2 + (at.judged / (scale + about)) ** 2
    square += ((CARRIED_SD * foreign) ** 2 + near**2) / capacity**2
    ends = _end(low, scale) - margin, _end(high, scale) - margin
    usual = _between(*ends, jnp.sqrt(square))
    odd = _between(*ends, jnp.sqrt(square + (stretch * people.ODD_SD) ** 2))
    chance = (1.0 - people.ODD_SHARE) * usual + people.ODD_SHARE * odd
    return jnp.sum(jnp.log(jnp.where(at.seen > 0.0, jnp.maximum(chance, LEAST), 1.0)))


def _end(reps: Array, scale: Array) -> Array:
    """The margin at which so many reps are just done."""
    open_, finite = jnp.isinf(reps), jnp.where(jnp.isinf(reps), 0.0, reps)
    inside = jnp.log1p(jnp.maximum(finite / scale, -0.9))
    return jnp.where(open_, jnp.where(reps > 0.0, FAR, -FAR), inside)


def _between(low: Array, high: Array, sd: Array) -> Array:
    """Chance that a centred normal variable lies between two ends, from the tail in which it keeps its digits."""
    a, b = low / (sd * math.sqrt(2.0)), high / (sd * math.sqrt(2.0))
    below = a + b < 0.0
    near, far = jnp.where(below, -b, a), jnp.where(below, -a, b)
    return 0.5 * (erfc(near) - erfc(far))


def _energy(at: Laid, luck: Array) -> Array:
    return 0.5 * luck @ luck - log_chance(at, luck)


@jax.jit
def stretched(at: Laid) -> tuple[Array, Array]:
    """The mode, by damped Newton's steps, and a square root of the inverse curvature there."""
    slope, bend = jax.grad(partial(_energy, at)), jax.hessian(partial(_energy, at))
    tries = 0.5 ** jnp.arange(14)

    def roots(luck: Array) -> tuple[Array, Array]:
        values, vectors = jnp.linalg.eigh(bend(luck))
        return jnp.maximum(jnp.abs(values), 0.5), vectors  # downhill from a saddle, too

    def step(_: int, luck: Array) -> Array:
        values, vectors = roots(luck)
        move = vectors @ ((vectors.T @ slope(luck)) / values)
        found = luck - tries[:, None] * move
        heights = jax.vmap(partial(_energy, at))(found)
        best = jnp.argmin(jnp.where(jnp.isnan(heights), jnp.inf, heights))
        return jnp.where(heights[best] < _energy(at, luck), found[best], luck)

    mode = jax.lax.fori_loop(0, 40, step, jnp.zeros(SIZE))
    values, vectors = roots(mode)
    return mode, vectors / jnp.sqrt(values)


def model(at: Laid, mode: Array, stretch: Array) -> None:
    """The person, in coordinates about the mode, and all sets."""
    flat = distributions.ImproperUniform(distributions.constraints.real_vector, (), (SIZE,))
    luck = mode + stretch @ numpyro.sample("place", flat)
    numpyro.factor("person and sets", -_energy(at, luck))


@cache
def _sampler() -> MCMC:
    kernel = NUTS(model, init_strategy=numpyro.infer.init_to_value(values={"place": jnp.zeros(SIZE)}))
    return MCMC(
        kernel,
        num_warmup=WARMUP,
        num_samples=DRAWS,
        num_chains=CHAINS,
        chain_method="vectorized",
        progress_bar=False,
        jit_model_args=True,
    )


@dataclass(frozen=True)
class Sampled:
    """Posterior of one figure. rhat: split R-hat. draws: effective number, the worse of mean and square."""

    mean: float
    sd: float
    rhat: float
    draws: float


@jax.jit
def _figures(at: Laid, stretch: tuple[Array, Array], places: Array) -> Array:
    """All figures of all draws, the maxima of the last day with and without its form."""

    def one(place: Array) -> Array:
        figures, form, maxima = unfolded(at, stretch[0] + stretch[1] @ place)
        last = jnp.max(jnp.where(jnp.any(at.seen > 0.0, axis=1), jnp.arange(DAYS), 0))
        return jnp.concatenate([form[last][None], figures, maxima[last]])

    return jax.vmap(jax.vmap(one))(places)


def sampled(before: Belief, sets: Sequence[Observation], *, seed: int) -> tuple[Mapping[int, Sampled], int]:
    """The posterior by place in a belief's state after these sets, and the number of divergences.

    seed: of the sampler.
    """
    at = laid(before, sets)
    stretch = stretched(at)
    sampler = _sampler()
    sampler.run(jax.random.PRNGKey(seed), at, *stretch, extra_fields=("diverging",))
    draws = np.asarray(_figures(at, stretch, sampler.get_samples(group_by_chain=True)["place"]))
    diverged = int(np.sum(sampler.get_extra_fields()["diverging"]))
    return {place: _summary(draws[:, :, place]) for place in range(len(before.mean))}, diverged


def _summary(draws: Array) -> Sampled:
    mean, sd = float(np.mean(draws)), float(np.std(draws))
    enough = min(float(effective_sample_size(each)) for each in (draws, (draws - mean) ** 2))
    return Sampled(mean, sd, float(split_gelman_rubin(draws)), enough)
