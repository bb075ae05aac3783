"""Ring tension against the bent shape of the ring."""

import numpy as np
import pytest
from scipy.integrate import cumulative_simpson

from geometry.errors import GeometryError
from geometry.rings.tension import tension


def free_gap_of_a_ring(force, radius, stiffness):
    """Let go of a ring that is round when closed: take the bending out of its curvature and integrate the shape."""
    phi = np.linspace(0, np.pi, 20001)
    curvature = 1 / radius - force * radius * (1 + np.cos(phi)) / stiffness
    heading = cumulative_simpson(curvature * radius, x=phi, initial=0)
    # From the place opposite the gap, heading along +x; the axis of symmetry is y.
    x = cumulative_simpson(np.cos(heading) * radius, x=phi, initial=0)
    return 2 * x[-1]


@pytest.mark.parametrize(
    "bore, height, wall, modulus", [(100.0, 1.5, 4.2, 100_000.0), (86.0, 1.2, 3.1, 205_000.0)]
)
def test_force_from_the_free_gap(bore, height, wall, modulus):
    radius = (bore - wall) / 2
    stiffness = modulus * height * wall**3 / 12
    small_force = 1e-3 * stiffness / radius**2
    gap = free_gap_of_a_ring(small_force, radius, stiffness)
    found = tension(gap, 0.0, bore, height, wall, modulus)
    # Small bending; the beam formula is its first order.
    assert found.tangential_n == pytest.approx(small_force, rel=5e-3)


def test_the_usual_form_of_the_formula():
    # F = E h a^3 m / (14.14 (d - a)^3), ISO 6621-2 and handbooks, from memory; 14.14 is a rounding of 9 pi / 2.
    d, h, a, m, e = 100.0, 1.5, 4.2, 12.0, 100_000.0
    found = tension(m + 0.4, 0.4, d, h, a, e)
    assert found.tangential_n == pytest.approx(e * h * a**3 * m / (14.14 * (d - a) ** 3), rel=1e-3)


def test_pressure_and_stress_balance_the_force():
    # Half a ring cut across: two pulls hold the pressure on its diameter. Stress: greatest moment 2 F R over the
    # section modulus h a^2 / 6.
    found = tension(12.4, 0.4, 100.0, 1.5, 4.2, 100_000.0)
    assert found.wall_mpa * 100.0 * 1.5 == pytest.approx(2 * found.tangential_n)
    assert found.stress_mpa == pytest.approx(2 * found.tangential_n * 47.9 / (1.5 * 4.2**2 / 6))


@pytest.mark.parametrize(
    "sizes", [(0.1, 0.4, 100, 1.5, 4, 1e5), (12, 0.4, 100, 1.5, 40, 1e5), (12, 0.4, 0, 1.5, 4, 1e5)]
)
def test_rings_that_cannot_be(sizes):
    with pytest.raises(GeometryError):
        tension(*sizes)
