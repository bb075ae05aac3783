"""Bolts that stand out: the arcs in which they bite and the clearance they keep, against an exact CAD kernel."""

import numpy as np
import pytest
from OCP.BRepAlgoAPI import BRepAlgoAPI_Common
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakePolygon, BRepBuilderAPI_Transform
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from OCP.BRepGProp import BRepGProp
from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder, BRepPrimAPI_MakeRevol
from OCP.gp import gp_Ax1, gp_Ax2, gp_Dir, gp_Pnt, gp_Trsf
from OCP.GProp import GProp_GProps

from geometry.assembly import assemble
from geometry.mistakes.bolts.bolt_words import bolt_story
from geometry.solids import Cylinder, Revolved
from tests.geometry.mistakes.shop import made, mistake, right, spec


def solid(piece):
    """A piece as a CAD solid in its own frame."""
    if isinstance(piece, Cylinder):
        low = gp_Ax2(gp_Pnt(0, 0, -piece.length_mm / 2), gp_Dir(0, 0, 1))
        return BRepPrimAPI_MakeCylinder(low, piece.radius_mm, piece.length_mm).Shape()
    assert isinstance(piece, Revolved)
    outline = BRepBuilderAPI_MakePolygon()
    start = np.radians(piece.start_deg)
    for r, z in piece.profile_mm:
        outline.Add(gp_Pnt(r * np.cos(start), r * np.sin(start), z))
    outline.Close()
    face = BRepBuilderAPI_MakeFace(outline.Wire()).Face()
    span = np.radians(piece.end_deg - piece.start_deg)
    return BRepPrimAPI_MakeRevol(face, gp_Ax1(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1)), float(span)).Shape()


def placed(shape, X):
    move = gp_Trsf()
    move.SetValues(*X[:3].ravel().tolist())
    return BRepBuilderAPI_Transform(shape, move, True).Shape()


def solids(place, crank_deg):
    """The pieces of a place as CAD solids in the engine at a crank angle."""
    pose = place.law.poses(np.array(crank_deg))
    return [placed(solid(piece), pose @ piece.X_AP) for piece in place.pieces]


def shared_mm3(meeting, crank_deg):
    total = 0.0
    for a in solids(meeting.mine, crank_deg):
        for b in solids(meeting.other, crank_deg):
            properties = GProp_GProps()
            BRepGProp.VolumeProperties_s(BRepAlgoAPI_Common(a, b).Shape(), properties)
            total += properties.Mass()
    return total


@pytest.fixture(scope="module")
def too_long():
    base = right()
    wrong = assemble(base.spec, base.built.with_bore(3, bolt_out_mm=(6.35, 6.35)))
    return bolt_story(base, wrong, 3)


def test_it_hits_a_wall_inside_the_arc_and_not_outside(too_long):
    assert too_long.arcs
    arc = too_long.arcs[0]
    meeting = too_long.worst
    assert meeting.other.feature == "bore_wall"
    middle = (arc.start_deg + arc.end_deg) / 2
    assert shared_mm3(meeting, middle) > 1.0
    for outside in (arc.start_deg - 0.3, arc.end_deg + 0.3):
        assert shared_mm3(meeting, outside) == pytest.approx(0.0, abs=1e-6)
    for inside in (arc.start_deg + 0.5, arc.end_deg - 0.5):
        assert shared_mm3(meeting, inside) > 0.0


def test_clearance_as_designed_is_that_of_the_cad_kernel(too_long):
    # At the angle of the worst bite the same bolt, seated, clears the same wall by what the kernel measures.
    meeting = too_long.worst
    angle = too_long.arcs[0].start_deg - 2.0
    nearest = min(
        BRepExtrema_DistShapeShape(a, b).Value()
        for a in solids(meeting.mine, angle)
        for b in solids(meeting.other, angle)
    )
    from geometry.collision.distance_curve import distance_curve

    found = distance_curve(meeting.mine, meeting.other, [angle], 1e-3).distance_mm[0]
    assert found == pytest.approx(nearest, abs=5e-3)


def test_a_bolt_with_a_nut_reaches_out_below_it():
    rod = {
        "bolt": {
            "kind": "bolt_and_nut",
            "length": "2.20 in",
            "nut_diameter": "0.60 in",
            "nut_height": "0.40 in",
        }
    }
    base = assemble(spec(rod=rod))
    wrong = assemble(base.spec, mistake("bolt_too_long").make(base, 3))
    assert wrong.built.bore(3).bolt_longer_mm == 6.35
    lowest = {
        assembly: min(
            float((p.X_AP[2, 3]) - p.length_mm / 2)
            for f in assembly.body("rod_bolt 3 major").part.features
            for p in f.pieces
        )
        for assembly in (base, wrong)
    }
    assert lowest[base] - lowest[wrong] == pytest.approx(6.35, abs=1e-9)
    assert wrong.body("rod_bolt 1 major").part.features != wrong.body("rod_bolt 3 major").part.features


def test_a_bolt_that_clears_is_seen_only():
    rod = {"bolt": {"head_height": "0.10 in"}}
    base = assemble(spec(rod=rod))
    _, study = made("bolt_not_seated", 3, base)
    assert study.signature.seen_only is (not study.signature.tight)
    assert "feeler blade" in study.look_for
