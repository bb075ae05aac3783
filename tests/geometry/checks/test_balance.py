"""The section of the balance: flat numbers that agree with hand sums, words that a builder can use, findings."""

import math

import pytest

from geometry.assembly import assemble
from geometry.built import Built
from geometry.checks.balance import CHECK
from geometry.checks.section import Amount
from tests.geometry.balance.engines import weighed, weighed_spec

CHECKED = ("tern", "dunlin", "curlew", "whimbrel", "knot")


def row(name, **weights):
    engine = assemble(weighed_spec(name, **weights), kinds=("crank",)) if weights else weighed(name)
    return CHECK.run(engine, "mm").rows[0]


@pytest.mark.parametrize("name", CHECKED)
def test_the_answer_is_one_object_of_flat_values_with_units(name):
    section = CHECK.run(weighed(name), "mm")
    assert section.single
    assert section.findings == ()
    for key, value in section.as_json().items():
        assert value is None or isinstance(value, str | int | float), key
    shown = section.rows[0]
    for key, cell in shown.items():
        dimension = {"kg": "mass", "n": "force", "nm": "torque"}.get(key.rpartition("_")[2])
        assert not dimension or (isinstance(cell, Amount) and cell.dimension == dimension), key


def test_a_four_in_line_shakes_up_and_down_twice_a_turn():
    """4 m a w^2 lambda: 836 g, throw 55, rod 178 mm, 2400 rpm; the exact second order is 2.4 % more (1.10)."""
    found = row("dunlin")
    omega, ratio = 2400 * math.pi / 30, 55 / 178
    peak = 4 * 0.836 * 0.055 * omega**2 * (ratio + ratio**3 / 4 + 15 * ratio**5 / 128)
    assert found["second_force_n"].value == pytest.approx(peak, rel=1e-6)
    assert found["peak_force_n"].value == pytest.approx(peak, rel=1e-6)
    assert found["shakes"] == f"shakes up and down twice a turn, up to {peak:.0f} N"
    assert found["factor_kind"] == "free"


def test_a_cross_plane_v8_wants_its_couple_and_is_left_with_nothing():
    """sqrt 10 of what one piston pushes with, times the throws' spacing: before, and zero after (5000 rpm)."""
    found = row("tern")
    before = math.sqrt(10) * 0.836 * 3.350 * 0.0254 / 2 * (5000 * math.pi / 30) ** 2 * 4.450 * 0.0254
    assert found["first_couple_before_nm"].value == pytest.approx(
        before, rel=2e-3
    )  # rods side by side on a pin
    assert found["first_couple_nm"].value < 0.01 * before
    assert found["shakes"] == "nothing of the first and second order"
    assert found["bob_weight_most_kg"].value == pytest.approx(1.768)
    # throws at 0, 90, 270, 180 by moments: the front end is heavy atan(1/3) ahead of throw 1, the rear opposite
    assert found["front_add_deg"] == pytest.approx(180 + math.degrees(math.atan(1 / 3)), abs=0.5)
    assert found["rear_add_deg"] == pytest.approx(math.degrees(math.atan(1 / 3)), abs=0.5)


@pytest.mark.parametrize(
    "name, words",
    [
        ("curlew", "rocks nose against tail round and round, against the crank twice a turn, up to "),
        ("whimbrel", "rocks nose against tail from side to side twice a turn, up to "),
        ("knot", "shakes round and round, against the crank once a turn, up to "),
    ],
)
def test_what_shakes_it_in_words(name, words):
    assert row(name)["shakes"].startswith(words)


def test_a_single_balanced_whole_shakes_from_side_to_side():
    assert row("knot", factor=1.0)["shakes"].startswith("shakes from side to side once a turn")
    assert row("knot", factor=0.0)["shakes"].startswith("shakes up and down once a turn")


def test_parts_that_differ_say_what_to_take_off_where():
    built = Built()
    for bore, kg in ((1, 0.500), (2, 0.503), (3, 0.5008), (4, 0.508)):
        built = built.with_bore(bore, weights_kg=(("piston", kg),))
    found = CHECK.run(assemble(weighed_spec("tern"), built, kinds=("crank",)), "in").findings
    assert [(f.id, f.severity, f.bore, f.group) for f in found] == [
        ("weight_of_piston", "look", bore, "weight.piston") for bore in (2, 4)
    ]
    assert (
        "508.0 g, 8.0 g over the lightest, that of bore 1; at most 1.0 g apart (common practice"
        in found[1].text
    )
    assert found[1].remedy == "take 8.0 g off the piston"
    wide = assemble(weighed_spec("tern", tolerance_kg=0.010), built, kinds=("crank",))
    assert CHECK.run(wide, "in").findings == ()
