"""Sections are drawn to scale: what stands on the paper is the geometry, not a likeness of it."""

import numpy as np
import pytest

from tests.geometry.mistakes.shop import right, row
from tests.viewer.explained.bench import case_of, half


def outlines(axis):
    return [patch.get_xy() for patch in axis.patches]


@pytest.mark.parametrize("wrong", [False, True])
def test_fillet_and_chamfer_have_their_true_sizes(wrong):
    case = case_of(right(), "rod_turned", 3)
    axis, _ = half(case, wrong)
    spec = case.right.spec
    R, leg = spec.crank.pin.fillet_mm, spec.rod.chamfer.other_mm if wrong else spec.rod.chamfer.cheek_mm
    gap = (spec.rod.big_end.bore_mm - spec.crank.pin.diameter_mm) / 2
    crank = outlines(axis)[0]
    arc = crank[np.hypot(crank[:, 0] - R, crank[:, 1] - R) < 1.001 * R]
    assert len(arc) > 50
    rod = next(xy for xy in outlines(axis) if any(np.allclose(point, [0.0, gap + leg]) for point in xy))
    assert any(np.allclose(point, [leg, gap]) for point in rod)
    assert axis.get_aspect() == 1.0
    said = " ".join(text.get_text() for text in axis.texts)
    assert ("into the fillet" in said) is wrong


def test_the_bite_is_filled_only_where_there_is_one():
    case = case_of(right(), "rod_turned", 3)
    red = [sum(patch.get_facecolor()[0] > 0.6 > 3 * patch.get_facecolor()[1] for patch in half(case, w)[0].patches)
           for w in (False, True)]  # fmt: skip
    assert red == [0, 1]


@pytest.mark.parametrize("rotation", ["clockwise", "counter-clockwise"])
@pytest.mark.parametrize("wrong", [False, True])
def test_crankpin_stands_on_its_circle_where_the_table_says(wrong, rotation):
    case = case_of(right("vee90", rotation), "rod_pushed_down", 3)
    axis, spot = half(case, wrong, words=False)
    throw, radius = case.right.spec.crank.stroke_mm / 2, case.right.spec.crank.pin.diameter_mm / 2
    rounds = [xy[:-1] for xy in outlines(axis)
              if np.ptp(np.hypot(*(xy[:-1] - xy[:-1].mean(axis=0)).T)) < 1e-6 and len(xy) > 100]  # fmt: skip
    pin = next(
        xy.mean(axis=0) for xy in rounds if np.hypot(*(xy - xy.mean(axis=0)).T)[0] == pytest.approx(radius)
    )
    assert np.hypot(*pin) == pytest.approx(throw, rel=5e-3)
    # From the front an engine that turns clockwise carries its pin to the right after top. True top dead centre lies
    # where rod and throw are in line, asin(offset / (rod + throw)) off the bore's axis.
    told = float(row(case.study, "the same after")["wrong"].strip("°")) if wrong else 180.0
    site, rod = case.site, case.right.spec.rod.length_mm
    off = np.degrees(np.arcsin(site.offset_mm / (rod + throw))) if wrong else 0.0
    sense = 1.0 if rotation == "clockwise" else -1.0
    assert np.degrees(np.arctan2(pin[0], pin[1])) % 360.0 == pytest.approx(
        (sense * told - off) % 360.0, abs=1e-3
    )
    if wrong:
        assert np.hypot(*(np.array(spot) - pin)) == pytest.approx(radius, rel=1e-6)
        assert f"{case.study.spot.crank_deg:.0f}°" == case.study.rows[0]["wrong"]
