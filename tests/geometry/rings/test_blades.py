"""Advice names blades that there are, rounded to the safe side."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.rings.feeler import STEP_MM, blade_mm, blade_text


@pytest.mark.parametrize(
    "value_mm,system,up,said",
    [
        # 14.105 thou is shown to be there by 15 thou, 20.15 thou not to be passed by 20 thou: whole thou by hand.
        (14.105 * 0.0254, "in", True, "15 thou"), (20.15 * 0.0254, "in", False, "20 thou"),
        (0.05, "in", False, "2 thou"), (0.05, "mm", False, "0.05 mm"),
        (0.244, "mm", True, "0.25 mm"), (0.34, "mm", False, "0.30 mm"), (0.35, "mm", True, "0.35 mm"),
    ],
)  # fmt: skip
def test_a_blade_is_the_next_on_the_safe_side(value_mm, system, up, said):
    assert blade_text(blade_mm(value_mm, system, up=up), system) == said


def test_a_set_of_half_thou_keeps_its_halves():
    assert blade_text(blade_mm(14.2 * 0.0254, "in", up=True, step_mm=0.0127), "in") == "14.5 thou"


@given(st.floats(0.0, 3.0), st.sampled_from(["in", "mm"]))
def test_no_blade_is_more_than_a_step_off_nor_on_the_wrong_side(value_mm, system):
    step = STEP_MM[system]
    above, below = (blade_mm(value_mm, system, up=up) for up in (True, False))
    assert value_mm - 0.06 * step <= above <= value_mm + step
    assert value_mm - step <= below <= value_mm + 0.06 * step
