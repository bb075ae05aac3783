"""Which way round parts stand: sides that change with the bank, the way the engine turns, and the leading bank."""

from dataclasses import replace

import pytest

from geometry.assembly import assemble
from geometry.record.way_round import way_round
from tests.geometry.mistakes.shop import right, spec

KINDS = ("piston", "rod")


def of(assembly, bore):
    return way_round(assembly, assembly.layout.site(bore))


def led_by(bank):
    engine = spec()
    return assemble(
        engine.model_copy(update={"engine": engine.engine.model_copy(update={"leading_bank": bank})}),
        kinds=KINDS,
    )


def test_banks_are_handed():
    vee = right()
    left, other = (next(s.bore for s in vee.layout.bores if s.bank == bank) for bank in ("left", "right"))
    one, two = of(vee, left), of(vee, other)
    # clockwise seen from the front every piston is pushed to the engine's right: in the left bank that is inboard
    assert (one.plus_words, one.minus_words, two.plus_words) == ("inboard", "outboard", "outboard")
    assert one.major_sign == two.major_sign == 1
    assert {one.large_end, two.large_end} == {"front", "rear"}
    assert one.rod_tang_sign == -two.rod_tang_sign  # a rod turned round carries its tang to the other side
    assert one.mark_end == two.mark_end == "front"
    assert one.neighbour == other


@pytest.mark.parametrize("bank", ["left", "right"])
def test_the_rod_of_the_leading_bank_has_its_cheek_before_it(bank):
    vee = led_by(bank)
    for site in vee.layout.bores:
        way = of(vee, site.bore)
        ahead = "front" if site.bank == bank else "rear"
        assert (way.large_end, way.cheeks) == (ahead, (ahead,))
        assert way.rod_tang_sign == way.cap_tang_sign == (1 if ahead == "front" else -1)


def test_an_engine_that_turns_the_other_way_thrusts_to_the_other_side():
    one, other = of(right(), 1), of(right(rotation="counter-clockwise"), 1)
    assert (one.major_sign, other.major_sign) == (1, -1)
    assert one.words_at(one.major_sign) != other.words_at(other.major_sign)
    assert one.plus_words == other.plus_words  # the sides keep their names


def test_what_was_put_in_the_wrong_way_round_is_seen_so():
    vee = right()
    turned = assemble(
        vee.spec, vee.built.with_bore(1, piston_turned=True, rod_turned=True, cap_turned=True), kinds=KINDS
    )
    was, now = of(vee, 1), of(turned, 1)
    assert (was.mark_end, now.mark_end) == ("front", "rear")
    assert was.large_end != now.large_end
    assert now.rod_tang_sign == -was.rod_tang_sign
    assert now.cap_tang_sign == was.cap_tang_sign  # turned on a rod that is turned itself
    assert replace(was, mark_end="rear") != was
