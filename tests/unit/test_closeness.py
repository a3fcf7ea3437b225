"""How near a loading comes to each limit: figures by hand, and the words for them."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest

from gyms import NOW, boathouse, join, known_at, lifter, outline_of, steelyard
from racks import gym_of, plate_of, post
from steelyard.__main__ import serve_page
from steelyard.cli.commands import run
from steelyard.cli.text import session_lines
from steelyard.home import make_home
from steelyard.live.bench import bench_for
from steelyard.live.card import Shared, card
from steelyard.machine.model import Machine
from steelyard.plates.closeness import Closeness, Kind, closeness, nearest_limit, user_closeness
from steelyard.plates.model import Loading
from steelyard.training.model import PreparedSession
from steelyard.training.nearness import near_words, nearest_rating
from steelyard.training.prepare import prepare
from steelyard.training.together import Turn
from steelyard.units import Unit
from steelyard.web.shown import blocks

TWENTY, FIVE = plate_of("20 kg"), plate_of("5 kg")
HOUSE = {"20 kg": 4, "5 kg": 2}
LOADING: Loading = {"tip": (TWENTY, FIVE)}


def shares(*found: Closeness) -> dict[str, float]:
    return {each.name: each.share for each in found}


def test_every_limit_that_is_stated_has_its_share() -> None:
    # On a post 25 of 40 kg and 35 + 20 mm of 110 - 30 mm; on the arm 2 x 25 of 80 kg; of 200 N 50 + 25 x 4 at rest
    # and 60 + 25 x 5 in motion.
    gym = gym_of(
        [post(length_mm=110, collar_m=0.03, rated_kg=40.0)],
        HOUSE,
        arm={"rated_plates_kg": 80.0},
        cable_rated_n=200.0,
        peaks=((50.0, (4.0,)),),
        moving=((60.0, (5.0,)),),
    )
    assert shares(*closeness(gym.machine, gym.law, LOADING)) == {
        "room on horn tip": 55 / 80,
        "mass on one post of horn tip": 25 / 40,
        "plates on arm main": 50 / 80,
        "cable tension": 150 / 200,
        "cable tension in motion": 185 / 200,
    }


def test_a_limit_that_is_not_stated_has_no_share() -> None:
    gym = gym_of([post()], HOUSE)
    assert list(shares(*closeness(gym.machine, gym.law, LOADING))) == ["room on horn tip"]


def test_one_arm_of_a_pair_counts_its_own_posts() -> None:
    pair = gym_of([post()], HOUSE, arm={"rated_plates_kg": 50.0, "paired": True})
    assert shares(*closeness(pair.machine, pair.law, LOADING))["plates on arm main"] == 0.5


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        (Kind.POST, "tip horn at 86 % of its rating"),
        (Kind.ROOM, "tip horn full to 86 %"),
        (Kind.ARM, "arm tip at 86 % of its rating"),
        (Kind.CABLE, "cable at 86 % of its rating"),
        (Kind.MOVING, "cable in a brisk raise at 86 % of its rating"),
        (Kind.USER, "user at 86 % of its rating"),
    ],
)
def test_words_name_what_is_near(kind: Kind, words: str) -> None:
    assert Closeness(kind, "tip", 869, 1000).words == words


def test_what_is_used_is_shown_in_the_unit_of_its_kind() -> None:
    assert Closeness(Kind.POST, "tip", 45_250, 90_000).shown == ("45.25 kg", "90 kg")
    assert Closeness(Kind.ROOM, "tip", 72_000, 220_000).shown == ("72 mm", "220 mm")
    assert Closeness(Kind.MOVING, "high", 1_000_000, 2_451_663).shown == (
        "1000.0 N (101.97 kg)",
        "2451.7 N (250.00 kg)",
    )


def test_just_below_a_rating_is_not_called_all_of_it() -> None:
    assert Closeness(Kind.POST, "tip", 89_999, 90_000).percent == 99
    assert Closeness(Kind.POST, "tip", 90_000, 90_000).percent == 100


def test_where_nothing_may_be_used_something_is_too_much() -> None:
    assert Closeness(Kind.ROOM, "tip", 0, 0).share == 1.0
    assert Closeness(Kind.ROOM, "tip", 0, -5).share == math.inf
    assert Closeness(Kind.ROOM, "tip", 0, 0).percent == 100


def test_the_nearest_limit_is_the_first_of_equals() -> None:
    horn, arm = Closeness(Kind.POST, "tip", 45, 90), Closeness(Kind.ARM, "main", 90_001, 180_000)
    assert nearest_limit((horn, arm)) == horn
    assert nearest_limit((horn, Closeness(Kind.ARM, "main", 95, 180))).kind is Kind.ARM  # type: ignore[union-attr]
    assert nearest_limit(()) is None


def test_the_user_is_near_as_the_label_says() -> None:
    assert user_closeness(Machine("Bench", {}, {}, {}), 90.0) is None
    near = user_closeness(Machine("Bench", {}, {}, {}, rated_user_kg=120.0), 90.0)
    assert near is not None
    assert near.share == 0.75
    assert near.name == "user mass"


# ---- in a session ----

ROWS = outline_of('do = "lever_row_chest"\nreps = [10, 12]\nrir = [1]')


def rows_of(maximum_kg: float, body_mass_kg: float = 70.0) -> PreparedSession:
    past = known_at({"lever_row_chest": maximum_kg})
    return prepare(boathouse(), ROWS, lifter(body_mass_kg=body_mass_kg), past, now=NOW)


def test_a_heavy_set_says_how_near_it_comes_to_a_rating() -> None:
    heaviest = max(rows_of(215.0).sets, key=lambda one: one.felt_kg)
    on_post = sum(plate.mass.kg for plate in heaviest.loading["tip"])
    assert on_post > 0.8 * 90
    assert near_words(heaviest) == f"tip horn at {int(100 * on_post / 90)} % of its rating"


def test_a_light_set_says_nothing() -> None:
    assert {near_words(one) for one in rows_of(90.0).sets} == {""}


def test_a_session_far_from_every_rating_says_nothing() -> None:
    assert rows_of(15.0).closest == ""


def test_the_session_names_its_closest_approach() -> None:
    session = rows_of(90.0)
    heaviest = max(sum(plate.mass.kg for plate in one.loading.get("tip", ())) for one in session.sets)
    name = boathouse().exercises["lever_row_chest"].name
    assert (
        session.closest == f"Closest to a rating: {name}, tip horn at {int(100 * heaviest / 90)} % of its rating."
    )


def test_a_heavy_lifter_is_told_how_near_the_label_is() -> None:
    # The boathouse is rated for 150 kg.
    assert rows_of(90.0, body_mass_kg=141.0).closest.endswith(
        "The machine carries its user at 94 % of its rating."
    )
    assert "user" not in rows_of(90.0, body_mass_kg=110.0).closest


def test_the_terminal_says_it_too() -> None:
    session = rows_of(215.0)
    printed = "\n".join(session_lines(session, boathouse(), Unit.KG, "Ida"))
    assert session.closest in printed
    assert "\n          tip horn at " in printed


def test_the_page_of_the_prepared_session_has_it_at_the_set() -> None:
    session = rows_of(215.0)
    (block,) = blocks(boathouse(), session, 70.0, Unit.KG)
    assert [line.near for line in block.lines] == [near_words(one) for one in session.sets]
    assert any(line.near for line in block.lines)


# ---- on the terminal ----


@pytest.fixture
def folder(tmp_path: Path) -> str:
    make_home(tmp_path / "gym")
    return str(tmp_path / "gym")


def test_limits_lists_what_is_used_and_rated(folder: str, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["--home", folder, "machine", "limits", "row", "--plates", "tip=20 kg,10 kg"]
    assert run(words, serve_page=serve_page) == 0
    assert capsys.readouterr().out == (
        "row: Lever row\n"
        "  room on horn tip: 64 mm of 220 mm, 29 %\n"
        "  mass on one post of horn tip: 30 kg of 90 kg, 33 %\n"
        "  plates on arm main: 60 kg of 180 kg, 33 %\n"
    )


def test_limits_refuses_plates_that_break_one(folder: str, capsys: pytest.CaptureFixture[str]) -> None:
    plates = "tip=20 kg,20 kg,45 lb old,15 kg,10 kg,10 kg"
    words = ["--home", folder, "machine", "limits", "row", "--plates", plates]
    assert run(words, serve_page=serve_page) == 1
    out, err = capsys.readouterr()
    assert out == ""
    assert "mass on one post of horn tip would be 95.003 kg; it must not exceed 90 kg" in err


def test_limits_of_all_stations_skip_the_horns_of_others(folder: str, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["--home", folder, "machine", "limits", "--plates", "tip=20 kg"]
    assert run(words, serve_page=serve_page) == 0
    out = capsys.readouterr().out
    assert "  mass on one post of horn pin: 0 kg of 50 kg, 0 %" in out
    assert "  cable tension in motion: " in out


def test_limits_of_a_lifter_begin_with_the_user_s(folder: str, capsys: pytest.CaptureFixture[str]) -> None:
    for words in (["lifter", "add", "ida", "--name", "Ida", "--months", "9"], ["lifter", "weigh", "ida", "75 kg"]):
        run(["--home", folder, *words], serve_page=serve_page)
    capsys.readouterr()
    run(["--home", folder, "machine", "limits", "inverted-row", "--lifter", "ida"], serve_page=serve_page)
    assert capsys.readouterr().out.startswith("  user mass: 75 kg of 150 kg, 50 %\ninverted-row: ")


def test_a_set_near_a_rating_says_so_at_the_machine() -> None:
    use = steelyard()
    join(use)
    view = use.session(use.start_session("ida", "pull"))
    assert view.current is not None
    loads = use.gym.loads(use.gym.machine.stations[view.current.station])
    heaviest = nearest_rating(use.gym.machine, loads.law, loads.ladder[-1].loading)
    near = replace(view.current, nearest=heaviest)
    bench = bench_for(use.gym, near, None, Unit.KG)
    assert (
        card(bench, view, Turn(view.lifter.lifter, near), {}, Shared())["near"] == "tip horn at 99 % of its rating"
    )
