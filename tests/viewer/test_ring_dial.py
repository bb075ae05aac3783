"""The view of the rings spread apart: every gap opened where it stands, named, and its size told with its limits."""

from dataclasses import replace

import numpy as np
import pytest

from geometry.assembly import assemble
from geometry.built import AS_DESIGNED, RingBuild
from geometry.kinematics.poses import transform
from tests.geometry.mistakes.shop import right
from viewer.scene import ViewOptions, build_scene
from viewer.scene.dial import OPEN_DEG


def rings_of(assembly, bore=3):
    scene = build_scene(assembly, ViewOptions(view=f"rings {bore}", units="mm"))
    return scene, {
        item.name.rsplit(" ", 1)[0]: item for item in scene.items if item.group == "rings" and item.visible
    }


def seen_deg(item):
    """Ring angles of all points: clockwise from the front (-x), seen from above."""
    points = transform(item.X_FA, item.mesh.vertices)
    return np.degrees(np.arctan2(points[:, 1], -points[:, 0])), np.hypot(points[:, 0], points[:, 1])


@pytest.mark.parametrize(
    ("name", "at_deg"), [("top_ring", 240.0), ("second_ring", 120.0), ("lower_rail", 180.0)]
)
def test_gaps_are_opened_where_they_stand_and_nothing_else_moves(name, at_deg):
    # Scheme "thirds", major thrust side at 90 degrees.
    assembly = right()
    _, items = rings_of(assembly)
    seen, radius = seen_deg(items[name])
    off = np.abs((seen - at_deg + 180.0) % 360.0 - 180.0)
    assert off.min() == pytest.approx(OPEN_DEG / 2, abs=0.05)
    body = assembly.body(f"{name} 3")
    true = replace(items[name], mesh=body.part.mesh)
    before, same = seen_deg(true)
    assert radius == pytest.approx(same)
    assert items[name].mesh.triangles is body.part.mesh.triangles
    # Pressed together along the wall: the way from the gap grows by the same share everywhere, on its own side.
    way = (before - at_deg + 180.0) % 360.0 - 180.0
    moved = (seen - at_deg + 180.0) % 360.0 - 180.0
    middle = (np.abs(way) > 1.0) & (np.abs(way) < 179.0)
    assert np.all(np.sign(way[middle]) == np.sign(moved[middle]))
    assert np.abs(moved - way)[np.abs(way) > 170.0].max() < 0.5


def test_labels_tell_hour_gap_limits_and_verdict():
    built = AS_DESIGNED.with_bore(3, rings={"top": RingBuild(gap_mm=0.09)})
    scene, _ = rings_of(assemble(right().spec, built))
    bore, least = right().spec.block.bore.diameter_mm, 0.0035
    said = {label.text.split(" 1")[0].split(" 2")[0]: label for label in scene.labels if label.kind == "ring"}
    second = right().spec.rings.second.gap_mm
    assert said["second ring"].text == (
        f"second ring 120° (4 o'clock)\ngap {second:.3f} mm ({least * bore:.3f} to {0.005 * bore:.3f} mm: within)"
    )
    assert "gap 0.090 mm" in said["top ring"].text
    assert "TOO SMALL" in said["top ring"].text
    assert said["top ring"].look == "touches"
    assert said["second ring"].look == "ink"
    assert "gaps drawn wider than they are" in scene.caption


def test_labels_stand_beside_the_rings_and_lead_to_the_gap():
    scene, _ = rings_of(right())
    radius = right().spec.block.bore.diameter_mm / 2
    for label in (label for label in scene.labels if label.kind == "ring"):
        assert abs(label.at_mm[1]) > 1.2 * radius
        assert np.hypot(*label.rim_mm[0, :2]) == pytest.approx(radius)
    assumed = build_scene(right(), ViewOptions(view="rings 3", units="mm", assumed="1 is assumed"))
    assert any("within, as assumed" in label.text for label in assumed.labels)


def test_beside_a_mistake_labels_are_short():
    options = ViewOptions(view="rings 3", units="mm", highlight=frozenset({"top_ring 3"}))
    words = [label.text for label in build_scene(right(), options).labels if label.kind == "ring"]
    assert "top ring 240° (8 o'clock)" in words
    assert not any("gap" in text for text in words)
