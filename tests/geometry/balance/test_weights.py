"""What nobody weighed comes from the solids, each counted once; a rod's two ends keep its weight and its balance."""

import pytest

from geometry.balance.weights import weigh_bores
from geometry.parts.shapes.mass import mass_properties
from tests.geometry.fleet import assembly


@pytest.fixture(scope="module")
def knot():
    return assembly("knot")


def solids(engine, frame):
    return [(body, mass_properties(body.part)) for body in engine.bodies if body.frame == frame]


def test_every_solid_that_moves_in_the_bore_is_counted_once(knot):
    (one,) = weigh_bores(knot)
    riding, turning = (sum(mass.mass_kg for _, mass in solids(knot, frame)) for frame in ("P1", "R1"))
    assert one.reciprocating_kg + one.rotating_kg == pytest.approx(riding + turning)
    assert one.of(("piston", "pin", "rings")) == pytest.approx(riding)
    assert one.parts["locks"].mass_kg == 0.0
    assert set(one.from_solids()) == {"piston", "pin", "rings", "rod_small", "rod_big", "shells"}


def test_the_ends_of_a_rod_keep_its_weight_and_where_it_balances(knot):
    """By the lever: the small end, a rod's length from the big end's middle, holds up what lies towards it."""
    (one,) = weigh_bores(knot)
    rod = [(body, mass) for body, mass in solids(knot, "R1") if "shell" not in body.name]
    whole = sum(mass.mass_kg for _, mass in rod)
    above = sum(
        mass.mass_kg * mass.centre_mm[2] for body, mass in rod
    )  # Knot's parts stand in its rod's own frame
    small, big = one.parts["rod_small"].mass_kg, one.parts["rod_big"].mass_kg
    assert small + big == pytest.approx(whole)
    assert small == pytest.approx(above / knot.spec.rod.length_mm)
    assert big > 2 * small
