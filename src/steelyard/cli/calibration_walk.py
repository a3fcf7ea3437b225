"""The protocol in conversation: cautions, then reading by reading; each is saved at once."""

from __future__ import annotations

from collections.abc import Iterator

from steelyard.cli.calibration_text import interval_words as words
from steelyard.cli.calibration_text import (
    reading_lines,
    remark_lines,
    report_lines,
    saved_words,
    suspect_lines,
    turn_lines,
)
from steelyard.errors import OutOfRange, SteelyardError
from steelyard.machine.model import Station
from steelyard.machine.protocol import CAUTIONS
from steelyard.service import Steelyard
from steelyard.units import Unit
from steelyard.workshop.calibrating import forget, logged_readings, take
from steelyard.workshop.fitting import keep, report_of
from steelyard.workshop.taking import Asked
from steelyard.workshop.turns import Turn, turns
from steelyard.workshop.wording import reading_words, sentence, stacks_words

HELP = """\
A reading is one line; its parts come in any order, and what you leave out is taken from the reading asked for:
  31.2 kg    69 lb    306 N            what the scale shows
  10 deg     height 92 cm     travel 30 cm     where the arm or the handle is
  up         down     held             how the handle crept while you read
  tip=20 kg  tip=20 kg,5 kg   empty    plates on one post, innermost first
  row                                  another station
  check 20 kg 20.1 kg                  the scale itself, with a known plate hung straight on it
Commands: show (all readings and what they say), undo (the last reading), skip (this one), help, done."""
YES = ("yes", "y")


class Walk:
    """A conversation about one machine, begun at one station.

    scale_range_kg: the most the scale can show, if it is known. [kg]
    """

    def __init__(self, steelyard: Steelyard, station: Station, unit: Unit, scale_range_kg: float | None) -> None:
        self.steelyard = steelyard
        self.station = station
        self.unit = unit
        self.typed_unit = str(unit)
        self.scale_range_kg = scale_range_kg
        self.skipped: set[int] = set()

    def go(self) -> None:
        """From the cautions to the report. Raises: OutOfRange if the cautions are not confirmed."""
        self._caution()
        readings = logged_readings(self.steelyard)
        if readings:
            print(f"Readings so far: {len(readings)}. They are kept; type show to see them.")
        self._ask()
        for line in self._lines():
            if line.casefold() in ("done", "quit", "exit"):
                break
            self._answer(line)
        self._finish()

    def _caution(self) -> None:
        machine = self.steelyard.gym.machine
        print(f"Calibrating {machine.name}, at {self.station.title}. First, for your safety:")
        for caution in CAUTIONS:
            print(f"  - {sentence(caution)}")
        answer = self._line("Type yes when all of this is so: ")
        if answer is None or answer.casefold() not in YES:
            raise OutOfRange("the answer to the cautions", f"'{answer or ''}'", "yes before anything is loaded")

    def _line(self, prompt: str) -> str | None:
        """What is typed; None at the end of the input."""
        try:
            return input(prompt).strip()
        except EOFError:
            print()
            return None

    def _lines(self) -> Iterator[str]:
        while (line := self._line("> ")) is not None:
            if line:
                yield line

    def _turns(self) -> tuple[Turn, ...]:
        return turns(self.steelyard, self.station)

    def _turn(self) -> Turn | None:
        """The first reading of the protocol that is neither there nor skipped."""
        open_ = (turn for turn in self._turns() if not turn.done and turn.number not in self.skipped)
        return next(open_, None)

    def _ask(self) -> None:
        turn = self._turn()
        print()
        if turn is None:
            print(f"All readings at {self.station.title} are there. Type done, or go on with any further reading.")
            return
        print("\n".join(turn_lines(turn, len(self._turns()), self.unit, self.scale_range_kg)))

    def _answer(self, line: str) -> None:
        """A command, or a reading; what is wrong with it is said, and the conversation goes on."""
        commands = {"show": self._show, "undo": self._undo, "skip": self._skip, "help": self._help}
        try:
            commands.get(line.casefold(), lambda: self._take(line))()
        except SteelyardError as problem:
            print(f"Not saved: {problem}.")
            print("Type help to see how a reading is written.")

    def _help(self) -> None:
        print(HELP)
        self._ask()

    def _show(self) -> None:
        report = report_of(self.steelyard)
        print("\n".join(reading_lines(logged_readings(self.steelyard), report)))
        if report:
            print("\n".join(report_lines(report, self.unit)))
        self._ask()

    def _undo(self) -> None:
        readings = logged_readings(self.steelyard)
        if not readings:
            raise OutOfRange("the number of readings", 0, "1 or more to undo one")
        print(f"Undone: {reading_words(forget(self.steelyard, readings[-1].id).read)}.")
        self._ask()

    def _skip(self) -> None:
        turn = self._turn()
        if turn is not None:
            self.skipped.add(turn.number)
        self._ask()

    def _take(self, line: str) -> None:
        turn = self._turn()
        asked = turn.asked if turn is not None else Asked(self.station.name)
        event = take(self.steelyard, line, asked, unit=self.typed_unit, scale_range_kg=self.scale_range_kg)
        self.typed_unit = logged_readings(self.steelyard)[-1].read.unit
        print(saved_words(self.steelyard, event, self.scale_range_kg))
        self._say_so_far()
        self._ask()

    def _say_so_far(self) -> None:
        report = report_of(self.steelyard)
        if report is None:
            return
        print("\n".join(suspect_lines(report)) or "  It fits.")
        felt = report.felt(self.station.name)
        laden = f"; {stacks_words(felt.stacks)} {words(felt.laden_kg, self.unit)}" if felt.stacks else ""
        print(f"  {self.station.title} so far: no plates {words(felt.empty_kg, self.unit)}{laden}.")
        print("\n".join(line for line in remark_lines(report) if line))

    def _finish(self) -> None:
        report = report_of(self.steelyard)
        if report is None:
            print("No reading was taken; nothing is changed.")
            return
        print("\n".join(report_lines(report, self.unit)))
        print()
        answer = self._line("Keep this calibration, and reckon all loads with it from now on? yes or no: ")
        if answer is not None and answer.casefold() in YES:
            print(f"Kept ({keep(self.steelyard)[:8]}).")
        else:
            print("Not kept. The readings stay; keep it later with: steelyard machine calibrate --keep")
