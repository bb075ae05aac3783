"""Sections are drawn to scale: what stands on the paper is the geometry, not a likeness of it."""

import numpy as np
import pytest
from matplotlib.figure import Figure

from geometry.assembly import assemble
from geometry.checks.fillets import side_fit
from tests.geometry.mistakes.shop import right
from viewer.paper.sections.fillet import draw_corner
from viewer.paper.sections.push import _panel


def corner(turned):
    base = right()
    assembly = assemble(base.spec, base.built.with_bore(3, rod_turned=turned))
    axis = Figure().subplots()
    axis.set_aspect("equal")
    fit = side_fit(assembly, assembly.layout.site(3))
    draw_corner(axis, assembly.design(3), fit, 3.175, "mm")
    return base.spec, fit, axis


@pytest.mark.parametrize("turned", [False, True])
def test_fillet_and_chamfer_have_their_true_sizes(turned):
    spec, fit, axis = corner(turned)
    fillet, rod = (np.column_stack(line.get_data()) for line in axis.get_lines()[:2])
    R, leg = spec.crank.pin.fillet_mm, spec.rod.chamfer.other_mm if turned else spec.rod.chamfer.cheek_mm
    arc = fillet[1:-1]
    assert np.hypot(arc[:, 0] - R, arc[:, 1] - R) == pytest.approx(np.full(len(arc), R))
    gap = (spec.rod.big_end.bore_mm - spec.crank.pin.diameter_mm) / 2
    assert rod[1:3] == pytest.approx(np.array([[0.0, gap + leg], [leg, gap]]))
    assert axis.get_aspect() == 1.0
    said = " ".join(text.get_text() for text in axis.texts)
    assert ("into the fillet" in said) is (fit.rod.clearance_mm < -1e-9)


def test_the_bite_is_filled_only_where_there_is_one():
    assert len(corner(False)[2].collections) == 0
    assert len(corner(True)[2].collections) == 1


def test_crankpin_stands_on_its_circle():
    base = right()
    axis = Figure().subplots()
    _panel(axis, base, base.layout.site(3), 40.0)
    throw = base.spec.crank.stroke_mm / 2
    pin = next(p for p in axis.patches if p.get_zorder() == 5)
    centre = pin.get_xy()[:-1].mean(axis=0)
    assert np.hypot(*centre) == pytest.approx(throw, rel=5e-3)
    assert np.degrees(np.arctan2(-centre[0], centre[1])) == pytest.approx(40.0, abs=0.5)
