"""What cannot all be true is named; the more exact of two is asked; nothing else is called a contradiction."""

import pytest

from geometry.diagnose.contradictions import settled
from geometry.diagnose.felt import Felt
from geometry.diagnose.felt_words import read_told
from geometry.errors import InputError


def asked(words, half_speed=True, order=()):
    return settled(read_told(words, lambda bore: 100.0 * bore), half_speed, order)


@pytest.mark.parametrize(
    "words, kept, dropped, felt",
    [
        ("turns freely; stops at 75", "stops at 75", "turns freely", Felt(tight_deg=(75.0,))),
        ("seized; stops at 75", "stops at 75", "seized", Felt(tight_deg=(75.0,))),
        ("won't turn; click at 180", "click at 180", "won't turn", Felt(clicks_deg=(180.0,))),
        ("bound; once a turn", "once a turn", "bound", Felt(in_places=True, period_deg=360.0)),
        ("heavy; won't turn", "won't turn", "heavy", Felt(bound=True)),
        ("bound; after 6; after 3", "after 3", "after 6", Felt(bound=True, after_bore=3)),
        ("bound; after 3; after main 2", "after main 2", "after 3", Felt(bound=True, after_main=2)),
        ("torque 0:12 30:14 60:40 N*m; turns freely", "torque 0:12 30:14 60:40 N*m", "turns freely", None),
    ],
)
def test_the_less_exact_of_two_is_set_aside_and_named(words, kept, dropped, felt):
    found, aside = asked(words)
    assert [(one.kept, one.dropped) for one in aside] == [(kept, dropped)]
    assert f'"{kept}" and "{dropped}" cannot both be' in aside[0].text
    assert felt is None or found == felt
    assert not found.free


def test_with_the_head_off_only_a_cam_in_the_block_turns_at_half_speed():
    words = "stops once in two turns; head off"
    found, aside = asked(words, half_speed=False)
    assert found == Felt(in_places=True, head_on=False)
    assert [(one.kept, one.dropped) for one in aside] == [("head off", "stops once in two turns")]
    assert asked(words, half_speed=True) == (
        Felt(in_places=True, period_deg=720.0, head_on=False),
        (),
    )


def test_which_beginning_is_the_first_is_told_by_the_order():
    found, aside = asked("bound; after 6; after 3", order=(6, 3, 1, 2, 4, 5))
    assert found.after_bore == 6
    assert aside[0].dropped == "after 3"


@pytest.mark.parametrize(
    "words",
    [
        "no side play in 3; side play good in 3 and 4",
        "head on; head off",
        "turns freely; won't turn",
        "turns freely; heavy all round",
        "once per turn; once per two turns",
        "top of 3 is 3 late; top of 3 is 3 early",
        "crown of 3 is 2 mm high; crown of 3 is 2 mm low",
    ],
)
def test_where_neither_is_the_more_exact_both_are_named_and_refused(words):
    with pytest.raises(InputError) as refused:
        asked(words)
    (problem,) = refused.value.problems
    first, second = words.split("; ")
    assert str(problem).startswith(f'--felt: "{first}" and "{second}": cannot both be; ')


@pytest.mark.parametrize(
    "words",
    [
        "heavy; tight at 75",  # heavy all round, and worse in one place
        "turns freely; only when hot; heavy",  # free cold
        "turns freely; knocks once a turn",
        "no side play in 3; side play good in 4",
        "top of 3 is 0.6 late; top of 3 is 0.8 late",
        "after 3; when I torque rod 3",
        "tight at 75; tight at 200; once per turn",
    ],
)
def test_what_goes_together_is_no_contradiction(words):
    assert asked(words)[1] == ()
