"""A diagnosis on paper: what nothing tells apart is printed once, with the chance of one place and all places named."""

from geometry.diagnose.felt import Felt
from geometry.diagnose.ranking import diagnose
from tests.geometry.diagnose.test_likelihood import mistake
from viewer.reports.diagnosis import answer, percent, print_diagnosis

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
