"""A build record that shows a mistake: which one, the engine without it, and nothing else changed."""

from dataclasses import replace

import pytest

from geometry.assembly import assemble
from geometry.built import AS_DESIGNED, BoreBuild, OilRead, Read, RingBuild
from geometry.mistakes.mistake import mistakes
from geometry.mistakes.shown import all_put_right, as_found, left_in, put_right, shown_places
from tests.geometry.mistakes.shop import mistake, right

SEEN_ALONE = {
    # what is found on the bench is the same for both of these: a head that does not sit
    "bolt_not_seated": {"bolt_not_seated", "bolt_too_long"},
    "bolt_too_long": {"bolt_too_long", "bolt_not_seated"},
    # across the vee the exchanged rods face the wrong cheek as well
    "rods_exchanged": {"rods_exchanged", "rod_turned"},
}


def built_with(key, place):
    base = right()
    return replace(base, built=mistake(key).make(base, place))


@pytest.mark.parametrize("one", mistakes(), ids=lambda one: one.key)
def test_a_mistake_that_was_made_is_shown_and_taken_back(one):
    # Round trip: what the mistake itself lays over the design is found there, and taking it back leaves the design.
    place = one.places(right())[0]
    wrong = built_with(one.key, place)
    if wrong.built == AS_DESIGNED:
        # a nick is made while the piston goes in; nothing stands wrong afterwards
        assert put_right(wrong, one, place) is None
        return
    without = put_right(wrong, one, place)
    assert without is not None
    assert all(without.bore(bore) in (BoreBuild(), bare(without.bore(bore))) for bore in without.bores)
    assert (without.main_cap_turned, without.main_cap_order) == ((), None)
    shown = {other.key for other in mistakes() if shown_places(wrong, other)}
    assert shown <= SEEN_ALONE.get(one.key, {one.key})
    assert one.key in shown


def bare(build):
    """A bore build in which rings stand without anything said of them."""
    return replace(BoreBuild(), rings={name: RingBuild() for name in build.rings})


def test_the_design_shows_no_mistake():
    assert not any(shown_places(right(), one) for one in mistakes())


def test_a_reading_near_the_design_is_no_mistake():
    base = right()
    near = replace(base, built=base.built.with_bore(3, compression_height_change_mm=0.05, shell_proud_mm=0.1))
    assert shown_places(near, mistake("wrong_compression_height")) == ()
    assert shown_places(near, mistake("shell_tang_out")) == ()


def test_what_was_measured_beside_it_stays_on_both_sides():
    base = right()
    built = base.built.with_bore(3, rod_turned=True, oil=OilRead(strip=Read(0.061, 0.0125)))
    wrong = assemble(base.spec, built)
    found = as_found(wrong, mistake("rod_turned"), 3)
    assert found.shown
    assert found.wrong is wrong
    assert found.right.built.bore(3) == BoreBuild(oil=OilRead(strip=Read(0.061, 0.0125)))
    # a mistake that turns what is there must not turn it back
    other = as_found(wrong, mistake("rod_turned"), 5)
    assert not other.shown
    assert other.wrong.built.bore(5).rod_turned
    assert other.wrong.built.bore(3).rod_turned


def test_each_of_two_mistakes_by_itself():
    base = right()
    both = replace(base, built=base.built.with_bore(3, rod_turned=True, bolt_out_mm=(0.0, 3.8)))
    assert all_put_right(both).bore(3) == BoreBuild()
    alone = left_in(both, all_put_right(both), mistake("bolt_not_seated"), 3)
    assert alone.bore(3) == BoreBuild(bolt_out_mm=(0.0, 3.8))
