"""Numbers that remember: their slopes against finite differences, and which comparisons were made of them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.spec.traced import Traced, comparisons

FORMULAS = {
    "sum": lambda a, b: a + b + 3.0 + a,
    "difference": lambda a, b: 2.0 - a - (b - 1),
    "product": lambda a, b: 3 * a * b,
    "quotient": lambda a, b: a / b + 2.0 / a + b / 4,
    "power": lambda a, b: (a * a + b * b) ** 0.5,
    "negative": lambda a, b: -a + abs(-b),
    "greatest": lambda a, b: max(a, b, 0.5) + min(a, b),
}
STEP = 1e-6


@pytest.mark.parametrize("name", FORMULAS)
@given(a=st.floats(1.0, 9.0), b=st.floats(11.0, 20.0))
def test_slopes_are_those_of_finite_differences(name, a, b):
    formula = FORMULAS[name]
    found = formula(Traced(a, {"a": 1.0}), Traced(b, {"b": 1.0}))
    assert float(found) == formula(a, b)
    along_a = (formula(a + STEP, b) - formula(a - STEP, b)) / (2 * STEP)
    along_b = (formula(a, b + STEP) - formula(a, b - STEP)) / (2 * STEP)
    assert found.slopes.get("a", 0.0) == pytest.approx(along_a, abs=1e-6)
    assert found.slopes.get("b", 0.0) == pytest.approx(along_b, abs=1e-6)


def test_every_comparison_is_kept_while_asked_for():
    one, two = Traced(3.0, {"one": 1.0}), Traced(5.0, {"two": 1.0})
    assert one < two
    with comparisons() as kept:
        assert one < two
        assert two >= 5.0
        assert two >= 4.0
        assert not one > 3
    assert [(float(difference), dict(difference.slopes)) for difference in kept] == [
        (-2.0, {"one": 1.0, "two": -1.0}),
        (0.0, {"two": 1.0}),
        (1.0, {"two": 1.0}),
        (0.0, {"one": 1.0}),
    ]
