"""Bolted joints against a machine design textbook's worked example, thread tables and an independent integral."""

import math

import numpy as np
import pytest
from scipy.integrate import quad

from geometry.bolting import grades, joint, stretch, thread, torque

INCH, LBF, KIP, LBF_FT = 25.4, 4.4482216152605, 4448.2216152605, 1.3558179483314


def test_textbook_example_of_a_preloaded_bolt():
    # Shigley, Mechanical Engineering Design, example 8-3: 3/4-16, P 6 kip, preload 25 kip, kb 6.50, km 13.8 Mlbf/in.
    share = joint.bolt_share(6.50, 13.8)
    assert share == pytest.approx(0.320, abs=5e-4)
    area = thread.tensile_area_mm2(0.75 * INCH, INCH / 16) / INCH**2
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
    assert thread.tensile_area_mm2(diameter, pitch) == pytest.approx(table, abs=0.05)


@pytest.mark.parametrize(
    "size, per_inch, table", [(5 / 16, 24, 0.0580), (3 / 8, 24, 0.0878), (7 / 16, 20, 0.1187)]
)
def test_stress_areas_of_inch_threads(size, per_inch, table):
    # Unified fine threads, tensile stress areas in square inches, ASME B1.1 table.
    assert thread.tensile_area_mm2(size * INCH, INCH / per_inch) / INCH**2 == pytest.approx(table, abs=1e-4)


def test_torque_of_a_grade_8_bolt_at_three_quarters_of_proof():
    # 3/8-24 grade 8 (proof 120 ksi): 7902 lbf, 44.45 lbf ft with the lubricated factor 0.18 (Shigley table 8-15).
    tension = torque.preload_n(44.45 * LBF_FT, 0.375 * INCH)
    assert tension / LBF == pytest.approx(7902, rel=1e-3)


@pytest.mark.parametrize("diameter, grip", [(9.5, 26.0), (11.0, 60.0), (8.0, 18.0)])
def test_stiffness_of_the_members_by_integration(diameter, grip):
    # Two cones of 30 degrees from a washer face 1.5 diameters wide: compliance is the integral of dx / (E A(x)).
    def slice_of(x):
        outer = 0.75 * diameter + x * math.tan(math.radians(30))
        return 1.0 / (stretch.STEEL_MPA * math.pi * (outer**2 - (diameter / 2) ** 2))

    half, _ = quad(slice_of, 0.0, grip / 2)
    # 0.5774 stands for tan 30 rounded to four places, hence the tolerance.
    assert joint.member_stiffness_n_mm(diameter, grip) == pytest.approx(1.0 / (2 * half), rel=2e-4)


# ---- references of the project, section 5


@pytest.mark.parametrize(
    ("size", "per_inch", "exact"),
    # ASME B1.1, pi/4 (d - 0.9743/n)^2, worked by hand to five places.
    [(5 / 16, 24, 0.05807), (3 / 8, 24, 0.08783), (7 / 16, 20, 0.11872), (3 / 4, 16, 0.37296)],
)
def test_stress_areas_of_inch_threads_to_five_places(size, per_inch, exact):
    assert thread.tensile_area_mm2(size * INCH, INCH / per_inch) / INCH**2 == pytest.approx(exact, abs=6e-6)


@pytest.mark.parametrize(
    ("diameter", "pitch", "exact"),
    [(8.0, 1.0, 39.167), (9.0, 1.0, 51.045), (10.0, 1.25, 61.198), (8.0, 1.25, 36.608)],
)
def test_stress_areas_of_metric_threads_to_three_places(diameter, pitch, exact):
    # ISO 898-1, pi/4 (d - 0.9382 P)^2, worked by hand.
    assert thread.tensile_area_mm2(diameter, pitch) == pytest.approx(exact, abs=6e-4)


def test_grades_by_their_standards():
    # ISO 898-1 (8.8 up to 16 mm from memory) and SAE J429 as in Shigley and Mischke, 5th ed., p. 341.
    table = {
        name: (grade.proof_mpa, grade.yield_mpa, grade.tensile_mpa) for name, grade in grades.GRADES.items()
    }
    assert table["12.9"] == (970.0, 1100.0, 1220.0)
    assert table["10.9"] == (830.0, 940.0, 1040.0)
    assert table["8.8"] == (580.0, 640.0, 800.0)
    ksi = KIP / INCH**2
    assert table["sae_8"] == pytest.approx((120 * ksi, 130 * ksi, 150 * ksi))
    assert table["sae_5"] == pytest.approx((85 * ksi, 92 * ksi, 120 * ksi))
    assert 970.0 * thread.tensile_area_mm2(10.0, 1.25) == pytest.approx(59_360, abs=10)  # N
    assert 970.0 * thread.tensile_area_mm2(8.0, 1.0) == pytest.approx(37_990, abs=10)


def test_torque_factors_of_the_table():
    # Shigley 9th ed. table 8-15, p. 439.
    factors = {name: friction.factor for name, friction in torque.LUBRICANTS.items()}
    assert factors == {
        "black_dry": 0.30,
        "zinc": 0.20,
        "lubricated": 0.18,
        "cadmium": 0.16,
        "anti_seize": 0.12,
    }


def test_printed_torque_test_of_a_large_bolt():
    # 7/8-9, 400 lbf ft: 30 000 lbf dry, 32 000 oiled; K recomputed 0.183 and 0.171.
    for tension, factor in ((30_000, 0.183), (32_000, 0.171)):
        assert torque.preload_n(400 * LBF_FT, 0.875 * INCH, factor) / LBF == pytest.approx(tension, rel=3e-3)


def test_textbook_example_of_a_preloaded_bolt_in_stresses_and_torque():
    # Shigley example 8-3, 3/4-16 grade 5, area 0.373 in2: 67.02 kpsi, 15 and 21 percent below 85; 3750 lbf in.
    share, proof = joint.bolt_share(6.50, 13.8), grades.GRADES["sae_5"].proof_mpa / (KIP / INCH**2)
    preload, loaded = 25.0 / 0.373, (share * 6.0 + 25.0) / 0.373
    assert preload == pytest.approx(67.02, abs=0.01)
    assert 1 - loaded / proof == pytest.approx(0.15, abs=0.005)
    assert 1 - preload / proof == pytest.approx(0.21, abs=0.005)
    lbf_in = LBF_FT / 12
    assert torque.torque_nm(25.0 * KIP, 0.75 * INCH, 0.2) / lbf_in == pytest.approx(3750, rel=1e-9)
    # Part (c), eq. 8-26 with 0.15 in thread and collar: mean diameter between 0.75 and the root, lead 1/16.
    mean, lean = (0.75 + 0.6685) / 2, 1 / math.cos(math.radians(30))
    climb = 1 / 16 / (math.pi * mean)
    factor = mean / 1.5 * (climb + 0.15 * lean) / (1 - 0.15 * climb * lean) + 0.625 * 0.15
    assert factor == pytest.approx(0.1894, abs=3e-4)
    assert torque.torque_nm(25.0 * KIP, 0.75 * INCH, factor) / lbf_in == pytest.approx(3551, abs=6)


def test_ten_lubricated_bolts_lie_within_the_scatter_that_is_told():
    # Shigley table 8-14: 90 N m each, tensions in kN.
    found = np.array([30.3, 32.5, 32.5, 32.9, 32.9, 33.8, 34.3, 34.7, 37.4, 40.5])
    assert found.mean() == pytest.approx(34.18, abs=0.005)
    assert found.std(ddof=1) == pytest.approx(2.88, abs=0.005)
    low, high = found.min() / found.mean() - 1, found.max() / found.mean() - 1
    assert (low, high) == pytest.approx((-0.114, 0.185), abs=5e-4)
    told = torque.scattered(found.mean(), torque.LUBRICANTS["lubricated"].scatter)
    assert told.low_n < found.min() < told.middle_n < found.max() < told.high_n
    assert (told.high_n - found.mean()) / found.mean() < 1.3 * high  # and it is no wider than it must be
    assert told.high_n / told.low_n == pytest.approx(
        1.5
    )  # VDI 2230: 1.4 to 1.6 by torque wrench, from memory


@pytest.mark.parametrize(("factor", "wanted"), [(0.20, 49.39), (0.18, 44.45), (0.15, 37.04), (0.12, 29.63)])
def test_preload_of_a_grade_8_bolt(factor, wanted):
    # 0.75 of 120 ksi on the table's 0.0878 in2: 7902 lbf.
    preload = joint.PROOF_SHARE * 120_000 * 0.0878
    assert preload == pytest.approx(7902, abs=0.5)
    assert torque.torque_nm(preload * LBF, 0.375 * INCH, factor) / LBF_FT == pytest.approx(wanted, abs=0.005)


def test_preload_of_a_metric_bolt():
    # M10x1.25 class 12.9: 44.52 kN, 66.8 N m at K 0.15, 89.0 at 0.20.
    preload = joint.PROOF_SHARE * grades.GRADES["12.9"].proof_mpa * thread.tensile_area_mm2(10.0, 1.25)
    assert preload == pytest.approx(44_520, abs=5)
    assert torque.torque_nm(preload, 10.0, 0.15) == pytest.approx(66.8, abs=0.05)
    assert torque.torque_nm(preload, 10.0, 0.20) == pytest.approx(89.0, abs=0.1)


def test_stretch_of_a_bolt():
    # F L / (A E): 7902 lbf over 1.5 in of thread 0.0045 in, of full 3/8 shank 0.00358; E 30 million psi.
    modulus = 30e6 * LBF / INCH**2
    for area, wanted in ((0.0878, 0.00450), (math.pi / 4 * 0.375**2, 0.00358)):
        spring = stretch.Spring(1.5 * INCH, area * INCH**2)
        found = stretch.stretch_mm(7902 * LBF, stretch.compliance_mm_n([spring], modulus))
        assert found / INCH == pytest.approx(wanted, abs=6e-6)
    # 75 percent of 160 ksi over 1.6 in: 0.00640 in.
    spring = stretch.Spring(1.6 * INCH, 0.0878 * INCH**2)
    load = 0.75 * 160_000 * 0.0878 * LBF
    assert stretch.stretch_mm(load, stretch.compliance_mm_n([spring], modulus)) / INCH == pytest.approx(
        0.0064
    )
    # M10x1.25 class 12.9 at 0.75 of its proof load, 50 mm, E 205 GPa: 0.1774 mm.
    area = thread.tensile_area_mm2(10.0, 1.25)
    compliance = stretch.compliance_mm_n([stretch.Spring(50.0, area)])
    assert stretch.stretch_mm(0.75 * 970.0 * area, compliance) == pytest.approx(0.1774, abs=5e-5)
