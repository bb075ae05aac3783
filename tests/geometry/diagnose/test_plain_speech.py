"""What a builder says at the bench is understood as it is meant, and a slip of the pen gets the nearest word."""

import pytest

from geometry.diagnose.felt import Felt
from geometry.diagnose.felt_words import EXAMPLES, read_felt, read_told
from geometry.errors import InputError

KNOCKS = frozenset({"knocks"})


def top(bore):
    return 100.0 * bore


@pytest.mark.parametrize(
    "words, felt",
    [
        ("seized", Felt(bound=True)),
        ("it is seized up", Felt(bound=True)),
        ("won't turn", Felt(bound=True)),
        ("wont turn", Felt(bound=True)),
        ("locked up", Felt(bound=True)),
        ("can't turn it", Felt(bound=True)),
        ("heavy all round", Felt(heavy=True)),
        ("grinds all round", Felt(heavy=True)),
        ("spins freely", Felt(free=True)),
        ("stops", Felt(in_places=True)),
        ("locks", Felt(in_places=True)),
        ("hard spot", Felt(in_places=True)),
        ("there is a tight spot", Felt(in_places=True)),
        ("it grinds once a turn", Felt(in_places=True, period_deg=360.0)),
        ("solid once a turn", Felt(in_places=True, period_deg=360.0)),
        ("tight spot at 75", Felt(tight_deg=(75.0,))),
        ("hard spot near 75", Felt(tight_deg=(75.0,))),
        ("locks up at 75", Felt(tight_deg=(75.0,))),
        ("grinds at 75", Felt(tight_deg=(75.0,))),
        ("stuck at 75", Felt(tight_deg=(75.0,))),
        ("stops hard at 20 after top of 3 once a turn", Felt(tight_deg=(320.0,), period_deg=360.0)),
        ("knocks once a turn", Felt(running=KNOCKS, period_deg=360.0)),
        ("after 3", Felt(after_bore=3)),
        ("since piston 3 went in", Felt(after_bore=3)),
        ("when I torque rod 3", Felt(after_bore=3)),
        ("on torquing the rod bolts of 3", Felt(after_bore=3)),
        ("after I tightened main cap 2", Felt(after_main=2)),
        ("locks at 75, once a turn, after 3", Felt(tight_deg=(75.0,), period_deg=360.0, after_bore=3)),
        ("tight at 75, 80 and 100", Felt(tight_deg=(75.0, 80.0, 100.0))),
    ],
)
def test_plain_speech(words, felt):
    assert read_felt(words, top) == felt


@pytest.mark.parametrize(
    "clause, better",
    [
        ("siezed", '"seized"'),
        ("tigt spot at 75", '"tight spot at 75"'),
        ("burns oyl in 3", '"burns oil in 3"'),
        ("no sideplay in 3", '"no side play in 3"'),
        ("tight", '"tight all round", "tight in one place" or "tight at 75"'),
    ],
)
def test_a_slip_is_named_with_what_would_be_understood(clause, better):
    with pytest.raises(InputError) as refused:
        read_told(f"bound; {clause}", top)
    (problem,) = refused.value.problems
    assert problem.key == clause
    assert better in problem.right


def test_every_kind_of_word_that_the_bench_has_is_among_the_examples():
    for word in (
        "seized",
        "hard spot",
        "stops",
        "locks",
        "grinds",
        "after 3",
        "when I torque rod 3",
        "won't turn",
    ):
        assert any(clause.startswith(word) for clause in EXAMPLES), word
