"""Derivatives and proofs by computer algebra: sympy differentiates the loop closure itself, to 40 digits."""

import numpy as np
import pytest
import sympy as sp

from geometry.kinematics.slider_crank import state
from tests.geometry.linkages import one_bore

THETA, SENSE, PHASE, THROW, ROD, OFFSET = sp.symbols("theta sense phase r l d", real=True)
PHI = PHASE + SENSE * THETA
HEIGHT = THROW * sp.cos(PHI) + sp.sqrt(ROD**2 - (OFFSET + THROW * sp.sin(PHI)) ** 2)
LEAN = -sp.asin((OFFSET + THROW * sp.sin(PHI)) / ROD)
CURVES = {
    "pin_height_mm": HEIGHT,
    "velocity_mm_per_rad": sp.diff(HEIGHT, THETA),
    "acceleration_mm_per_rad2": sp.diff(HEIGHT, THETA, 2),
    "jerk_mm_per_rad3": sp.diff(HEIGHT, THETA, 3),
    "rod_rate_per_rad": sp.diff(LEAN, THETA),
    "rod_acceleration_per_rad2": sp.diff(LEAN, THETA, 2),
}
ENGINES = [
    # throw, rod, offset, sense, bank, crankpin at zero
    (43.0, 145.0, 0.0, 1, 0.0, 0.0),
    (43.0, 145.0, 0.8, 1, 45.0, 135.0),
    (43.0, 145.0, -0.8, -1, -45.0, 10.0),
    (60.0, 95.0, 12.0, -1, 90.0, 200.0),
    (30.0, 33.0, -2.0, 1, 30.0, -75.0),
]


@pytest.mark.parametrize("name", CURVES)
@pytest.mark.parametrize("engine", ENGINES, ids=str)
def test_curve_agrees_with_the_differentiated_loop_closure(name, engine):
    throw_mm, rod_mm, offset_mm, sense, bank_deg, pin_deg = engine
    linkage = one_bore(throw_mm, rod_mm, offset_mm, sense, bank_deg, pin_deg)
    values = {
        THROW: throw_mm, ROD: rod_mm, OFFSET: offset_mm, SENSE: sense, PHASE: sp.rad(int(pin_deg - bank_deg)),
    }  # fmt: skip
    exact = sp.lambdify(THETA, CURVES[name].subs(values), "mpmath")
    angles = range(-350, 720, 97)
    expected = [float(exact(sp.rad(angle).evalf(40))) for angle in angles]
    found = getattr(state(linkage, np.array(angles, dtype=float)), name)[:, 0]
    # Short rods amplify rounding by the inverse of their least rise; 1e-12 of the greatest value covers it.
    np.testing.assert_allclose(found, expected, rtol=0.0, atol=1e-12 * np.abs(expected).max())
