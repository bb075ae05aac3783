"""A distance in the window points at the two parts that it names, at its least and at any other angle."""

import numpy as np
import pytest

from geometry.checks.close_places import close_places
from geometry.parts.heads import head_circle
from tests.geometry.off_surface import FACETS_MM, off_surface_mm
from viewer.looks import LOOKS
from viewer.scene import Callout, ViewOptions, aim, build_scene, project
from viewer.scene.lettering import letter
from viewer.window.closest import callout_at

EXACT = ({"piston 1", "head"}, {"crank", "block"}, {"crank", "main_cap 2"}, {"rod 1", "piston 1"})
"""Pairs of the single whose certified solids are the ones that are drawn."""


@pytest.fixture(scope="module")
def places(knot):
    return [close for close in close_places(knot) if set(close.bodies) in EXACT]


@pytest.mark.parametrize("away_deg", [0.0, 47.0])
def test_each_end_lies_on_the_part_that_it_is_named_for(knot, places, away_deg):
    assert len(places) == len(EXACT)
    for close in places:
        crank = close.crank_deg + away_deg
        callout = callout_at(close, crank, "mm")
        assert callout.between == close.bodies
        assert np.linalg.norm(callout.a_mm - callout.b_mm) == pytest.approx(callout.value_mm, abs=0.02)
        for point, name in zip((callout.a_mm, callout.b_mm), callout.between, strict=True):
            assert off_surface_mm(knot, name, point, crank) < FACETS_MM, (callout.between, name)


def test_a_callout_at_a_bolt_head_draws_the_circle_that_the_head_is_held_as(tern):
    body, crank = tern.body("rod_bolt 3 major"), 77.0
    bolt = tern.spec.rod.bolt
    X_EF = tern.frame_poses(crank)["R3"]
    # A point of the head's side, a third of its height up: from the written numbers, not from the piece.
    height = -bolt.seat_mm - 2 * bolt.head_height_mm / 3
    on_side = [bolt.head_diameter_mm / 2 * np.cos(0.4), bolt.head_diameter_mm / 2 * np.sin(0.4), height]
    X_EA = X_EF @ body.X_FA
    circle = head_circle(body, X_EF, X_EA[:3, :3] @ on_side + X_EA[:3, 3])
    own = (circle - X_EA[:3, 3]) @ X_EA[:3, :3]
    assert np.hypot(own[:, 0], own[:, 1]) == pytest.approx(bolt.head_diameter_mm / 2)
    assert own[:, 2] == pytest.approx(height)
    assert np.ptp(np.arctan2(own[:, 1], own[:, 0])) > 6.0
    shank = [bolt.diameter_mm / 2, 0.0, 5.0]
    assert head_circle(body, X_EF, X_EA[:3, :3] @ shank + X_EA[:3, 3]) is None
    assert head_circle(tern.body("rod 3"), X_EF, X_EA[:3, :3] @ on_side + X_EA[:3, 3]) is None


def test_the_circle_is_lettered_in_the_colour_of_the_verdict(tern):
    circle = np.array([[0.0, np.cos(a), np.sin(a)] for a in np.linspace(0.0, 2 * np.pi, 13)]) * 9.0
    ends = np.array([0.0, 9.0, 0.0]), np.array([0.0, 14.0, 0.0])
    callout = Callout(*ends, "5 mm", "close", ("rod_bolt 3 major", "block"), 5.0, 0.0, (circle,))
    scene = build_scene(tern, ViewOptions(view="front"), [callout])
    size = (800, 600)
    camera = aim(scene.framing, size[0] / size[1])
    lines = letter(scene, camera, size, lambda text, height, bold: (height * len(text), height)).lines
    expected = project(camera, size, circle)[:, :2]
    drawn = [
        line
        for line in lines
        if line.points_px.shape == expected.shape and line.colour == LOOKS["close"].colour
    ]
    assert any(np.allclose(line.points_px, expected) for line in drawn)
