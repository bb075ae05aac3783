"""Bolted joints against a machine design textbook's worked example, thread tables and an independent integral."""

import math

import pytest
from scipy.integrate import quad

from geometry import joint

INCH, LBF, KIP, LBF_FT = 25.4, 4.4482216152605, 4448.2216152605, 1.3558179483314


def test_textbook_example_of_a_preloaded_bolt():
    # Shigley, Mechanical Engineering Design, example 8-3: 3/4-16, P 6 kip, preload 25 kip, kb 6.50, km 13.8 Mlbf/in.
    share = joint.bolt_share(6.50, 13.8)
    assert share == pytest.approx(0.320, abs=5e-4)
    area = joint.tensile_area_mm2(0.75 * INCH, INCH / 16) / INCH**2
    assert area == pytest.approx(0.373, abs=5e-4)  # the table's value
    assert (share * 6.0 + 25.0) / 0.373 == pytest.approx(72.17, abs=0.05)  # kpsi in the bolt
    # The joint opens where nothing of the preload is left between the members: F_i - (1 - C) P = 0.
    opens = joint.opening_load_n(25.0 * KIP, share)
    assert 25.0 * KIP - (1 - share) * opens == pytest.approx(0.0, abs=1e-6)
    assert opens / KIP == pytest.approx(25.0 / (1 - 6.50 / (6.50 + 13.8)), rel=1e-12)


@pytest.mark.parametrize(
    "diameter, pitch, table",
    # ISO 898-1 stress areas, mm2; M8x1.25 as printed, the others from memory.
    [(8.0, 1.25, 36.6), (8.0, 1.0, 39.2), (10.0, 1.25, 61.2)],
)
def test_stress_areas_of_metric_threads(diameter, pitch, table):
    assert joint.tensile_area_mm2(diameter, pitch) == pytest.approx(table, abs=0.05)


@pytest.mark.parametrize(
    "size, per_inch, table", [(5 / 16, 24, 0.0580), (3 / 8, 24, 0.0878), (7 / 16, 20, 0.1187)]
)
def test_stress_areas_of_inch_threads(size, per_inch, table):
    # Unified fine threads, tensile stress areas in square inches, ASME B1.1 table.
    assert joint.tensile_area_mm2(size * INCH, INCH / per_inch) / INCH**2 == pytest.approx(table, abs=1e-4)


def test_torque_of_a_grade_8_bolt_at_three_quarters_of_proof():
    # 3/8-24 grade 8 (proof 120 ksi): 7902 lbf, 44.45 lbf ft with the lubricated factor 0.18 (Shigley table 8-15).
    tension = joint.preload_n(44.45 * LBF_FT, 0.375 * INCH)
    assert tension / LBF == pytest.approx(7902, rel=1e-3)


@pytest.mark.parametrize("diameter, grip", [(9.5, 26.0), (11.0, 60.0), (8.0, 18.0)])
def test_stiffness_of_the_members_by_integration(diameter, grip):
    # Two cones of 30 degrees from a washer face 1.5 diameters wide: compliance is the integral of dx / (E A(x)).
    def slice_of(x):
        outer = 0.75 * diameter + x * math.tan(math.radians(30))
        return 1.0 / (joint.STEEL_MPA * math.pi * (outer**2 - (diameter / 2) ** 2))

    half, _ = quad(slice_of, 0.0, grip / 2)
    # 0.5774 stands for tan 30 rounded to four places, hence the tolerance.
    assert joint.member_stiffness_n_mm(diameter, grip) == pytest.approx(1.0 / (2 * half), rel=2e-4)
