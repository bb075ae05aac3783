"""What ``diagnose`` asks of many places at once is what each study says by itself, found the slow way."""

import pytest

from geometry.assembly import assemble
from geometry.clearance import valve_rooms
from geometry.diagnose.candidates import lightly
from geometry.mistakes import contact
from geometry.mistakes.mistake import mistakes, noticed
from tests.geometry.fleet import assembly
from tests.geometry.mistakes.shop import mistake, spec


def forget():
    """Nothing that was solved for the one way is left for the other."""
    contact._known.cache_clear()
    valve_rooms._memory.cache_clear()


def both_ways(one, base, places, alone):
    """Of all places at once, and one by one of some of them, by place."""
    wrongs = {place: lightly(base, one, place) for place in places}
    forget()
    told = noticed(base, [(one, wrong, place) for place, wrong in wrongs.items()], "mm")
    together = dict(zip(places, told, strict=True))
    forget()
    by_itself = {place: one.study(base, wrongs[place], place, "mm").signs for place in alone}
    return {place: together[place] for place in alone}, by_itself


@pytest.mark.parametrize("one", mistakes(), ids=lambda one: one.key)
def test_many_at_once_is_one_by_one(one):
    base = assembly("knot")
    together, alone = both_ways(one, base, one.places(base), one.places(base))
    assert together == alone


@pytest.mark.parametrize(
    "key, changes, strikes",
    [
        ("bolt_too_long", {}, True),  # a bolt strikes the wall of the bore beside its own
        (
            "wrong_rod_length",
            {"gasket": {"thickness": "0.02 in"}},
            True,
        ),  # a crown so high that it meets the head
        ("piston_turned", {}, False),  # the pin's offset moves the top, the valves clear
    ],
)
def test_what_strikes_and_what_moves_does_so_at_the_same_angles(key, changes, strikes):
    together, alone = both_ways(mistake(key), assemble(spec(**changes)), (3, 4), (4,))
    assert bool(alone[4].signature.tight) is strikes
    assert strikes or alone[4].signature.top_shift_deg
    assert together == alone
