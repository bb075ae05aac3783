"""The colours of closest approach: their scale, and what a cut part keeps of them."""

import numpy as np
import pytest
import trimesh

from geometry.clearance.nearness import EDGE_MM, FAR_MM, Nearness
from geometry.clearance.surface import split
from geometry.solids import Mesh
from viewer.looks import NEARNESS
from viewer.scene.cutting import cut_open
from viewer.scene.nearness import carried, colours, place_on, scale_for


def test_colours_run_from_touching_to_far(tern):
    values = {"rod 3": Nearness(None, np.linspace(-0.4, 20.0, 50))}
    scale = scale_for(values, "mm")
    assert scale.low_mm == -1.0
    found = colours(scale, np.array([-1.0, 10.0, 99.0]))
    assert np.allclose(found, [NEARNESS[0], NEARNESS[-1], NEARNESS[-1]])
    assert (np.diff(place_on(scale, np.linspace(-1.0, 10.0, 20))) > 0).all()
    assert "0.050 in" in [text for _, text in scale_for(values, "in").ticks]


def test_the_scale_reaches_as_far_as_the_nearest_place_asks():
    far = {"rod_bolt 1 minor": Nearness(None, np.array([12.7, 26.0]), 4 * FAR_MM)}
    scale = scale_for(far, "in")
    assert scale.high_mm == pytest.approx(4 * 12.7)
    assert not np.allclose(colours(scale, np.array([12.7])), NEARNESS[-1], atol=0.05)


def test_a_cut_face_has_the_distance_of_what_is_nearest_to_its_points():
    """A box beside a point: seen from within, the point is as far as the straight way to it."""
    box, point = trimesh.creation.box((30.0, 30.0, 30.0)), np.array([26.0, 4.0, 0.0])
    whole = split(Mesh(np.asarray(box.vertices), np.asarray(box.faces, dtype=np.int32)), EDGE_MM)
    values = np.linalg.norm(whole.vertices - point, axis=1)
    opened = cut_open(whole, np.zeros(3), np.array([0.0, 0.0, 1.0]))
    for piece in (opened.faces, opened.skin):
        mesh, found = carried(whole, values, piece)
        assert found == pytest.approx(np.linalg.norm(mesh.vertices - point, axis=1), abs=EDGE_MM / 4)
    assert len(carried(whole, values, opened.faces)[1]) > 20


def test_lightness_alone_tells_near_from_far():
    # Relative luminance by the sRGB primaries of IEC 61966-2-1: weights 0.2126, 0.7152, 0.0722.
    linear = np.array(NEARNESS) ** 2.2
    luminance = linear @ [0.2126, 0.7152, 0.0722]
    assert (np.diff(luminance[:-1]) > 0.05).all()
