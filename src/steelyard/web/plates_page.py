"""The rack, how to build a load from it, and on demand what to buy for it."""

from __future__ import annotations

from markupsafe import Markup
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse

from steelyard.drawing.rack import draw_rack
from steelyard.service import Steelyard
from steelyard.units import Unit
from steelyard.web.building import building
from steelyard.web.render import page, steelyard_of
from steelyard.workshop.buying import Shopping, shopping_at, uses_of


async def plates(request: Request) -> HTMLResponse:
    """The plates in the house, how to build a load (``?station=&felt=``), and what to buy (``?buy=1``).

    What to buy is told for everyone, or with ``&lifter=`` for one.
    """
    steelyard = steelyard_of(request)
    inventory = steelyard.gym.inventory
    total_kg = sum(plate.mass.kg * count for plate, count in inventory.counts.items())
    asked = "buy" in request.query_params
    lifter = request.query_params.get("lifter") or None
    shown = await run_in_threadpool(building, steelyard, request.query_params)
    answer = page(
        request,
        "plates.html",
        inventory=inventory,
        rack=Markup(draw_rack(inventory)),
        total_kg=total_kg,
        kg=Unit.KG,
        lb=Unit.LB,
        lifters=steelyard.lifters(),
        shopping=await _shopping(steelyard, lifter) if asked else None,
        whose=steelyard.lifter(lifter) if asked and lifter else None,
        build=shown,
    )
    answer.status_code = shown.status
    return answer


async def _shopping(steelyard: Steelyard, lifter: str | None) -> Shopping:
    """Seconds of work on some machines, done beside the page so that a set can be logged meanwhile."""
    shown = Unit(steelyard.lifter(lifter).unit) if lifter else Unit.KG
    uses = tuple(uses_of(steelyard, lifter))
    return await run_in_threadpool(shopping_at, steelyard.gym, uses, shown=shown)
