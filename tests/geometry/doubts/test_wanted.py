"""The question turned round on the demo engines, against sums worked by hand from the numbers in their files."""

import math
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from geometry.assembly import assemble
from geometry.checks.clearances import judged
from geometry.clearance.full_turn import full_turn
from geometry.doubts.box import box_of
from geometry.doubts.settling import settle
from geometry.doubts.solving import NoRoot
from geometry.doubts.wanted import read_varied, read_want
from geometry.errors import InputError
from geometry.spec.described import Described, load_described
from geometry.spec.load import load_engine

DEMOS = Path(__file__).parents[3] / "demo_engines"
IN = 25.4
TERN, KNOT = DEMOS / "tern.toml", DEMOS / "knot.toml"

# Tern: stroke 3.350, rod 5.850, pin offset 0.040, compression height 1.450, deck 8.985, bore 4.030, chamber 62 cc,
# pockets 7.9 cc, gasket bore 4.100 in. At its top and bottom throw and rod lie in one line, so that the pin stands
# sqrt((rod +- throw)^2 - offset^2) from the crank.
TOP_IN = math.sqrt((5.850 + 1.675) ** 2 - 0.040**2)
BOTTOM_IN = math.sqrt((5.850 - 1.675) ** 2 - 0.040**2)
CC = IN**3 / 1000.0


def gasket_in(ratio, deck_height_in=8.985, chamber_cc=62.0):
    """Gasket thickness for a compression ratio, from swept / (ratio - 1) = chamber + pockets + deck + gasket."""
    area = math.pi / 4 * 4.030**2
    left_in3 = area * (TOP_IN - BOTTOM_IN) / (ratio - 1.0)
    left_in3 -= (chamber_cc + 7.9) / CC + area * (deck_height_in - TOP_IN - 1.450)
    return left_in3 / (math.pi / 4 * 4.100**2)


@cache
def put_together(file):
    return assemble(load_engine(file))


def solved(file, want, key, changes=None, system="in"):
    described = load_described(file, changes or {})
    by = read_varied(key, described.spec)
    wanted = read_want(want, put_together(file))

    def box_at(value):
        """The file read once: made to size, the value is plain."""
        plain = {"nominal": value, "lowest": value, "highest": value, "origin": "measured", "reason": ""}
        values = (replace(one, **plain) if one.path == by.path else one for one in described.values)
        return box_of(Described(described.at({by.path: value}), tuple(values), described.chosen))

    return settle(wanted, by, box_at, system)


def test_compression_by_gasket_thickness():
    found = solved(TERN, "compression=10", "gasket.thickness")
    assert found.value / IN == pytest.approx(gasket_in(10.0), rel=1e-9)
    assert found.before / IN == pytest.approx(0.040)
    below, above = found.sizes
    assert (below.size / IN, above.size / IN) == pytest.approx((0.026, 0.027))
    # 0.0268 in: 0.027 in is the nearer
    assert found.chosen == above
    assert found.told is None


def test_deck_by_deck_height():
    found = solved(TERN, 'deck="0 in"', "block.deck_height")
    assert found.value / IN == pytest.approx(TOP_IN + 1.450, rel=1e-12)


def test_displacement_by_stroke():
    """Knot's pin stands in the middle: bore² * pi / 4 * stroke."""
    found = solved(KNOT, "displacement=250 cc", "crank.stroke", system="mm")
    assert found.value == pytest.approx(250_000.0 / (math.pi / 4 * (2.750 * IN) ** 2), rel=1e-9)
    assert found.sizes[1].size - found.sizes[0].size == pytest.approx(0.01)


def test_at_least_takes_the_size_that_keeps_it():
    """Big-end oil clearance 0.0015 in by the shell: (2.1760 - 2.050 - 0.0015) / 2 = 0.06225 in; 0.062 in keeps it."""
    found = solved(TERN, "oil clearance>=0.0015 in", "rod.bearing.wall")
    assert found.value / IN == pytest.approx(0.06225)
    assert found.chosen.size / IN == pytest.approx(0.062)


def test_at_most_takes_the_size_on_the_other_side():
    """A deck of 0.0097 in at most asks for TOP + 1.450 + 0.0097 = 8.98459 in: 8.985 in is nearer, 8.984 in keeps it."""
    found = solved(TERN, 'deck<="0.0097 in"', "block.deck_height")
    assert [sized.size / IN for sized in found.sizes] == pytest.approx([8.984, 8.985])
    assert found.chosen.size / IN == pytest.approx(8.984)


def test_where_the_size_that_keeps_it_cannot_be_the_solution_itself_stands():
    """A shell of 0.063 in would leave no oil clearance at all, which the file's rules refuse."""
    found = solved(TERN, "oil clearance<=0.0015 in", "rod.bearing.wall")
    assert [sized.size / IN for sized in found.sizes] == pytest.approx([0.062])
    assert found.chosen.size == found.value


def test_a_size_on_the_scale_stands_alone():
    (size,) = solved(TERN, 'skirt clearance="0.0030 in"', "piston.skirt.clearance").sizes
    assert size.size / IN == pytest.approx(0.003)


def test_the_doubt_of_the_others_moves_the_solution_to_its_corners():
    """5 thou either way of the deck height and 1 cc of the chamber, worked out at the corners by the same sum."""
    changes = {"block.deck_height": "8.985 in +- 5 thou", "head.chamber": "62 cc +0 -1 cc"}
    found = solved(TERN, "compression=9.5", "gasket.thickness", changes)
    low, high = gasket_in(9.5, 8.990, 62.0), gasket_in(9.5, 8.980, 61.0)
    assert (found.lowest / IN, found.highest / IN) == pytest.approx((low, high), rel=1e-6)
    assert [leaning.key for leaning in found.told.leanings] == ["block.deck_height", "head.chamber"]


def test_the_value_that_is_solved_for_is_made_to_size_and_in_no_doubt():
    found = solved(TERN, "compression=9.5", "gasket.thickness", {"gasket.thickness": "0.040 in +- 3 thou"})
    assert found.told is None
    assert found.lowest == found.highest == found.value


def test_a_corner_without_a_solution_leaves_that_end_open():
    """At a deck height 20 thou lower the gasket for 9.5 is thicker, at one 40 thou higher it would be below nothing."""
    found = solved(
        TERN, "compression=9.5", "gasket.thickness", {"block.deck_height": "8.985 in +60 thou -20 thou"}
    )
    assert gasket_in(9.5, 9.045) < 0.0
    assert found.lowest is None
    assert found.highest / IN == pytest.approx(gasket_in(9.5, 8.965), rel=1e-6)


def test_where_no_size_gives_it_the_range_is_told():
    found = solved(TERN, "compression=100", "gasket.thickness")
    assert isinstance(found, NoRoot)
    assert found.low.answer == pytest.approx(10.7, abs=0.1)  # without a gasket


@pytest.fixture(scope="module")
def crown_kept_off():
    """Knot's gasket that keeps the crown 0.070 in off the head, with 5 thou either way of the deck height."""
    changes = {"block.deck_height": "7.615 in +- 5 thou"}
    return solved(KNOT, "piston_crown : head_face=0.070 in", "gasket.thickness", changes)


def test_a_clearance_is_kept_at_the_solution_as_a_plain_check_finds(crown_kept_off):
    """Knot's crown stops 0.015 in below the deck: the head is 0.070 in away over a gasket of 0.055 in."""
    found = crown_kept_off
    assert found.value / IN == pytest.approx(0.055, abs=0.0001)
    engine = assemble(load_engine(KNOT, {"gasket.thickness": f"{found.chosen.size!r} mm"}))
    told = next(
        c for c in judged(engine, full_turn(engine))
        if {c.near.pair.a.feature, c.near.pair.b.feature} == {"piston_crown", "head_face"}
    )  # fmt: skip
    assert told.near.approach.min_mm / IN >= 0.070 - 1e-6
    assert told.near.approach.min_mm / IN < 0.0715


def test_the_doubt_of_a_distance_is_that_of_the_place_where_it_is_least(crown_kept_off):
    """5 thou either way of Knot's deck height leaves 0.055 in of gasket 5 thou to be out."""
    found = crown_kept_off
    assert (found.lowest / IN, found.highest / IN) == pytest.approx((0.050, 0.060), abs=0.0002)
    assert [leaning.key for leaning in found.told.leanings] == ["block.deck_height"]


# names


@pytest.fixture(scope="module")
def tern():
    return put_together(TERN)


@pytest.mark.parametrize(
    "text, name, bore, relation, value",
    [
        ("compression=10", "compression ratio", None, "=", 10.0),
        ("cr = 10.5", "compression ratio", None, "=", 10.5),
        ('deck 3="0.254 mm"', "deck", 3, "=", 0.254),
        ("deck of bore 3>=0.254 mm", "deck", 3, ">=", 0.254),
        ("gap of top<=0.5 mm", "gap of top ring", None, "<=", 0.5),
        ("squish=1 mm", "to head", None, "=", 1.0),
    ],
)
def test_a_want_is_read(tern, text, name, bore, relation, value):
    want = read_want(text, tern)
    assert (want.name, want.bore, want.relation, want.value) == (name, bore, relation, pytest.approx(value))


@pytest.mark.parametrize(
    "text, said",
    [
        ("compression", "is not NAME=VALUE"),
        ("horsepower=300", "cannot be wanted; one of: displacement, compression ratio, deck"),
        ("compression=tall", "is not a number"),
        ("compression=nan", "is not a number"),
        ("deck=10", "has no unit"),
        ("deck=10 cc", "cc"),
        ("hot gap=1 mm", "may mean several things; one of: hot gap of top ring"),
        ("rod_bolt : =1 mm", "does not name two places"),
    ],
)
def test_what_cannot_be_wanted_is_refused(tern, text, said):
    with pytest.raises(InputError) as bad:
        read_want(text, tern)
    assert said in str(bad.value)


def test_places_that_are_none_are_listed():
    with pytest.raises(InputError, match=r"no place is called so; places are: .*rod bolt"):
        read_want("rod_bolt : moon=1 mm", put_together(KNOT))


@pytest.mark.parametrize(
    "key, said",
    [
        ("gasket.thicknes", "is not a known key"),
        ("engine.name", "is not a quantity"),
        ("piston.pockets[3].depth", "this engine does not have it"),
        ("limits.rod_oil", "this engine does not have it"),
    ],
)
def test_what_cannot_be_solved_for_is_refused(key, said):
    with pytest.raises(InputError) as bad:
        read_varied(key, load_engine(TERN))
    assert said in str(bad.value)
    assert str(bad.value).startswith(f"--by: {key}: ")


def test_an_array_counts_from_one():
    by = read_varied("piston.grooves[2].root", load_engine(TERN))
    assert by.path == ("piston", "grooves", 1, "root")
    assert by.now / IN == pytest.approx(3.640)
