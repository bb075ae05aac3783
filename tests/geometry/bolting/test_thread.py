"""What strips: threads by their triangle, and by an integral over the profile."""

import math

import pytest
from scipy.integrate import quad

from geometry.bolting.thread import root_area_mm2, stripping_areas_mm2, tensile_area_mm2


@pytest.mark.parametrize(("diameter", "pitch", "deep"), [(10.0, 1.25, 12.0), (11.1125, 1.27, 15.0)])
def test_stripping_areas_are_three_quarters_and_seven_eighths_of_the_cylinders(diameter, pitch, deep):
    # Basic profile: at the hole's inside the bolt's thread is 3/4 P thick, at its outside the hole's 7/8 P.
    of_bolt, of_hole = stripping_areas_mm2(diameter, pitch, deep)
    inside = diameter - 5 / 4 * math.sqrt(3) / 2 * pitch
    assert of_bolt == pytest.approx(0.75 * math.pi * inside * deep, rel=1e-5)
    assert of_hole == pytest.approx(0.875 * math.pi * diameter * deep, rel=1e-5)


def test_thread_thickness_by_its_flanks():
    # The flanks lean 30 degrees from the middle, where thread and groove are half a pitch each.
    diameter, pitch = 10.0, 1.25
    middle = diameter - 3 / 8 * math.sqrt(3) * pitch
    thick, _ = quad(lambda _: pitch / 2 + (diameter - middle) * math.tan(math.radians(30)), 0.0, 1.0)
    _, of_hole = stripping_areas_mm2(diameter, pitch, pitch)
    assert of_hole / (math.pi * diameter) == pytest.approx(thick, rel=1e-5)


def test_a_hole_as_strong_as_its_bolt_holds_it_at_less_than_a_diameter():
    # The usual rule: with equal metals half to two thirds of a diameter are enough; from memory.
    diameter, pitch = 10.0, 1.25
    of_bolt, _ = stripping_areas_mm2(diameter, pitch, 1.0)
    enough = tensile_area_mm2(diameter, pitch) / (0.6 * of_bolt)
    assert 0.45 < enough / diameter < 0.7


def test_the_root_is_less_than_what_breaks():
    assert root_area_mm2(10.0, 1.25) == pytest.approx(
        56.3, abs=0.1
    )  # M10x1.25 over d3 8.466, ISO 724, from memory
    assert root_area_mm2(10.0, 1.25) < tensile_area_mm2(10.0, 1.25)
