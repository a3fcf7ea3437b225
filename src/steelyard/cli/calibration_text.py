"""Readings and what they say, as text for a terminal."""

from __future__ import annotations

from collections.abc import Iterator

from steelyard.journal.fold import LoggedReading
from steelyard.machine.calibration import Parameter
from steelyard.service import Steelyard
from steelyard.units import Unit, show_mass
from steelyard.workshop.calibrating import logged_readings
from steelyard.workshop.fitting import Interval, Report, StationFelt
from steelyard.workshop.taking import scale_caution
from steelyard.workshop.turns import Turn
from steelyard.workshop.wording import (
    ended,
    reading_words,
    sentence,
    shown_words,
    stacks_words,
    suggestion_words,
    suspect_words,
)

SHORT_ID = 8


def turn_lines(turn: Turn, of: int, unit: Unit, scale_range_kg: float | None) -> Iterator[str]:
    """The reading asked for, and what the scale should show."""
    yield f"{turn.number} of {of}: {sentence(turn.words)}"
    plates = f"{stacks_words(turn.asked.stacks)}. " if turn.asked.stacks else ""
    expected_kg = max(0.0, turn.expected_kg)
    expected = f"About {show_mass(expected_kg, unit, 0)} is expected on the scale. " if expected_kg else ""
    yield f"  {plates}{expected}Type what the scale shows."
    caution = scale_caution(expected_kg, scale_range_kg)
    if caution:
        yield f"  Mind before you pull: {caution}."


def saved_words(steelyard: Steelyard, event: str, scale_range_kg: float | None) -> str:
    """That a reading is on disk, how it was understood, and what to mind."""
    logged = next(logged for logged in logged_readings(steelyard) if logged.id == event)
    caution = scale_caution(logged.read.scale_kg, scale_range_kg)
    return f"Saved {reading_line(logged).strip()}" + (f"\n  Mind: {caution}." if caution else "")


def reading_line(logged: LoggedReading, mark: str = "") -> str:
    """One reading with the short id that undoes it."""
    return f"  {logged.id[:SHORT_ID]}  {reading_words(logged.read)}: {shown_words(logged.read)}{mark}"


def reading_lines(readings: tuple[LoggedReading, ...], report: Report | None) -> Iterator[str]:
    """All readings, those that can't be right marked in words."""
    if not readings:
        yield "No reading yet."
    suspect = {one.reading.id for one in report.fit.suspects} if report else set()
    for logged in readings:
        yield reading_line(logged, "  (can't be right, left out)" if logged.id in suspect else "")


def report_lines(report: Report, unit: Unit) -> Iterator[str]:
    """All that the readings say."""
    fit = report.fit
    left_out = f", {len(fit.suspects)} left out" if fit.suspects else ""
    yield f"{report.machine.name}: {len(fit.used)} readings used{left_out}."
    yield from suspect_lines(report)
    yield ""
    yield "Felt load, in brackets where it lies with 95 % probability:"
    for one in report.stations:
        yield from felt_lines(one, unit)
    yield ""
    yield "What was found of the machine, in the same way:"
    yield from map(parameter_line, report.parameters)
    yield from remark_lines(report)


def suspect_lines(report: Report) -> Iterator[str]:
    """Readings that can't be right, and why."""
    for suspect in report.fit.suspects:
        yield f"  Can't be right: {ended(suspect_words(report, suspect))}"


def remark_lines(report: Report) -> Iterator[str]:
    """What else is to be said, and what to read next."""
    if report.fit.remarks or report.suggestion:
        yield ""
    yield from map(sentence, report.fit.remarks)
    if report.suggestion:
        yield f"Most useful now: {suggestion_words(report.suggestion)}"


def felt_lines(one: StationFelt, unit: Unit) -> Iterator[str]:
    """A station empty and with its middle plate."""
    yield f"  {one.station.name}: {one.station.title}"
    described = show_mass(one.described_empty_kg, unit)
    yield f"    no plates: {interval_words(one.empty_kg, unit)}, described {described}"
    if one.stacks:
        described = show_mass(one.described_laden_kg, unit)
        yield f"    {stacks_words(one.stacks)}: {interval_words(one.laden_kg, unit)}, described {described}"


def interval_words(interval_kg: Interval, unit: Unit) -> str:
    """``42.9 kg (42.0 to 43.8)``."""
    low, best, high = (show_mass(each, unit) for each in interval_kg)
    return f"{best} ({low.split()[0]} to {high.split()[0]})"


def parameter_line(found: Parameter) -> str:
    """One unknown: found, interval, described."""
    places = 3 if found.unit in ("", "kg m") else 1
    unit = f" {found.unit}" if found.unit else ""
    span = f"{found.low:.{places}f} to {found.high:.{places}f}"
    return f"  {found.words}: {found.value:.{places}f}{unit} ({span}), described {found.described:.{places}f}"
