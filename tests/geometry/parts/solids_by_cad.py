"""Solids and volumes by an exact CAD kernel (Open CASCADE), for tests; lengths in mm."""

from OCP.BRepAlgoAPI import BRepAlgoAPI_Common, BRepAlgoAPI_Cut, BRepAlgoAPI_Fuse
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakePolygon, BRepBuilderAPI_Transform
from OCP.BRepGProp import BRepGProp
from OCP.BRepPrimAPI import (
    BRepPrimAPI_MakeBox,
    BRepPrimAPI_MakeCylinder,
    BRepPrimAPI_MakePrism,
    BRepPrimAPI_MakeRevol,
)
from OCP.gp import gp_Ax1, gp_Ax2, gp_Dir, gp_Pnt, gp_Trsf, gp_Vec
from OCP.GProp import GProp_GProps


def volume(shape):
    found = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, found)
    return found.Mass()


def box(low, high):
    return BRepPrimAPI_MakeBox(gp_Pnt(*map(float, low)), gp_Pnt(*map(float, high))).Shape()


def cylinder(radius, start, direction, length):
    axis = gp_Ax2(gp_Pnt(*map(float, start)), gp_Dir(*map(float, direction)))
    return BRepPrimAPI_MakeCylinder(axis, float(radius), float(length)).Shape()


def face(points):
    wire = BRepBuilderAPI_MakePolygon()
    for point in points:
        wire.Add(gp_Pnt(*map(float, point)))
    wire.Close()
    return BRepBuilderAPI_MakeFace(wire.Wire()).Face()


def prism(points, along):
    return BRepPrimAPI_MakePrism(face(points), gp_Vec(*map(float, along))).Shape()


def turned(profile_rz, angle_rad):
    """A profile (r, z) in the plane y = 0 turned about +z, from +x towards +y."""
    axis = gp_Ax1(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1))
    return BRepPrimAPI_MakeRevol(face([(r, 0.0, z) for r, z in profile_rz]), axis, float(angle_rad)).Shape()


def rotated_about_z(shape, angle_rad):
    move = gp_Trsf()
    move.SetRotation(gp_Ax1(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1)), float(angle_rad))
    return BRepBuilderAPI_Transform(shape, move).Shape()


def cut(shape, *tools):
    for tool in tools:
        shape = BRepAlgoAPI_Cut(shape, tool).Shape()
    return shape


def fuse(shape, *others):
    for other in others:
        shape = BRepAlgoAPI_Fuse(shape, other).Shape()
    return shape


def common(shape, other):
    return BRepAlgoAPI_Common(shape, other).Shape()
