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


class TestStepsOfTheProofsOfTheBounds:
    """The identities that the docstring of ``rod_bounds`` relies on, with r = 1."""

    S, d, rod, m = sp.symbols("S d l m", real=True)
    u = d + S
    c2 = 1 - S**2
    q2 = rod**2 - u**2
    K = rod**2 - d**2 - 1

    def test_discriminant_of_the_greatest_rod_rate(self):
        quadratic = sp.Poly(sp.expand(self.c2 - self.m * self.q2), self.S)
        claimed = self.rod**2 * self.m**2 - (self.rod**2 + 1 - self.d**2) * self.m + 1
        assert sp.expand(quadratic.discriminant() - 4 * claimed) == 0

    def test_greatest_rod_rate_is_two_throws_over_both_heights(self):
        # The smaller root of that quadratic in m, against (2 / (top + bottom))^2.
        top, bottom = sp.sqrt((self.rod + 1) ** 2 - self.d**2), sp.sqrt((self.rod - 1) ** 2 - self.d**2)
        claimed = self.rod**2 * self.m**2 - (self.rod**2 + 1 - self.d**2) * self.m + 1
        root = claimed.subs(self.m, (2 / (top + bottom)) ** 2)
        for length, offset in ((3, 0), (3, sp.Rational(1, 2)), (2, sp.Rational(9, 10)), (40, 38)):
            assert sp.simplify(root.subs({self.rod: length, self.d: offset})) == 0

    def test_slope_of_the_rod_acceleration(self):
        swing = (self.K * self.S - self.d * (1 + self.S**2)) / self.q2 ** sp.Rational(3, 2)
        slope = sp.diff(swing, self.S) * self.q2 ** sp.Rational(5, 2)
        h = self.q2**2 + (3 * self.u * self.S - self.c2) * self.q2 - 3 * self.u**2 * self.c2
        assert sp.simplify(slope - h) == 0

    def test_slope_where_the_rod_is_as_short_as_can_be(self):
        least = (1 + self.d) ** 2 - self.u**2
        h = least**2 + (3 * self.u * self.S - self.c2) * least - 3 * self.u**2 * self.c2
        assert sp.expand(h - self.d * (1 - self.S) ** 2 * (2 - self.S + self.d)) == 0

    def test_rod_acceleration_where_the_throw_lies_across(self):
        swing = (self.K * self.S - self.d * (1 + self.S**2)) / self.q2
        for side in (1, -1):
            assert sp.simplify(swing.subs(self.S, side)) == side

    def test_series_of_the_rise_of_the_rod(self):
        # Coefficients of M and of -q'' in powers of 1 / l share the factor C(2k, k) / 4^k.
        x, c_squared, u, S, p = sp.symbols("x c2 u S p", positive=True)
        rise = sp.sqrt(1 - u**2 * x**2)
        below = sp.series(x * c_squared / rise**3 - u * x * S / rise, x, 0, 8).removeO()
        most = sp.series(p * x / sp.sqrt(1 - p**2 * x**2), x, 0, 8).removeO()
        for k in range(4):
            common = sp.binomial(2 * k, k) / sp.Integer(4) ** k
            mine = (2 * k + 1) * c_squared * u ** (2 * k) - S * u ** (2 * k + 1)
            assert sp.expand(below.coeff(x, 2 * k + 1) - common * mine) == 0
            assert sp.expand(most.coeff(x, 2 * k + 1) - common * p ** (2 * k + 1)) == 0

    @pytest.mark.parametrize("k", [0, 1, 2, 3, 10, 100, 1000])
    def test_last_step_stays_below_one(self, k):
        v = np.linspace(0.0, 1.0, 20001)
        assert (v ** (2 * k) * ((2 * k + 1) * (1.0 - v**2) - v**2)).max() <= 1.0
        assert ((2 * k + 1) * (1.0 - v) * v ** (2 * k)).max() <= 1.0
