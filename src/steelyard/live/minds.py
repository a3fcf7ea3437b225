"""What a lifter may change their mind about, each ready as the event that it would be.

Costly ones, such as a session that is to end in ten minutes, are worked out when they are asked for.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from steelyard.journal.codec import plain_body
from steelyard.journal.events import Body, ExerciseEnded, SessionEnded, SetSkipped
from steelyard.recording import SessionView
from steelyard.service import Steelyard
from steelyard.training.together import Turn

Offer = dict[str, Any]
"""``{"words": …, "kind": …, "version": …, "body": …}``: what is tapped, and the event that it makes."""


def offer(words: str, body: Body) -> Offer:
    """An event as it is offered."""
    return {"words": words, **plain_body(body)}


def stops(views: Mapping[str, SessionView], turns: Sequence[Turn]) -> list[Offer]:
    """The ways to stop now, each as the event that it is."""
    ways = []
    for turn in turns[:1]:
        place = int(turn.one.slot.split(".")[0])
        pain = ExerciseEnded(turn.session, place, "pain")
        sign = ExerciseEnded(turn.session, place, "sign")
        ways.append(offer("Something hurts: end this exercise", pain) | {"caution": []})
        ways.append(offer("A stop sign: end this exercise", sign) | {"caution": []})
    ways += [offer("Stop here and end the session", SessionEnded(session)) | {"main": True} for session in views]
    return ways


def minds(steelyard: Steelyard, turns: Sequence[Turn]) -> list[Offer]:
    """What may go otherwise now, in groups."""
    if not turns:
        return []
    now = turns[0]
    place = int(now.one.slot.split(".")[0])
    leave = [
        offer("Leave this set out", SetSkipped(now.session, now.one.slot)),
        offer("No more of this exercise", ExerciseEnded(now.session, place, "enough")),
    ]
    return [{"title": "Less", "choices": leave}]
