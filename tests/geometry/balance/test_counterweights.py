"""The crank's own unbalance in closed form against its solid, and what is left in two planes against statics."""

import math

import numpy as np
import pytest

from geometry.assembly import assemble
from geometry.balance.bob import balancing
from geometry.balance.counterweights import ahead_of_first_deg, crank_unbalance, planes, resolved
from geometry.parts.shapes.mass import mass_properties
from tests.geometry import fleet
from tests.geometry.balance.engines import weighed, weighed_spec
from tests.geometry.fleet import assembly

LIGHT = ("knot", "curlew", "whimbrel")


def vector(y, z):
    """As the balance has it: up, and to the engine's left."""
    return complex(z, -y)


def solid(engine):
    """First moment kg mm and product with x kg mm^2 of the crank's own mesh, triangle by triangle."""
    mesh, density = engine.body("crank").part.mesh, engine.body("crank").part.density_kg_m3 * 1e-9
    corners = mesh.vertices[mesh.triangles]
    volumes = np.einsum("ij,ij->i", corners[:, 0], np.cross(corners[:, 1], corners[:, 2])) / 6.0
    sums = corners.sum(axis=1)
    first = density * volumes @ sums / 4.0
    products = density * (
        np.einsum("i,ij,i->j", volumes, sums, sums[:, 0]) + np.einsum("i,ikj,ik->j", volumes, corners, corners[:, :, 0])
    ) / 20.0  # fmt: skip
    return vector(first[1], first[2]), vector(products[1], products[2])


@pytest.mark.parametrize("name", LIGHT)
def test_the_crank_weighs_in_as_its_solid_does(name):
    engine = assembly(name)
    found = list(crank_unbalance(engine.spec, engine.layout))
    force, couple = sum(v for _, v in found), sum(x * v for x, v in found)
    exact, product = solid(engine)
    size = sum(abs(v) for _, v in found)
    reach = max(abs(x) for x, _ in found)
    # facets lie inside round surfaces, which costs a share of some thousandths of each piece
    assert abs(force - exact) < 4e-3 * size
    assert abs(couple - product) < 4e-3 * size * reach
    whole = mass_properties(engine.body("crank").part)
    assert abs(vector(*(whole.mass_kg * whole.centre_mm[1:])) - exact) < 1e-6 * size


def test_two_planes_hold_what_stands_anywhere():
    front, rear = resolved([(30.0, 2 + 1j), (110.0, -1 + 0.5j)], 10.0, 210.0)
    assert front + rear == pytest.approx(1 + 1.5j)
    assert front * 10 + rear * 210 == pytest.approx((2 + 1j) * 30 + (-1 + 0.5j) * 110)


def single(radius="1.95 in", **weights):
    weight = fleet.raw("knot")["crank"]["counterweight"] | {"radius": radius}
    return assemble(weighed_spec("knot", {"counterweight": weight}, **weights), kinds=("crank",))


def test_what_is_wanted_of_a_single_is_half_of_its_bob_at_each_cheek_opposite_the_pin():
    engine = single(factor=0.5)
    plan = balancing(engine)
    (bob,) = plan.bobs
    both = planes(engine, plan.bobs)
    for plane in both:
        moment = bob.mass_kg * engine.spec.crank.stroke_mm / 2 / 2
        assert abs(plane.wanted_kg_mm) == pytest.approx(moment, rel=1e-9)
        assert ahead_of_first_deg(engine.layout, plane.wanted_kg_mm) == pytest.approx(180.0)
        heavy = plane.given_kg_mm - plane.wanted_kg_mm
        assert plane.mass_kg == pytest.approx(abs(heavy) / (1.95 * 25.4))


def test_a_larger_counterweight_gives_more():
    small, large = (planes(e, balancing(e).bobs)[0] for e in (single("1.80 in"), single("2.10 in")))
    # two thirds rho t r^3 sin(half the spread) for a sector about the axis: the difference of the two
    density, thick = 7850e-9, 0.62 * 25.4
    gain = density * thick * 2 / 3 * math.sin(math.radians(60)) * ((2.10 * 25.4) ** 3 - (1.80 * 25.4) ** 3)
    assert abs(large.given_kg_mm - small.given_kg_mm) == pytest.approx(gain, rel=1e-6)
    assert large.share > small.share


def test_the_angle_is_counted_in_the_running_direction():
    engine = single()
    assert engine.layout.sense == -1
    pin = engine.layout.pins[0].pin_deg
    # Knot turns the other way: a quarter turn ahead is a quarter turn back about +x
    ahead = np.exp(1j * np.radians(pin - 90.0))
    assert ahead_of_first_deg(engine.layout, complex(ahead)) == pytest.approx(90.0)


@pytest.mark.parametrize("name", ["dunlin", "plover"])
def test_throws_that_balance_each_other_want_nothing(name):
    engine = weighed(name)
    for plane in planes(engine, balancing(engine).bobs):
        assert abs(plane.wanted_kg_mm) < 1e-6
