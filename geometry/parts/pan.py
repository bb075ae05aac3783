"""The oil pan with its windage tray, where the engine file gives one: a sheet box under the pan rail."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import Final

from geometry.built import Built
from geometry.feature import Feature, Group
from geometry.kinematics.layout import Layout
from geometry.kinematics.poses import translation
from geometry.parts.part import Body, Part, PartType
from geometry.parts.shapes import meshing
from geometry.solids import Box, Mesh
from geometry.spec.engine import Engine

THINNEST_MM: Final = 0.2
"""A sheet of no thickness is no solid."""


def bodies(spec: Engine, layout: Layout, built: Built) -> Sequence[Body]:
    """The pan, or nothing when the engine file has none."""
    if spec.pan is None:
        return []
    features = pan_features(spec, layout.length_mm)
    part = Part("pan", "steel", features, partial(_mesh, features))
    return [Body("pan", part, "E")]


def pan_features(spec: Engine, length_mm: float) -> tuple[Feature, ...]:
    """Floor, sides, flange and tray in the engine frame: boxes that meet face to face."""
    pan, rail = spec.pan, spec.block.pan_rail
    assert pan is not None
    wall = max(pan.wall_mm, THINNEST_MM)
    top, inside, outside = rail.height_mm, rail.inside_mm, rail.inside_mm + wall
    flange = rail.inside_mm + rail.width_mm

    def between(x: tuple[float, float], y: tuple[float, float], z: tuple[float, float]) -> Box:
        low, high = zip(x, y, z, strict=True)
        size = (high[0] - low[0], high[1] - low[1], high[2] - low[2])
        return Box(size, translation([(a + b) / 2 for a, b in zip(low, high, strict=True)]))

    whole, middle = (0.0, length_mm), (wall, length_mm - wall)
    sides = [("right", (inside, outside)), ("left", (-outside, -inside))]
    ends = [("front", (0.0, wall)), ("rear", (length_mm - wall, length_mm))]
    flanges = {"right": (outside, flange), "left": (-flange, -outside)}
    floor = between(whole, (-outside, outside), (pan.floor_mm - wall, pan.floor_mm))
    features = [Feature("pan_floor", (floor,), group=Group.PAN)]
    for place, across in sides:
        lip = between(whole, flanges[place], (top - wall, top))
        side = between(whole, across, (pan.floor_mm, top))
        features.append(Feature("pan_side", (side, lip), place, group=Group.PAN))
    for place, along in ends:
        end = between(along, (-inside, inside), (pan.floor_mm, top))
        features.append(Feature("pan_side", (end,), place, group=Group.PAN))
    if pan.tray_mm is not None:
        tray = between(middle, (-inside, inside), (pan.tray_mm - wall, pan.tray_mm))
        features.append(Feature("windage_tray", (tray,), group=Group.PAN))
    return tuple(features)


def _mesh(features: tuple[Feature, ...]) -> Mesh:
    solids = [meshing.piece_solid(piece) for feature in features for piece in feature.pieces]
    return meshing.to_mesh(meshing.union(solids))


PART = PartType("pan", bodies)
