"""What to buy: figures by hand on small ladders, the answer in words, and where it is asked."""

from __future__ import annotations

import warnings
from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta
from math import log
from pathlib import Path

import pytest

from gyms import NOW, join, steelyard
from racks import Gym, gym_of, plate_of, post
from steelyard.__main__ import serve_page
from steelyard.cli.commands import run
from steelyard.errors import UnknownName
from steelyard.home import make_home
from steelyard.machine.examples import example_text
from steelyard.machine.felt import felt_law
from steelyard.machine.file import read_machine
from steelyard.plates.advice import Told, finer_told, finer_words, further_told, purchase_words, shift_told
from steelyard.plates.buying import Advice, Effect, Purchase, Use, purchase, standings, what_to_buy
from steelyard.plates.denominations import likely_thickness_mm, usual_plates
from steelyard.plates.example import example_text as rack_text
from steelyard.plates.file import read_inventory
from steelyard.plates.loading import Gap, ladder
from steelyard.plates.model import Inventory, Plate
from steelyard.plates.reach import felt_loads
from steelyard.plates.shifting import Shift, shift
from steelyard.plates.steps import closed, steps_within, working_range
from steelyard.units import Unit, parse_mass
from steelyard.web.app import make_app
from steelyard.workshop.buying import shopping, uses_of

with warnings.catch_warnings():  # Starlette would rather see another HTTP client under its test client
    warnings.simplefilter("ignore")
    from starlette.testclient import TestClient

RACK = read_inventory(rack_text(), "plates.toml")


def coarse() -> Gym:
    """A bare arm of 20 kg, and 20 kg felt more for each of two pairs of tens."""
    return gym_of([post()], {"10 kg": 4}, per_kg=[1.0], base_kg=20.0)


def purchase_of(gym: Gym, *names: str) -> Purchase:
    """A pair of each of these."""
    now = standings(gym.machine, [Use(gym.law)], gym.inventory)
    return purchase(gym.machine, now, gym.inventory, [plate_of(name) for name in names], 2)


def bought(gym: Gym, *names: str) -> Effect:
    """What it makes of a station to buy a pair of each of these."""
    return purchase_of(gym, *names).effects[0]


def advice(gym: Gym, units: Sequence[Unit] = tuple(Unit)) -> Advice:
    return what_to_buy(gym.machine, [Use(gym.law)], gym.inventory, units)


# ---- steps ----


def test_the_typical_step_is_the_one_that_a_load_wanted_at_random_meets() -> None:
    steps = steps_within((20.0, 40.0, 60.0), (20.0, 60.0))
    typical = (log(2) * 100 + log(1.5) * 50) / log(3)
    assert steps.largest == Gap(20.0, 40.0)
    assert steps.typical_percent == pytest.approx(typical)
    assert steps.excess_percent == pytest.approx(typical - 2.5)


def test_steps_that_are_fine_exceed_nothing() -> None:
    steps = steps_within((100.0, 102.5, 105.0), (100.0, 105.0))
    assert (steps.excess_percent, steps.wide, steps.coarse) == (0.0, (), ())


def test_a_step_that_reaches_into_the_range_counts_in_full_for_the_part_it_reaches() -> None:
    steps = steps_within((50.0, 100.0, 101.0), (80.0, 101.0))
    assert steps.largest == Gap(50.0, 100.0)
    assert steps.typical_percent == pytest.approx((log(100 / 80) * 100 + log(1.01) * 1) / log(101 / 80))


def test_parts_of_just_the_limit_close_a_step() -> None:
    wide = Gap(100.0, 105.0)
    assert closed((100.0, 102.5, 105.0), [wide], 2.5) == (wide,)
    assert closed((100.0, 102.6, 105.0), [wide], 2.5) == ()


def test_a_cable_that_bears_all_only_with_the_plates_behind_is_asked_for_each_load() -> None:
    # 20 kg in front ask 250 N of 240; 10 kg behind take 50 N off.
    horns = [post(sides=1), post("back", sides=1)]
    gym = gym_of(
        horns, {"20 kg": 1, "10 kg": 1}, per_kg=(0.8, -0.1), cable_rated_n=240.0, peaks=((50.0, (10.0, -5.0)),)
    )
    (found,) = felt_loads(gym.machine, [gym.law], gym.inventory)
    assert list(found) == [rung.felt_kg for rung in ladder(*gym)]


def test_the_working_range_lies_round_the_loads_used_and_inside_the_ladder() -> None:
    assert working_range((5.0, 50.0, 100.0)) == (30.0, 100.0)
    assert working_range((5.0, 50.0, 100.0), (40.0, 60.0)) == pytest.approx((36.0, 72.0))
    assert working_range((5.0, 50.0, 100.0), (5.0, 90.0)) == (5.0, 100.0)
    assert working_range((5.0,)) is None
    assert working_range((5.0, 6.0), (9.0, 9.0)) is None


# ---- what a purchase makes ----


def test_a_pair_of_fives_halves_the_steps() -> None:
    # 20, 40, 60 become 20, 30, 40, 50, 60 and 70.
    effect = bought(coarse(), "5 kg")
    typical = (log(3 / 2) * 50 + log(4 / 3) * 100 / 3 + log(5 / 4) * 25 + log(6 / 5) * 20) / log(3)
    assert effect.steps is not None
    assert effect.steps.largest == Gap(20.0, 30.0)
    assert effect.steps.typical_percent == pytest.approx(typical)
    assert effect.finer_percent == pytest.approx((log(2) * 100 + log(1.5) * 50) / log(3) - typical)
    assert effect.added_kg == 10.0
    assert effect.further_share == pytest.approx(1 / 6)


def test_a_step_is_closed_when_no_part_of_it_is_too_large() -> None:
    # 100, 104 and 108 become 100, 102, 104, 106, 108 and 110: both steps over 2.5 % are closed, none is over 5 %.
    gym = gym_of([post()], {"2 kg": 4}, per_kg=[1.0], base_kg=100.0)
    effect = bought(gym, "1 kg")
    assert effect.before.steps is not None
    assert (len(effect.before.steps.wide), effect.closed_wide, effect.closed_coarse) == (2, 2, 0)
    assert (bought(coarse(), "5 kg").closed_wide, bought(coarse(), "5 kg").closed_coarse) == (0, 0)


def test_a_plate_bought_twice_is_two_pairs() -> None:
    assert bought(coarse(), "5 kg", "5 kg").top_kg == 80.0


def test_the_best_plates_are_found() -> None:
    found = advice(gym_of([post()], {"10 kg": 4}, per_kg=[1.0], base_kg=100.0), [Unit.KG])
    # 100, 120, 140 with 5 kg have steps of 10: a good deal is left. With 5 and 2.5 kg they have steps of 5.
    assert purchase_words(found.finer[0]) == "a pair of 5 kg and a pair of 2.5 kg"
    assert purchase_words(found.further[0]) == "a pair of 25 kg"
    assert found.further[0].furthest.top_kg == 140.0 + 50.0


def test_of_equal_purchases_the_lightest_comes_first() -> None:
    # 100, 104 and 108 get 102 and 106, or 102.5 and 106.5: no step is over 2.5 % either way.
    gym = gym_of([post()], {"4 kg": 4}, per_kg=[0.5], base_kg=100.0)
    names = [[plate.name for plate in each.plates] for each in advice(gym, [Unit.KG]).finer]
    assert names[:2] == [["2 kg"], ["2.5 kg"]]


def test_stations_with_single_posts_need_one_plate() -> None:
    found = advice(gym_of([post(sides=1)], {"10 kg": 2}, per_kg=[1.0], base_kg=20.0))
    assert found.finer[0].count == 1
    assert purchase_words(found.finer[0]).startswith("one plate of ")


def test_a_station_without_horns_needs_no_plates() -> None:
    found = advice(gym_of([], {}))
    assert found.finer == found.further == ()
    assert finer_told(found, Unit.KG) == Told("No station here has a ladder of steps yet: any pair begins one.")


def test_the_best_single_pair_is_named_where_two_are_better() -> None:
    plates = [each.plates for each in advice(coarse(), [Unit.KG]).finer]
    assert [len(each) for each in plates] == [2, 2, 1]


# ---- candidates ----


def test_a_kind_of_the_house_is_bought_again_unless_it_was_weighed() -> None:
    five = plate_of("5 kg")
    worn = replace(plate_of("10 kg"), weighed=parse_mass("9.7 kg"))
    plates = {plate.nominal: plate for plate in usual_plates(Inventory({five: 2, worn: 2}), [Unit.KG])}
    assert plates[five.nominal] is five
    assert plates[worn.nominal].name == "new 10 kg"
    assert plates[worn.nominal].weighed is None


def test_thickness_follows_the_plates_of_the_house() -> None:
    # Usual are 16 mm for 2.5 kg and 20 mm for 5 kg. Here they are twice that and half as much again.
    house = Inventory({plate_of("2.5 kg", 32): 2, plate_of("5 kg", 30): 2})
    assert likely_thickness_mm(2.5, house) == 32
    assert likely_thickness_mm(3.75, house) == round(18 * 1.75)
    assert likely_thickness_mm(1.25, house) == 24
    assert likely_thickness_mm(10.0, house) == 42


# ---- words ----


def test_the_answer_says_what_how_many_and_how_much() -> None:
    gym = gym_of([post()], {"4 kg": 4}, per_kg=[1.0], base_kg=100.0)
    told = finer_told(advice(gym, [Unit.KG]), Unit.KG)
    assert told.answer == (
        "Buy a pair of 2 kg: closes 2 of 2 steps over 5 %, at 1 station; "
        "the largest, at Row, shrinks from 8.0 kg (8.0 %) to 4.0 kg (4.0 %)."
    )
    assert len(told.next_best) == 2


def test_where_no_step_is_closed_the_typical_one_tells() -> None:
    (first, *_) = advice(coarse(), [Unit.KG]).finer
    assert len(first.plates) == 2
    assert finer_words(purchase_of(coarse(), "5 kg")) == "makes the typical step 35.6 % instead of 81.5 %"


def test_range_is_told_with_the_limit_that_is_then_nearest() -> None:
    # The horn has 220 mm: two tens and a 25 take 28 + 28 + 44 mm; the post carries 45 of 50 kg.
    gym = gym_of([post(rated_kg=50.0)], {"10 kg": 4}, per_kg=[1.0], base_kg=20.0)
    told = further_told(advice(gym, [Unit.KG]), Unit.KG)
    assert told.answer == (
        "For more range, a pair of 25 kg adds 50.0 kg at Row, up to 110.0 kg; then tip horn at 90 % of its rating."
    )


def test_where_the_rating_holds_the_load_back_nothing_is_sold() -> None:
    gym = gym_of([post(rated_kg=20.0)], {"10 kg": 4}, per_kg=[1.0], base_kg=20.0)
    assert further_told(advice(gym), Unit.KG).answer == (
        "No pair adds range worth having. "
        "What holds it back at Row: tip horn at 100 % of its rating under the heaviest load now."
    )


def test_where_no_plate_fits_no_pair_is_sold_for_finer_steps() -> None:
    gym = gym_of([post(rated_kg=0.2)], {}, per_kg=[1.0], base_kg=20.0)
    ten = gym_of([post(rated_kg=0.4)], Inventory({Plate("tiny", parse_mass("0.4 kg"), 0.005): 2}), base_kg=0.4)
    assert finer_told(advice(gym), Unit.KG).answer.startswith("No station here has a ladder of steps yet")
    assert finer_told(advice(ten), Unit.KG).answer == (
        "No pair makes the steps finer. Row: tip horn at 100 % of its rating."
    )


def test_fine_steps_need_no_plate() -> None:
    gym = gym_of([post()], {"1 kg": 4}, per_kg=[1.0], base_kg=100.0)
    expected = "No finer plate is needed: the largest step in the working range is 2.0 kg (2.0 %) at Row."
    assert finer_told(advice(gym), Unit.KG).answer == expected


def test_sentences_are_in_the_unit_of_the_reader() -> None:
    told = further_told(advice(coarse(), [Unit.KG]), Unit.LB)
    assert told.answer.startswith("For more range, a pair of 25 kg adds 110.2 lb at Row, up to 242.5 lb;")


# ---- a second horn ----


def two_horns() -> Gym:
    """A felt load of 1 kg a pair of halves on the outer horn, and of 0.25 kg on the inner one."""
    horns = [post("outer"), post("inner")]
    return gym_of(horns, {"10 kg": 2, "5 kg": 2}, per_kg=(1.0, 0.25), base_kg=20.0)


def test_a_plate_on_an_inner_horn_makes_a_step_with_nothing_to_buy() -> None:
    # Outer alone: 20, 30, 40 and 50. With both: 20, 22.5, 25, 27.5, 30, 35, 40, 42.5 and 50.
    found = shift(*two_horns(), (20.0, 50.0))
    assert found is not None
    assert (found.main, found.others) == ("outer", ("inner",))
    assert found.alone.largest == Gap(20.0, 30.0)
    assert found.both.largest == Gap(42.5, 50.0)
    assert found.example is not None
    assert (found.example.plate.name, found.example.from_kg, found.example.to_kg) == ("5 kg", 30.0, 22.5)


def test_a_second_horn_is_told_with_its_example() -> None:
    found = shift(*two_horns(), (20.0, 50.0))
    assert found is not None
    told = shift_told(found, Unit.KG)
    assert told.startswith("Row: plates on inner already make finer steps, with nothing to buy. On outer alone")
    assert told.endswith("Moving 5 kg from outer to inner, 30.0 kg becomes 22.5 kg.")


def test_one_horn_has_nothing_to_shift() -> None:
    assert shift(*coarse(), (20.0, 60.0)) is None


def test_the_twin_arms_have_their_fine_steps_from_the_inner_peg() -> None:
    machine = read_machine(example_text("twin-arms"), "twin-arms.toml")
    found = shift(machine, felt_law(machine, machine.stations["row"]), RACK, (13.5, 48.0))
    assert isinstance(found, Shift)
    assert found.example is not None
    assert (found.example.main, found.example.other) == ("outer", "inner")


# ---- asked by people ----


def test_without_a_lifter_all_stations_on_arms_are_looked_at() -> None:
    use = steelyard()
    names = [each.law.station.name for each in uses_of(use, None)]
    assert names == [name for name, station in use.gym.machine.stations.items() if station.arm]


def test_a_lifter_s_sets_tell_the_stations_and_their_loads() -> None:
    use = steelyard()
    who = join(use)
    for kg, at in (("20 kg", NOW - timedelta(weeks=30)), ("10 kg", NOW - timedelta(weeks=1)), ("15 kg", NOW)):
        use.log_loose(who, "lever_row_chest", {"tip": (kg,)}, 8, rir=2, at=at)
    (found,) = uses_of(use, who)
    loads = use.gym.loads(found.law.station)
    felt = {plate: loads.law.base_kg + 2 * loads.law.shares[0].per_kg * plate for plate in (10.0, 15.0)}
    assert found.law.station.name == "row-chest"
    assert found.used_kg == pytest.approx((felt[10.0], felt[15.0]), abs=0.001)


def test_a_lifter_without_sets_is_asked_by_the_outlines() -> None:
    use = steelyard()
    found = {each.law.station.name for each in uses_of(use, join(use))}
    assert found < {name for name, station in use.gym.machine.stations.items() if station.arm}


def test_a_station_that_is_not_there_is_refused() -> None:
    with pytest.raises(UnknownName, match="station 'rwo' is not known; did you mean row"):
        shopping(steelyard(), stations=["rwo"])


def test_shopping_looks_at_the_stations_named() -> None:
    assert shopping(steelyard(), stations=["low-pulley", "curl"]).stations == ("Curl pad", "Low pulley")


def test_the_terminal_prints_both_answers(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    make_home(tmp_path / "gym")
    words = ["--home", str(tmp_path / "gym"), "buy", "--station", "row", "--cast-in", "kg"]
    assert run(words, serve_page=serve_page) == 0
    printed = capsys.readouterr().out
    assert printed.startswith(
        "Looked at: Lever row.\n\nNo step is over 5 %. To go finer still, buy a pair of 0.5 kg"
    )
    assert "  next best: a pair of 1 kg: closes" in printed
    assert "No pair adds range worth having. What holds it back at Lever row: tip horn at 99 %" in printed


# ---- on the page ----


def test_the_plates_page_works_nothing_out_unless_asked() -> None:
    with TestClient(make_app(steelyard())) as client:
        page = client.get("/plates").text
    assert "What to buy next" in page
    assert "closes" not in page
    assert 'href="/plates?buy=1#buy"' in page


def test_the_plates_page_answers_for_everyone_and_for_one() -> None:
    use = steelyard()
    use.log_loose(join(use), "lever_row_chest", {"tip": ("10 kg",)}, 8, rir=2)
    with TestClient(make_app(use)) as client:
        everyone, one = client.get("/plates?buy=1").text, client.get("/plates?buy=1&lifter=ida").text
        assert client.get("/plates?buy=1&lifter=nobody").status_code == 404
    assert "For Lever row, Chest-supported row, Deadlift handles" in everyone
    assert "For what Ida lifts at Chest-supported row." in one
    assert "Buy a pair of " in one
