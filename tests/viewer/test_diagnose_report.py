"""A diagnosis on paper: what nothing tells apart is printed once, with the chance of one place and all places named."""

from pathlib import Path

import pytest

from geometry.diagnose.contradictions import settled
from geometry.diagnose.felt import Felt
from geometry.diagnose.felt_words import read_told
from geometry.diagnose.ranking import diagnose
from tests.geometry.diagnose.test_likelihood import mistake
from viewer.cli import main
from viewer.reports.diagnosis import Taken, answer, percent, print_diagnosis

KNOT = Path(__file__).parents[2] / "demo_engines" / "knot.toml"
EIGHT = tuple(mistake("ring_gap", bore, when_hot=True) for bore in range(1, 9))
ONE = mistake("cap", 2, heavy=True)
FELT = Felt(heavy=True, when_hot=True)


def test_eight_bores_that_are_alike_are_printed_once(capsys):
    found = diagnose(FELT, (*EIGHT, ONE), 8, 5)
    print_diagnosis("Made up", found, 2)
    lines = capsys.readouterr().out.splitlines()
    heads = [line for line in lines if line[:2] in ("1.", "2.")]
    assert heads[0].split("each")[1].strip() == "ring gap, any bore"
    # Nine mistakes are equally likely at first, and nothing tells the eight apart: each has less than an eighth.
    each = found.alike[0].causes[0].chance
    assert percent(each) in heads[0]
    assert each < 1 / 8
    assert not any("ring gap" in line for line in heads[1:])


def test_both_orders_are_in_the_data():
    found = diagnose(FELT, (*EIGHT, ONE), 8, 5)
    document = answer(found, 3)
    assert [cause["parts"][0]["bore"] for cause in document["causes"]] == [1, 2, 3]
    first = document["alike"][0]
    assert first["mistakes"] == ["ring_gap"]
    assert first["places"] == [[[bore]] for bore in range(1, 9)]
    assert first["everywhere"] is True
    assert document["alike"][1]["everywhere"] is False
    assert abs(first["chance_together"] - 8 * first["chance_of_each"]) < 1e-5
    assert first["chance_of_each"] == document["causes"][0]["chance"]


def test_what_was_set_aside_comes_first_and_then_what_was_not_in_yet(capsys):
    felt, aside = settled(read_told("stops; turns freely; after 2", float), True)
    found, taken = diagnose(felt, (*EIGHT, ONE), 8, 5), Taken(aside)
    print_diagnosis("Made up", found, 2, taken=taken)
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].startswith('Contradiction: "stops" and "turns freely" cannot both be: ')
    assert lines[2] == (
        "Not in yet when it began, so not the cause: bores 3, 4, 5, 6, 7 and 8 "
        "(by number). If they went in otherwise, say --order 1,3,5, and so on."
    )
    document = answer(found, 2, taken)
    assert document["contradictions"][0]["set_aside"] == "turns freely"
    assert document["not_in_yet"]["bores"] == [3, 4, 5, 6, 7, 8]
    assert document["not_in_yet"]["order_is"] == "numbers"


@pytest.mark.parametrize(
    "options, said",
    [
        (("--felt", "head on; head off"), '"head on" and "head off": cannot both be; the head is on or off'),
        (("--free", "--bound"), '"--bound" and "--free": cannot both be'),
        (("--bound", "--order", "1,2"), "there is no bore 2; write for example 1"),
        (("--felt", "siezed"), 'siezed: is not understood; did you mean "seized"?'),
    ],
)
def test_what_cannot_be_is_refused_in_one_line(options, said, capsys, monkeypatch):
    monkeypatch.setattr("sys.argv", ["fullturn", "diagnose", str(KNOT), *options])
    with pytest.raises(SystemExit) as left:
        main()
    told = capsys.readouterr()
    assert left.value.code == 2
    assert said in told.err
    assert len(told.err.splitlines()) == 1
    assert not told.out
