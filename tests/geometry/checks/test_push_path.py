"""The rod on its way down, against a collision library on the parts' own meshes, and by hand."""

import numpy as np
import pytest
import trimesh

from geometry.checks.push_path import (
    FAR_MM,
    _best,
    _distances,
    _placed,
    _runs,
    _swept,
    down_to_pin,
    safe_push,
)
from geometry.collision.support import circles_of
from geometry.kinematics.poses import rot_x_deg, translation
from geometry.solids import Box, Cylinder
from tests.geometry.mistakes.shop import right

ALONG_X = np.array([[0.0, 0.0, 1.0, 0.0], [0.0, 1.0, 0.0, 0.0], [-1.0, 0.0, 0.0, 0.0], [0.0, 0.0, 0.0, 1.0]])


def solid(part, slice_mm=None):
    """The part's surface; of a long one only what lies in a slice along the crank."""
    mesh = trimesh.Trimesh(part.mesh.vertices, part.mesh.triangles, process=False)
    if slice_mm is None:
        return mesh
    x = mesh.triangles[:, :, 0]
    return mesh.submesh([(x.max(axis=1) > slice_mm[0]) & (x.min(axis=1) < slice_mm[1])], append=True)


def strikes(assembly, site, crank_deg, names):
    """Whether the hanging rod meets a body anywhere from above the deck down to crown flush with it."""
    spec = assembly.design(site.bore)
    others = trimesh.collision.CollisionManager()
    for name in names:
        part = assembly.body(name).part
        near = (site.x_mm - 14.0, site.x_mm + 14.0) if name == "crank" else None
        others.add_object(name, solid(part, near), assembly.pose(name, crank_deg))
    rod = assembly.body(f"rod {site.bore}")
    flush = spec.block.deck_height_mm - spec.piston.compression_height_mm - spec.rod.length_mm
    X_EB = translation([site.x_mm, 0.0, 0.0]) @ rot_x_deg(site.bank_deg)
    mesh = solid(rod.part)
    return any(
        others.in_collision_single(mesh, X_EB @ translation([0.0, site.offset_mm, flush + up]) @ rod.X_FA)
        for up in np.arange(0.0, spec.crank.stroke_mm + 20.0, 6.0)
    )


def test_nothing_is_met_at_the_recommended_angle_and_the_crankpin_where_it_stands_high():
    vee = right()
    site = vee.layout.site(2)
    found = safe_push(vee, site)
    partner = f"rod {site.partner}", f"rod_cap {site.partner}"
    assert found.best_after_top_deg == 180.0
    top = found.best_deg - 180.0
    for after_top in (180.0, found.safe_after_top_deg[0][0] + 5.0):
        assert not strikes(vee, site, top + after_top, ("crank", *partner))
    assert strikes(vee, site, top + found.plane.unsafe_after_top_deg, ("crank",))


def test_the_way_onto_the_pin_stops_where_the_rod_is_seated():
    vee = right()
    site = vee.layout.site(1)
    found = safe_push(vee, site)
    met = down_to_pin(vee, site, found.best_deg)
    assert met == found.onto_the_pin
    assert met.least_mm > 0.0


def test_what_a_cylinder_sweeps_is_as_far_as_by_hand():
    swept = _swept(circles_of(Cylinder(10.0, 20.0, ALONG_X)), np.array([0.0, 0.0, 100.0]))
    boxes = [Box((4.0, 4.0, 4.0)), Box((4.0, 4.0, 4.0)), Box((4.0, 4.0, 4.0)), Box((4.0, 4.0, 4.0))]
    places = [(0.0, 17.0, 60.0), (0.0, 0.0, 115.0), (0.0, 9.0, 50.0), (0.0, 60.0, 50.0)]
    others = [_placed(circles_of(box), translation(place)) for box, place in zip(boxes, places, strict=True)]
    found = _distances([swept], others)
    # beside the way: 17 - 2 - 10; over its end: 115 - 2 - 110; in the way: zero; and far away, where it is not told
    assert found[:3] == pytest.approx([5.0, 3.0, 0.0], abs=0.011)
    assert found[3] >= FAR_MM


def test_safe_stretches_end_where_the_solids_meet():
    angles = np.arange(100.0, 260.0, 10.0)
    clear = [angle != 180.0 and angle > 110.0 for angle in angles]
    assert _runs(angles, clear) == [(120.0, 170.0), (190.0, 250.0)]
    assert _best([(120.0, 170.0), (190.0, 250.0)]) == 220.0
    assert _best([(120.0, 190.0)]) == 180.0
    assert _best([(500.0, 550.0)]) == 180.0  # a stretch may pass the full turn
    assert _best([]) is None
