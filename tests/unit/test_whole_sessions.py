"""A session weighed as a whole, on the page and on the terminal: other orders, and lifters in turn."""

from __future__ import annotations

import argparse
import warnings
from collections.abc import Iterator

import pytest

from steelyard.cli.sessions import order_lines, run_in_turn
from steelyard.errors import OutOfRange, UnknownName
from steelyard.service import Steelyard
from steelyard.training.order import Offer
from steelyard.web.app import make_app
from steelyard.workshop import sessions
from steelyard.workshop.sessions import asked_order, in_turn, order_named, other_orders, prepared_without
from steelyard.workshop.sets import log_set

with warnings.catch_warnings():  # Starlette would rather see another HTTP client under its test client
    warnings.simplefilter("ignore")
    from starlette.testclient import TestClient

OFFER = Offer((2, 1, 3, 4), ("Hinge", "Squat"), 51.0, 60.0)


@pytest.fixture
def client(steelyard: Steelyard) -> Iterator[TestClient]:
    with TestClient(make_app(steelyard), raise_server_exceptions=False) as opened:
        yield opened


def test_an_order_names_every_place_once() -> None:
    assert order_named(" 2, 1", 2) == (2, 1)
    for wrong in ("", "1", "1,1", "0,1", "1,2,3", "one,two"):
        with pytest.raises(OutOfRange, match="every place from 1 to 2 once, such as 1,2"):
            order_named(wrong, 2)


def test_an_order_of_an_unknown_outline_is_refused(steelyard: Steelyard) -> None:
    with pytest.raises(UnknownName, match="outline 'arms' is not known"):
        asked_order(steelyard, "arms", "1,2")


def test_a_session_begun_in_another_order_goes_on_in_it(steelyard: Steelyard) -> None:
    session = steelyard.start_session("tove", "legs", order=(2, 1, 3, 4))
    first = steelyard.session(session).current
    assert first is not None
    assert first.slot.startswith("2.")
    log_set(steelyard, session, first.slot, 8)
    following = steelyard.session(session).current
    assert following is not None
    assert following.slot.startswith("2.")


def test_orders_are_told_with_what_they_save(steelyard: Steelyard, monkeypatch: pytest.MonkeyPatch) -> None:
    assert "No other order within the rules" in "\n".join(order_lines(steelyard, "tove", "legs"))
    monkeypatch.setattr(sessions, "offers", lambda task, on_horns: (OFFER,))
    told = "\n".join(order_lines(steelyard, "tove", "legs"))
    assert "Another order: Hinge, Squat." in told
    assert "Saves 60 s of plate work and 51 s of the session. Take it with --order 2,1,3,4" in told


def test_the_page_offers_an_order_and_takes_it(
    client: TestClient, steelyard: Steelyard, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sessions, "offers", lambda task, on_horns: (OFFER,))
    offered = client.get("/lifter/tove?outline=legs&orders=1").text
    assert "order=2,1,3,4" in offered
    shown = client.get("/lifter/tove?outline=legs&order=2,1,3,4").text
    assert 'name="order" value="2,1,3,4"' in shown
    steelyard.answer_screening("tove", True, False, False)
    begun = client.post("/lifter/tove/start", data={"outline": "legs", "order": "2,1,3,4"})
    assert begun.status_code == 200
    assert steelyard.session(steelyard.open_session("tove") or "").session.order == (2, 1, 3, 4)


def test_an_order_that_is_none_is_told(client: TestClient) -> None:
    assert "every place from 1 to 4 once" in client.get("/lifter/tove?outline=legs&order=2,1").text


def test_nothing_is_offered_unasked(client: TestClient) -> None:
    assert "Would another order save plate work?" in client.get("/lifter/tove?outline=legs").text


def test_two_lifters_have_a_page_of_their_turns(client: TestClient, steelyard: Steelyard) -> None:
    page = client.get("/turns?who=tove&who=marek&outline=legs")
    assert page.status_code == 200
    assert page.text.count("<li>") >= len(in_turn(steelyard, ["tove", "marek"], "legs").turns)


def test_one_lifter_takes_no_turns(client: TestClient) -> None:
    assert client.get("/turns?who=tove").status_code == 422
    assert "2 to 4 different lifters" in client.get("/turns").text


def test_the_terminal_prints_whose_set_comes_when(
    steelyard: Steelyard, capsys: pytest.CaptureFixture[str]
) -> None:
    run_in_turn(
        steelyard,
        argparse.Namespace(lifters=["tove", "marek"], outline="legs", order=None, orders=False, without=[]),
    )
    told = capsys.readouterr().out
    assert "Tove Ambler (invented) and Marek Quillan (invented) in turn on Boathouse lever gym" in told
    assert told.index("Tove Ambler (invented), warm-up 1") < told.index("Marek Quillan (invented), warm-up 1")
    assert " lb felt" in told
    assert " kg felt" in told


def test_an_order_is_for_one_lifter(steelyard: Steelyard) -> None:
    with pytest.raises(OutOfRange, match="--order or --without with several lifters"):
        run_in_turn(
            steelyard,
            argparse.Namespace(lifters=["tove", "marek"], outline=None, order="1", orders=False, without=[]),
        )


def test_a_missing_plate_is_in_no_loading(steelyard: Steelyard) -> None:
    session = prepared_without(steelyard, "tove", "legs", ["10 kg"])
    assert session.notes[0] == "Without 10 kg."
    assert session.sets
    assert not any(plate.name == "10 kg" for one in session.sets for plate in one.loading.get("tip", ()))


def test_an_offer_is_what_the_session_then_saves(steelyard: Steelyard) -> None:
    for outline in steelyard.home.outlines:
        usual = steelyard.prepare("tove", outline)
        for offer in other_orders(steelyard, "tove", outline):
            taken = steelyard.prepare("tove", outline, order=offer.places)
            assert usual.lasts_s - taken.lasts_s == pytest.approx(offer.saved_s, abs=0.01)
