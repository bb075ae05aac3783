"""Peaks against dense sampling, in every geometry that turns over."""

import numpy as np
import pytest
from hypothesis import given, settings

from geometry.kinematics.slider_crank import after_own_top_dead_centre_deg, dead_centres, state
from geometry.kinematics.speeds import peak_acceleration, peak_speed
from tests.geometry.linkages import LAYOUTS, engine, linkages, one_bore, wide_linkage


def greatest(linkage, value, step_deg):
    """Greatest value of a function of the motion state over the turn, per bore, by plain sampling."""
    best = np.full(linkage.x_mm.size, -np.inf)
    for start in np.arange(0.0, 360.0, 20.0):
        motion = state(linkage, np.arange(start, start + 20.0, step_deg))
        best = np.maximum(best, value(motion).max(axis=0))
    return best


def near_the_narrow_place(linkage, value):
    """The same, sampled finely where the rod lies most across the bore."""
    sides = np.concatenate(
        [side + np.geomspace(1e-4, 5.0, 400) * sign for side in (90, 270) for sign in (1, -1)]
    )
    return value(state(linkage, sides)).max(axis=0)


PEAKS = {
    "down": (lambda linkage: peak_speed(linkage).speed_mm_per_rad, lambda m: -m.velocity_mm_per_rad),
    "up": (lambda linkage: peak_speed(linkage, "up").speed_mm_per_rad, lambda m: m.velocity_mm_per_rad),
    "acceleration": (
        lambda linkage: np.abs(peak_acceleration(linkage).acceleration_mm_per_rad2),
        lambda m: np.abs(m.acceleration_mm_per_rad2),
    ),
}


@pytest.mark.parametrize("which", PEAKS)
def test_no_sample_passes_the_peak_and_some_sample_comes_near(which):
    peak, value = PEAKS[which]
    linkage = wide_linkage(400, seed=1, least_excess=1e-3)
    found = peak(linkage)
    sampled = np.maximum(greatest(linkage, value, 0.1), near_the_narrow_place(linkage, value))
    assert (sampled <= found * (1.0 + 1e-12)).all()
    assert (sampled >= found * (1.0 - 1e-4)).all()


@settings(max_examples=25)
@given(linkages(least_rod_over_reach=1.1))
def test_the_angle_given_is_where_the_peak_is(linkage):
    bores = np.arange(linkage.x_mm.size)
    for stroke, sign in (("down", -1.0), ("up", 1.0)):
        peak = peak_speed(linkage, stroke)
        there = state(linkage, peak.crank_deg)
        np.testing.assert_allclose(
            sign * there.velocity_mm_per_rad[bores, bores], peak.speed_mm_per_rad, rtol=1e-12
        )
        after_deg = after_own_top_dead_centre_deg(linkage, peak.crank_deg)[bores, bores]
        np.testing.assert_allclose(after_deg, peak.after_top_deg, atol=1e-9)
        down_deg = dead_centres(linkage).down_stroke_deg
        assert (
            (peak.after_top_deg < down_deg).all()
            if stroke == "down"
            else (peak.after_top_deg > down_deg).all()
        )
    most = peak_acceleration(linkage)
    there = state(linkage, most.crank_deg)
    np.testing.assert_allclose(
        there.acceleration_mm_per_rad2[bores, bores], most.acceleration_mm_per_rad2, rtol=1e-12
    )


def test_without_offset_both_strokes_are_equally_fast_and_mirror_one_another():
    down, up = peak_speed(one_bore(44.0, 150.0)), peak_speed(one_bore(44.0, 150.0), "up")
    assert down.speed_mm_per_rad == pytest.approx(up.speed_mm_per_rad, rel=1e-14)
    assert down.after_top_deg == pytest.approx(360.0 - up.after_top_deg, abs=1e-10)


@pytest.mark.parametrize("sense", [1, -1])
def test_offset_makes_the_shorter_stroke_the_faster_one(sense):
    linkage = one_bore(44.0, 150.0, 10.0, sense)
    down, up = peak_speed(linkage).speed_mm_per_rad, peak_speed(linkage, "up").speed_mm_per_rad
    assert (down > up) == (dead_centres(linkage).down_stroke_deg < 180.0)


def test_acceleration_peaks_at_top_dead_centre_in_an_ordinary_engine():
    most = peak_acceleration(engine(*LAYOUTS["cross-plane V8"]))
    np.testing.assert_array_equal(most.after_top_deg, 0.0)
    np.testing.assert_allclose(most.crank_deg, dead_centres(engine(*LAYOUTS["cross-plane V8"])).top_deg)
    # Greatest at top dead centre and there r (1 + r / l): Heywood section 2.2 and any vibration textbook.
    np.testing.assert_allclose(most.acceleration_mm_per_rad2, -44.0 * (1.0 + 44.0 / 150.0), rtol=1e-14)


def test_acceleration_peak_leaves_dead_centre_when_the_rod_is_very_short():
    most = peak_acceleration(one_bore(44.0, 46.0))
    assert 60.0 < most.after_top_deg < 120.0
    assert abs(most.acceleration_mm_per_rad2) > 44.0 * (1.0 + 44.0 / 46.0)
