"""What to measure next and how likely trouble is, as a builder and a customer read it."""

from __future__ import annotations

import json
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from geometry.doubts.box import Coordinate
from geometry.doubts.chance import Probability, chance
from geometry.doubts.next_measure import Plan, what_next
from geometry.doubts.stacks import stacks
from tests.geometry.doubts.linear import answer, means, value
from viewer.cli import main
from viewer.commands.measure import list_measures, next_lines, tell_chance
from viewer.job import read_job
from viewer.reports.chance import chance_json, customer_words, odds_words, print_chance
from viewer.reports.measure import answer_words, first_lines, measures_json, print_measures

KNOT = str(Path(__file__).parents[2] / "demo_engines" / "knot.toml")
DIMENSIONS = {"rod.length": "length", "deck.height": "length"}


def _values() -> list[Coordinate]:
    return [value("rod.length", 144.0, 146.0), value("deck.height", 229.0, 231.0)]


def _plan(count: int = 2) -> Plan:
    values = _values()
    answers = [
        replace(answer("rod bolt, bore 3 : pan rail", -144.5, {"rod.length": 1.0}, values), bore=3),
        answer("deck", -85.5, {"rod.length": -1.0, "deck.height": 1.0}, values),
    ]
    ways = {
        "rod.length": means(3.0, 0.05, "rod"),
        "deck.height": replace(means(15.0, 0.05, "block"), instrument="height_gauge"),
    }
    answers[1] = replace(answers[1], margin=0.5, margin_lowest=-1.5, margin_highest=2.5)
    return what_next(answers[:count], values, ways, 1e9)


def test_five_lines_under_a_check():
    lines = first_lines(_plan(), DIMENSIONS, "mm")
    assert lines[1] == "  1  rod.length 145.00 mm, may be 144.00 mm to 146.00 mm: caliper, 3 min"
    assert lines[2].startswith(
        "  2  deck.height 230.00 mm, may be 229.00 mm to 231.00 mm: height gauge on a plate, 15"
    )
    assert lines[-1].endswith("`check --measure` says how each is measured and what it settles")
    assert first_lines(_plan(0), DIMENSIONS, "mm") == []
    assert "and 1 more" in first_lines(_plan(), DIMENSIONS, "mm", 1)[-1]


def test_every_entry_says_how_how_closely_and_what_it_settles(capsys):
    print_measures("Tern", _plan(), DIMENSIONS, "mm")
    told = capsys.readouterr().out
    for words in (
        " 1  rod.length 145.00 mm, may be 144.00 mm to 146.00 mm", "    by hand\n",
        "needed within 0.250 mm; caliper, 3 min", "settles up to 2; the worst: deck",
        "[measuring]",
    ):  # fmt: skip
        assert words in told
    assert max(map(len, told.splitlines())) <= 100


def test_nothing_open_is_said_so(capsys):
    print_measures("Tern", _plan(0), DIMENSIONS, "mm")
    assert "Nothing to measure: no verdict is open." in capsys.readouterr().out


def test_the_plan_as_json():
    first = measures_json(_plan(), DIMENSIONS)[0]
    assert (first["key"], first["nominal"], first["minutes"]) == ("rod.length", 145.0, 3.0)
    assert first["answers"][0]["name"] == "deck"  # 5 in 8 of its interval are within, of the bolt's 3 in 4
    assert first["answers"][1] == {"section": "clearances", "name": "rod bolt, bore 3 : pan rail", "bore": 3}


@pytest.mark.parametrize(
    "share,words",
    [
        (0.03, "3 in 100"), (0.123, "12 in 100"), (0.0281, "2.8 in 100"), (0.004, "4 in 1 000"),
        (0.0003, "3 in 10 000"), (0.00002, "2 in 100 000"), (0.999, "more than 99 in 100"), (0.5, "50 in 100"),
    ],
)  # fmt: skip
def test_a_probability_in_words(share, words):
    assert odds_words(share) == words


def test_a_customer_hears_how_many_in_a_hundred():
    """One value uniform over 0 to 1 and a limit at 0.97: 3 in 100."""
    values = [value("v", 0.0, 1.0)]
    trouble = chance([answer("rod to wall", 0.97, {"v": -1.0}, values)], values, sets=100_000)
    said = " ".join(customer_words(trouble))
    assert said.startswith(
        "About 3 in 100 such sets of parts would be outside a limit, most likely rod to wall."
    )
    assert "between 2.9 % and 3.1 %" in said


def test_none_seen_is_never_called_impossible():
    values = [value(f"v{k}", 0.0, 1.0) for k in range(6)]
    trouble = chance([answer("a", 5.999, {v.key: -1.0 for v in values}, values)], values, sets=1000)
    (said,) = customer_words(trouble)
    assert said == "None of 1 000 such sets of parts was outside a limit: at most 3 in 1 000 would be."
    sure = replace(trouble, in_all=Probability(0.0, 0.0, 0.0))
    assert list(customer_words(sure)) == ["No such set of parts is outside a limit, whatever the doubt."]


def test_bores_that_read_alike_are_one_row(capsys):
    values = [value("v", 0.0, 1.0), replace(value("w", -1.0, 1.0), assumed=False)]
    one = answer("rod bolt : pan rail", 0.9, {"v": -1.0, "w": 0.01}, values)
    answers = [replace(one, name=f"rod bolt, bore {bore} : pan rail", bore=bore) for bore in (1, 2, 3)]
    trouble = chance(answers, values)
    print_chance("Tern", trouble, stacks(answers, values, trouble.spreads), "mm")
    told = capsys.readouterr().out
    assert "bores 1, 2, 3: rod bolt to pan rail" in told
    assert "v 100 %" in told
    assert "1 value anywhere" in told
    assert "seed 1" in told
    found = chance_json(trouble, stacks(answers, values, trouble.spreads))
    assert (found["sets"], found["spreads"]["w"]) == (10_000, "normal")
    assert found["each"][0]["worst_case"] == pytest.approx([-0.11, 0.91])


def test_an_answer_names_its_bore_first():
    plain = answer("deck", 0.0, {}, [])
    assert answer_words(replace(plain, bore=3)) == "bore 3: deck"
    assert (
        answer_words(replace(plain, name="valve, bore 1 : bore wall, bore 1", bore=1))
        == "bore 1: valve to bore wall"
    )
    assert answer_words(replace(plain, name="rod, bore 12 : pan", bore=1)) == "bore 1: rod, bore 12 to pan"


@pytest.mark.parametrize(
    "options,words",
    [
        (["--measure", "--chance"], "--measure and --chance do not go together"),
        (["--chance", "--curve", "a:b"], "--chance and --curve do not go together"),
        (["--measure", "--want", "compression=10", "--by", "rod.length"], "--want and --measure do not go together"),
        (["--seed", "3"], "--seed is what --chance draws its sets from"),
        (["--chance", "7"], "7 is not from 100"),
    ],
)  # fmt: skip
def test_options_that_do_not_go_together(monkeypatch, capsys, options, words):
    monkeypatch.setattr(sys, "argv", ["fullturn", "check", KNOT, *options])
    with pytest.raises(SystemExit) as left:
        main()
    assert left.value.code == 2
    assert words in capsys.readouterr().err


def test_a_real_engine_with_one_gasket_in_doubt(capsys):
    """Valves stand 1.778 above the piston at nominal and need 1.778 (0.070 in): the gasket alone decides that."""
    job = read_job(Path(KNOT), None, ('gasket.thickness="about 0.045 in"',))
    list_measures(job, "Knot", json=True)
    (only,) = json.loads(capsys.readouterr().out)["measure_next"]
    assert (only["key"], only["instrument"], only["dimension"]) == (
        "gasket.thickness",
        "micrometer",
        "length",
    )
    assert {answer["section"] for answer in only["answers"]} == {"clearances"}
    tell_chance(job, "Knot", 2000, 5, json=True)
    found = json.loads(capsys.readouterr().out)["chance"]
    worst = found["each"][0]
    assert worst["shares"] == {"gasket.thickness": 1.0}
    # one value, uniform: outside is what lies below the limit of all that it may be
    low, high = worst["worst_case"]
    assert worst["probability"] == pytest.approx(-low / (high - low), abs=0.05)
    assert found["in_all"]["low"] <= found["in_all"]["probability"] <= found["in_all"]["high"]
    assert next_lines(job)[1].startswith("  1  gasket.thickness 0.045 in")
    list_measures(job, "Knot", json=False)
    assert capsys.readouterr().out.startswith(
        "1 of "
    )  # values is assumed: the first line of all that rests on one


def test_nothing_in_doubt(capsys):
    job = read_job(Path(KNOT))
    tell_chance(job, "Knot", 2000, 5, json=False)
    assert "Nothing is in doubt" in capsys.readouterr().out
    list_measures(job, "Knot", json=False)
    assert "Nothing to measure: no verdict is open." in capsys.readouterr().out
    assert next_lines(job) == []
