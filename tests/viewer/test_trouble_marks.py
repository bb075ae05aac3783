"""What is wrong with an engine is marked in its pictures, where it is, with depth, limit, source and crank angle."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from geometry.assembly import assemble
from geometry.checks.troubles import TroubleSpot, troubles_of
from geometry.record.overlay import load_built
from viewer.scene import ViewOptions, aim, build_scene
from viewer.scene.lettering import letter
from viewer.scene.trouble_marks import ends_at, grouped_troubles, marks, told

BINDING = Path(__file__).parents[2] / "demo_engines" / "tern_binding.record.toml"
MEETS = TroubleSpot(
    "clearance", "rod_bolt pan_rail", "stop", "overlaps", 3, None, 100.0, ("rod_bolt 3 major", "block"),
    (200.0, 50.0, -60.0), (200.0, 51.0, -60.0), -1.0, 1.27, -2.27, "length", "common practice, no source",
    "rod bolt to pan rail",
)  # fmt: skip


@pytest.fixture(scope="module")
def bound(tern):
    return assemble(tern.spec, load_built(BINDING, tern.spec))


@pytest.fixture(scope="module")
def groups(bound):
    return grouped_troubles([spot for spot in troubles_of(bound, (), clear=0) if spot.is_wrong])


def test_a_distance_is_drawn_at_its_own_angle_and_a_dot_on_the_part_elsewhere(tern):
    a, b, here = ends_at(tern, MEETS, 100.0)
    assert here
    assert np.linalg.norm(b - a) == pytest.approx(1.0)
    dot, same, here = ends_at(tern, MEETS, 190.0)
    assert not here
    assert np.array_equal(dot, same)
    # the point of the rod that it was, a quarter turn later
    in_rod = [
        np.linalg.solve(tern.frame_poses(angle)["R3"], [*at, 1.0]) for angle, at in ((100.0, a), (190.0, dot))
    ]
    assert in_rod[0] == pytest.approx(in_rod[1], abs=1e-9)
    # where the block is the one to do something about, the dot still rides on the rod
    other = replace(MEETS, bodies=("block", "rod_bolt 3 major"))
    at = np.linalg.solve(tern.frame_poses(190.0)["R3"], [*ends_at(tern, other, 190.0)[0], 1.0])
    assert at == pytest.approx(np.linalg.solve(tern.frame_poses(100.0)["R3"], [*b, 1.0]), abs=1e-9)


def test_a_fault_of_one_part_is_dimensioned_at_any_angle(bound, groups):
    bolt = next(group for group in groups if group.worst.group == "bolt.minor.stand").worst
    for crank in (0.0, 77.0):
        a, b, here = ends_at(bound, bolt, crank)
        assert here
        assert np.linalg.norm(b - a) == pytest.approx(3.8)
        head = bound.pose("rod_bolt 6 minor", crank)[:3, :3].T @ (b - a)
        assert head == pytest.approx([0.0, 0.0, -3.8])


def test_the_worst_of_each_kind_is_told_and_all_are_marked(bound, groups):
    found = marks(bound, groups, 0.0, "in")
    assert len(found) == sum(len(group.spots) for group in groups)
    worded = [mark.said for mark in found if mark.said]
    assert worded[0] == "bore 3, rod edge to fillet: 0.0104 in deep"
    assert len(worded) == 3
    (mark,) = marks(bound, grouped_troubles([MEETS]), 0.0, "in")
    assert mark.said == "bore 3, rod bolt to pan rail: 0.0394 in deep at 100.0°, at least 0.0500 in"
    assert (
        marks(bound, grouped_troubles([MEETS]), 100.0, "in", named=False)[0].said
        == "0.0394 in deep, at least 0.0500 in"
    )


def test_the_caption_gives_limit_source_and_verdict_and_counts_the_rest(groups):
    lines = told((*grouped_troubles([MEETS, replace(MEETS, bore=5)]), *groups), "in")
    assert lines[0] == (
        "bore 3 (also 5), rod bolt to pan rail: 0.0394 in deep at 100.0°, at least 0.0500 in (common practice, no "
        "source): outside"
    )
    assumed = told(grouped_troubles([MEETS]), "in", "3 of 90 values are assumed")
    assert assumed[0].endswith("(common practice, no source): outside, as assumed")
    handed_down = replace(MEETS, source="0.050 in, common practice, no source")
    assert told(grouped_troubles([handed_down]), "in")[0].endswith(
        "at least 0.0500 in (common practice, no source): outside"
    )
    # in millimetres the inches are news, and so is any other number
    assert told(grouped_troubles([handed_down]), "mm")[0].endswith(
        "(0.050 in, common practice, no source): outside"
    )
    other = replace(MEETS, source="0.040 in, common practice, no source")
    assert "(0.040 in, common" in told(grouped_troubles([other]), "in")[0]
    assert len(lines) == 4
    assert lines[-1] == f"and {len(groups) - 2} more kinds of trouble: `fullturn check` tells them"
    assert told(grouped_troubles([replace(MEETS, severity="note")]), "in") == ()


def test_only_what_the_picture_is_about_is_marked(groups):
    of_five = grouped_troubles([spot for group in groups for spot in group.spots], 5)
    assert {spot.bore for group in of_five for spot in group.spots} == {5}


def test_marks_stand_in_the_picture_with_their_words(bound, groups):
    options = ViewOptions(view="left", units="in")
    scene = build_scene(bound, options, marks(bound, groups, 0.0, "in"))
    layer = letter(
        scene, aim(scene.framing, 1.6), (1600, 1000), lambda text, size, bold: (0.5 * size * len(text), size)
    )
    words = [word.text for word in layer.words]
    assert "bore 3, rod edge to fillet: 0.0104 in deep" in words
