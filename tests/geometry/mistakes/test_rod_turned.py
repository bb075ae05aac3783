"""A rod turned round: depth in the fillet against an exact CAD kernel and plane geometry; side play that is left."""

import numpy as np
import pytest
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeVertex
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from OCP.BRepPrimAPI import BRepPrimAPI_MakeTorus
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
from scipy.optimize import brentq

from geometry.assembly import assemble
from geometry.checks.fillets import side_fit
from tests.geometry.mistakes.shop import made, right, row, spec


def torus_distance(spec, axial, radial):
    """Distance from a point beside the cheek to the fillet's torus, in a CAD kernel, mm.

    The crankpin lies along +z with the cheek's face at z = 0.
    """
    R, pin = spec.crank.pin.fillet_mm, spec.crank.pin.diameter_mm / 2
    axes = gp_Ax2(gp_Pnt(0, 0, R), gp_Dir(0, 0, 1))
    torus = BRepPrimAPI_MakeTorus(axes, pin + R, R).Shell()
    vertex = BRepBuilderAPI_MakeVertex(gp_Pnt(pin + radial, 0, axial)).Vertex()
    return BRepExtrema_DistShapeShape(vertex, torus).Value()


@pytest.mark.parametrize(
    "fillet, chamfer", [("0.125 in", "0.010 in"), ("0.140 in", "0.020 in"), ("3.0 mm", "0.2 mm")]
)
def test_depth_is_that_of_the_cad_kernel(fillet, chamfer):
    engine = spec(crank={"pin": {"fillet": fillet}}, rod={"chamfer": {"other": chamfer}})
    base = assemble(engine)
    wrong, study = made("rod_turned", 3, base)
    gap = (engine.rod.big_end.bore_mm - engine.crank.pin.diameter_mm) / 2
    leg = engine.rod.chamfer.other_mm
    # Both corners of the chamfer, rod against the cheek; the deeper one counts.
    depths = [torus_distance(engine, 0.0, gap + leg), torus_distance(engine, leg, gap)]
    assert -row(study, "rod's edge")["wrong"].value == pytest.approx(max(depths), abs=1e-7)
    assert row(study, "rod's edge")["verdict"] == "digs in"
    del wrong


def test_side_play_left_by_search_for_the_first_touch():
    # Push the corner away from the cheek until it leaves the fillet: root of the CAD kernel's own distance.
    engine = right().spec
    _, study = made("rod_turned", 3)
    gap = (engine.rod.big_end.bore_mm - engine.crank.pin.diameter_mm) / 2
    leg, R = engine.rod.chamfer.other_mm, engine.crank.pin.fillet_mm

    def inside(side):  # distance from the arc's centre less its radius, by Pythagoras
        return max(np.hypot(R - side, R - gap - leg), np.hypot(R - side - leg, R - gap)) - R

    needed = brentq(inside, 0.0, R)
    total = engine.crank.pin.width_mm - 2 * engine.rod.big_end.width_mm
    assert row(study, "side clearance left")["wrong"].value == pytest.approx(total - needed, abs=1e-9)
    assert study.signature.side_play_mm.keys() == {3, 4}


def test_both_rods_of_a_pin_turned_are_bound():
    wrong, study = made("rods_exchanged", 3)
    assert study.signature.bound
    assert wrong.built.bore(3).rod_turned
    assert wrong.built.bore(4).rod_turned
    assert set(study.signature.bores) == {3, 4}


def test_between_two_cheeks_turning_changes_nothing():
    base = right("inline")
    wrong, study = made("rod_turned", 2, base)
    assert study.signature.seen_only
    assert side_fit(wrong, wrong.layout.site(2)).left_mm == side_fit(base, base.layout.site(2)).left_mm


def test_equal_chamfers_leave_oil_hole_tangs_and_numbers_on_the_wrong_side():
    base = assemble(spec(rod={"chamfer": {"other": "0.125 in"}}))
    for key, bores in (("rod_turned", (1,)), ("rods_exchanged", (1, 2))):
        wrong, study = made(key, 1, base)
        assert all(wrong.built.bore(bore).rod_turned for bore in bores)
        assert study.signature.seen_only
        assert study.signature.side_play_mm == {}
        for thing in ("oil hole", "tangs", "numbers", "alike"):
            assert thing in study.does
        assert "small chamfer" not in study.does
        assert "large chamfer" not in study.look_for
        assert "fits either way" not in study.does


def test_a_turned_cap_brings_the_same_edge_to_the_fillet():
    _, rod = made("rod_turned", 5)
    _, cap = made("cap_turned", 5)
    assert row(cap, "rod's edge")["wrong"] == row(rod, "rod's edge")["wrong"]
