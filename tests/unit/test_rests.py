"""Rest studies read from CSV and scored."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from steelyard.cli.commands import run
from steelyard.errors import DamagedFile
from steelyard.proving.rests import Kind, people_of, score_rests
from steelyard.strength.recovery import ADOLESCENTS, BOYS, MEN, WOMEN, StraightSets, mean_reps

HEAD = "study,group,exercise,load,nrm,cap,n_sets,rest_s,quantity,mean"
GOOD = "Doe 2020,men,row,10RM,10,,3,120,total,21.0"


def scored(*rows: str, head: str = HEAD) -> list[float]:
    return [score.predicted for score in score_rests("\n".join((head, *rows)), "rests.csv").scores]


def test_every_kind_of_quantity_is_predicted() -> None:
    start = "Doe 2020,men,row,10RM,10,,3,120"
    first, second, third = mean_reps(StraightSets(10.0, 3, 120.0), MEN)
    short = sum(mean_reps(StraightSets(10.0, 3, 60.0), MEN))
    asked = ("total", "set_1", "set_3", "frac_2", "ratio_60")
    total = first + second + third
    wanted = [total, first, third, second / first, total / short]
    assert scored(*(f"{start},{quantity},1" for quantity in asked)) == pytest.approx(wanted)


def test_a_residual_is_predicted_less_observed() -> None:
    (score,) = score_rests(f"{HEAD}\n{GOOD}", "rests.csv").scores
    assert score.residual == pytest.approx(score.predicted - 21.0)


def test_errors_are_kept_apart_by_kind_and_role() -> None:
    rows = ("A,men,10,,3,120,total,0,fit", "A,men,10,,3,120,total,999,ref", "A,men,10,,3,120,frac_1,1.5,fit")
    scores = score_rests("\n".join(("study,group,nrm,cap,n_sets,rest_s,quantity,mean,role", *rows)), "rests.csv")
    assert scores.rmse(Kind.TOTAL, role="fit") == pytest.approx(scores.scores[0].predicted)
    assert scores.rmse(Kind.FRACTION) == pytest.approx(0.5)
    assert scores.rmse(Kind.RATIO) is None
    assert scores.roles == ("fit", "ref")


def test_comments_and_empty_lines_are_skipped() -> None:
    text = f"# a comment, with commas\n\n{HEAD}\n# another\n{GOOD}\n\n"
    assert [score.row.line for score in score_rests(text, "rests.csv").scores] == [5]


def test_the_order_of_columns_is_free() -> None:
    turned = scored("21,total,120,3,,10,men,Doe", head="mean,quantity,rest_s,n_sets,cap,nrm,group,study")
    assert turned == scored(GOOD)


@pytest.mark.parametrize(("load", "reps"), [("12RM", 12.0), ("75%1RM", 10.83), ("80 %", 8.25), ("50%1RM", 31.5)])
def test_without_its_reps_a_load_stands_for_them(load: str, reps: float) -> None:
    assert scored(f"Doe,men,row,{load},,,3,120,set_1,10") == pytest.approx([reps], abs=0.01)


@pytest.mark.parametrize("load", ["", "heavy", "0RM", "100%1RM or so", "20%1RM"])
def test_without_its_reps_another_load_is_refused(load: str) -> None:
    with pytest.raises(DamagedFile, match="or blank beside a load such as 10RM or 75%1RM"):
        scored(f"Doe,men,row,{load},,,3,120,set_1,10")


def test_a_cap_holds_every_set_down() -> None:
    assert scored("Doe,men,row,15RM,15,10,3,120,set_1,10") == pytest.approx([10.0], abs=0.01)


@pytest.mark.parametrize(
    ("group", "whose"),
    [
        ("men", MEN),
        ("trained men", MEN),
        ("mixed", MEN),
        ("women", WOMEN),
        ("untrained-women", WOMEN),
        ("Older Women", WOMEN),
        ("female", WOMEN),
        ("adolescent boys", ADOLESCENTS),
        ("teens", ADOLESCENTS),
        ("male adolescents", ADOLESCENTS),
        ("boys", BOYS),
        ("lifters", None),
    ],
)
def test_groups_are_known_by_their_words(group: str, whose: object) -> None:
    assert people_of(group) == whose


def test_an_unknown_group_is_taken_as_men_and_said_so() -> None:
    scores = score_rests(
        f"{HEAD}\n{GOOD.replace('men', 'lifters')}\n{GOOD.replace('men', 'lifters')}", "rests.csv"
    )
    assert [score.predicted for score in scores.scores] == pytest.approx(scored(GOOD) * 2)
    assert len(scores.notes) == 1
    assert scores.notes[0].startswith("group 'lifters' is not known, taken as men; known: men, ")


def test_near_the_maximum_a_note_warns() -> None:
    scores = score_rests(f"{HEAD}\nDoe 2020,men,row,2RM,2,,3,120,total,4", "rests.csv")
    assert scores.notes == ("Doe 2020: fewer than 3 reps in a fresh set, where the model is too pessimistic",)


@pytest.mark.parametrize(
    ("place", "value", "shown"),
    [
        (4, "ten", "line 2, nrm is 'ten'; it must be a number from 1 to 100"),
        (4, "nan", "line 2, nrm is 'nan'"),
        (5, "2.5", "line 2, cap is '2.5'; it must be a whole number from 1 to 100"),
        (5, "0", "line 2, cap is '0'"),
        (6, "0", "line 2, n_sets is '0'; it must be a whole number from 1 to 20"),
        (6, "1e9", "line 2, n_sets is '1e9'"),
        (7, "-1", "line 2, rest_s is '-1'; it must be a number from 0 to 3600"),
        (7, "inf", "line 2, rest_s is 'inf'"),
        (
            8,
            "set_4",
            "line 2, quantity is 'set_4'; it must be total, set_K or frac_K with K up to 3, or ratio_REF",
        ),
        (8, "set_0", "line 2, quantity is 'set_0'"),
        (8, "ratio_0", "line 2, quantity is 'ratio_0'"),
        (8, "ratio_9999", "line 2, quantity is 'ratio_9999'"),
        (8, "sum", "line 2, quantity is 'sum'"),
        (9, "many", "line 2, mean is 'many'; it must be a number from 0 to 2000"),
        (9, "-1", "line 2, mean is '-1'"),
    ],
)
def test_a_bad_cell_is_named_with_what_is_accepted(place: int, value: str, shown: str) -> None:
    cells = GOOD.split(",")
    cells[place] = value
    with pytest.raises(DamagedFile) as refused:
        scored(",".join(cells))
    assert str(refused.value).startswith(f"rests.csv: {shown}")


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("", "the file is empty; it must be CSV with the columns study, group, nrm, "),
        ("# only a comment", "the file is empty"),
        (HEAD, "line 1 is the last line; it must be followed by at least one row"),
        (HEAD.replace("rest_s", "rest") + f"\n{GOOD}", "line 1, column rest_s is missing"),
        (f"{HEAD}\n{GOOD},more", "line 2 is of 11 columns; it must be of 10, as the first"),
        (f'{HEAD}\n"{GOOD}', "line 2 is not CSV ("),
    ],
)
def test_a_broken_file_is_named_by_its_line(text: str, shown: str) -> None:
    with pytest.raises(DamagedFile) as refused:
        score_rests(text, "rests.csv")
    assert str(refused.value).startswith(f"rests.csv: {shown}")
    assert "\n" not in str(refused.value)


def printed(capsys: pytest.CaptureFixture[str], file: Path) -> list[str]:
    assert run(["proving", "rests", str(file)], serve_page=nobody_serves) == 0
    return capsys.readouterr().out.splitlines()


def nobody_serves(*_: object) -> None:
    raise AssertionError("no page was asked for")


def test_the_command_prints_a_line_a_figure_and_the_errors(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "rests.csv"
    file.write_text(f"{HEAD}\n{GOOD}\n{GOOD.replace('total,21.0', 'frac_2,0.6')}\n", encoding="utf-8")
    head, first, second, empty, errors = printed(capsys, file)
    assert head.split() == ["study", "group", "rest", "figure", "observed", "predicted", "off", "by"]
    assert [line.split()[5] for line in (first, second)] == ["total", "frac_2"]
    assert empty == ""
    assert re.fullmatch(r"root mean square error, 2 rows: totals \d\.\d{3} reps, fractions 0\.\d{3}", errors)


def test_the_command_says_the_errors_of_each_role(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "rests.csv"
    file.write_text(f"{HEAD},role\n{GOOD},fit\n{GOOD.replace('men', 'lifters')},\n", encoding="utf-8")
    *_, fit, unsaid, everything, note = printed(capsys, file)
    assert fit.startswith("root mean square error, role fit: totals ")
    assert unsaid.startswith("root mean square error, role not said: totals ")
    assert everything.startswith("root mean square error, all rows: totals ")
    assert note.startswith("note: group 'lifters' is not known")
