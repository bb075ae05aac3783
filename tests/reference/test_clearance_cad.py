"""Clearances against an exact CAD kernel: solids built there from the same dimensions, distances by the kernel.

The kernel builds its own cylinders, boxes, lobes (two discs and their tangent prism) and turned walls, and moves
them by poses computed here from the slider-crank's textbook formula, not by the package.
"""

import numpy as np
import pytest
from OCP.BRepAlgoAPI import BRepAlgoAPI_Common, BRepAlgoAPI_Fuse
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakePolygon, BRepBuilderAPI_Transform
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from OCP.BRepGProp import BRepGProp
from OCP.BRepPrimAPI import (
    BRepPrimAPI_MakeBox,
    BRepPrimAPI_MakeCylinder,
    BRepPrimAPI_MakePrism,
    BRepPrimAPI_MakeRevol,
)
from OCP.gp import gp_Ax1, gp_Ax2, gp_Dir, gp_Pnt, gp_Trsf, gp_Vec
from OCP.GProp import GProp_GProps

from geometry.collision.certify import certify
from geometry.collision.distance_curve import distance_curve
from geometry.collision.mover import Mover
from geometry.collision.overlap import overlap
from geometry.kinematics.laws import fixed, piston, rod, spin
from geometry.solids import Box, Cylinder, Lobe, Revolved
from tests.geometry.collision.scene import at, slab

R, L, D, BANK, PIN = 44.0, 145.0, 0.8, 45.0, 30.0


def polygon(points):
    builder = BRepBuilderAPI_MakePolygon()
    for point in points:
        builder.Add(gp_Pnt(*(float(v) for v in point)))
    builder.Close()
    return BRepBuilderAPI_MakeFace(builder.Wire()).Face()


def kernel(piece):
    """The solids of one piece in the kernel, in the piece's own frame; their union is the piece."""
    if isinstance(piece, Cylinder):
        axes = gp_Ax2(gp_Pnt(0, 0, -piece.length_mm / 2), gp_Dir(0, 0, 1))
        return [BRepPrimAPI_MakeCylinder(axes, piece.radius_mm, piece.length_mm).Solid()]
    if isinstance(piece, Box):
        x, y, z = piece.size_mm
        return [BRepPrimAPI_MakeBox(gp_Pnt(-x / 2, -y / 2, -z / 2), gp_Pnt(x / 2, y / 2, z / 2)).Solid()]
    if isinstance(piece, Lobe):
        big, small, apart, h = piece.radius_mm, piece.nose_radius_mm, piece.distance_mm, piece.length_mm / 2
        lean = (big - small) / apart
        up = np.sqrt(1 - lean * lean)
        corners = [
            (s * r * up, c + r * lean, -h)
            for s, r, c in ((1, big, 0.0), (1, small, apart), (-1, small, apart), (-1, big, 0.0))
        ]
        ends = [
            BRepPrimAPI_MakeCylinder(gp_Ax2(gp_Pnt(0, y, -h), gp_Dir(0, 0, 1)), r, 2 * h).Solid()
            for y, r in ((0.0, big), (apart, small))
        ]
        return [*ends, BRepPrimAPI_MakePrism(polygon(corners), gp_Vec(0, 0, 2 * h)).Shape()]
    if isinstance(piece, Revolved):
        face = polygon([(r, 0.0, z) for r, z in piece.profile_mm])
        axis = gp_Ax1(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1))
        turn = gp_Trsf()
        turn.SetRotation(axis, np.radians(piece.start_deg))
        solid = BRepPrimAPI_MakeRevol(face, axis, np.radians(piece.end_deg - piece.start_deg)).Shape()
        return [BRepBuilderAPI_Transform(solid, turn, True).Shape()]
    raise TypeError(piece)


def placed(solids, X):
    move = gp_Trsf()
    move.SetValues(*(float(v) for v in X[:3].ravel()))
    return [BRepBuilderAPI_Transform(s, move, True).Shape() for s in solids]


def kernel_distance(a, b, X_a, X_b):
    """Smallest distance of the solids of two movers at given body poses."""
    left = [s for p in a.pieces for s in placed(kernel(p), X_a @ p.X_AP)]
    right = [s for p in b.pieces for s in placed(kernel(p), X_b @ p.X_AP)]
    return min(BRepExtrema_DistShapeShape(p, q).Value() for p in left for q in right)


def turned(angle_deg, shift=(0.0, 0.0, 0.0)):
    c, s = np.cos(np.radians(angle_deg)), np.sin(np.radians(angle_deg))
    X = np.eye(4)
    X[:3, :3], X[:3, 3] = [[1, 0, 0], [0, c, -s], [0, s, c]], shift
    return X


def textbook_pose(kind, crank_deg):
    """Pose of a body from the slider-crank with an offset pin (any textbook on mechanisms)."""
    if kind == "fixed":
        return np.eye(4)
    if kind == "spin":
        return turned(crank_deg)
    if kind == "cam":
        return turned(0.5 * crank_deg, (0.0, 0.0, 135.0))
    phi = np.radians(PIN + crank_deg - BANK)
    s = R * np.cos(phi) + np.sqrt(L**2 - (D + R * np.sin(phi)) ** 2)
    if kind == "piston":
        return turned(BANK) @ turned(0.0, (0.0, 0.0, s))
    lean = np.degrees(-np.arcsin((D + R * np.sin(phi)) / L))
    return turned(BANK) @ turned(lean, (0.0, -R * np.sin(phi), R * np.cos(phi)))


LAWS = {
    "fixed": fixed(),
    "spin": spin(),
    "cam": spin(1, 0.5, (0.0, 0.0, 135.0)),
    "rod": rod(0.0, BANK, PIN, R, L, D),
    "piston": piston(0.0, BANK, PIN, R, L, D),
}
BOLT = (Cylinder(7.0, 9.0, at(y=30.0, z=-26.5)), Cylinder(4.5, 40.0, at(y=30.0)))
BIG_END = (Cylinder(31.0, 20.0, at(axis="x")),)
WALL = Revolved(
    np.array([[51.0, 84.0], [53.0, 82.0], [57.0, 82.0], [57.0, 220.0], [51.0, 220.0]]),
    X_AP=at(x=12.0, turn_deg=-BANK),
    outward=True,
)
NOTCHED = (
    Revolved(slab(51.0, 57.0, 40.0), -60.0, 60.0, at(z=122.0, turn_deg=-BANK)),
    Revolved(slab(55.0, 57.0, 40.0), 60.0, 120.0, at(z=122.0, turn_deg=-BANK)),
)
SKIRT = (Revolved(slab(45.0, 50.8, 25.0), 55.0, 125.0),)
WEIGHT = (Revolved(slab(28.0, 74.0, 7.0), 120.0, 240.0, at(x=3.0, axis="x")),)
CASES = {
    "bolt and rail": (("rod", BOLT), ("fixed", (Box((80.0, 14.0, 12.0), at(y=93.0, z=-46.0)),))),
    "big end and the other bank's bore": (("rod", BIG_END), ("fixed", (WALL,))),
    "bolt and a notched bore": (("rod", BOLT), ("fixed", NOTCHED)),
    "counterweight and skirt": (("spin", WEIGHT), ("piston", SKIRT)),
    "big end and cam lobe": (("rod", BIG_END), ("cam", (Lobe(17.0, 9.0, 14.0, 12.0, at(axis="x")),))),
    "cheek and wall": (
        ("spin", (Lobe(33.0, 31.0, R, 14.0, at(axis="x")),)),
        ("fixed", (Box((60.0, 8.0, 100.0), at(y=-96.0, z=-10.0, turn_deg=7.0)),)),
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_distances_are_those_of_the_kernel(name):
    (kind_a, pieces_a), (kind_b, pieces_b) = CASES[name]
    a, b = Mover("a", LAWS[kind_a], pieces_a), Mover("b", LAWS[kind_b], pieces_b)
    found = certify(a, b, 720.0 if "cam" in (kind_a, kind_b) else 360.0)
    angles = np.array([found.crank_deg, 17.0, 151.0, 283.0])
    ours = distance_curve(a, b, angles, accuracy_mm=1e-4).distance_mm
    for crank, distance in zip(angles, ours, strict=True):
        theirs = kernel_distance(a, b, textbook_pose(kind_a, crank), textbook_pose(kind_b, crank))
        assert theirs == pytest.approx(max(distance, 0.0), abs=2e-3), crank
        # the kernel's own distance anywhere is a distance the certificate must not deny
        assert found.min_mm - found.within_mm <= theirs + 1e-6
    assert found.within_mm <= 0.01 + 1e-9


def test_the_overlap_volume_is_the_kernels():
    pin = Mover("pin", fixed(), (Cylinder(9.0, 60.0, at(y=2.0, axis="x")),))
    post = Mover("post", fixed(), (Lobe(12.0, 6.0, 15.0, 30.0, at(x=4.0)),))
    solids = [placed(kernel(m.pieces[0]), m.pieces[0].X_AP) for m in (pin, post)]
    lobe = BRepAlgoAPI_Fuse(BRepAlgoAPI_Fuse(*solids[1][:2]).Shape(), solids[1][2]).Shape()
    props = GProp_GProps()
    BRepGProp.VolumeProperties_s(BRepAlgoAPI_Common(solids[0][0], lobe).Shape(), props)
    assert overlap(pin, post, 0.0).volume_mm3 == pytest.approx(props.Mass(), rel=2e-3)
