"""Which surfaces read as machined: those round about an axis, and neither flats nor balls."""

import manifold3d
import numpy as np
import pytest

from viewer.draw.batches import LOOK_NAMES, grouped, make_batch
from viewer.looks import LOOKS, machined_look
from viewer.scene import Item
from viewer.scene.shading import shaded
from viewer.scene.solid import as_mesh

M = manifold3d.Manifold
TUBE = as_mesh(M.cylinder(30.0, 10.0, 10.0, 96) - M.cylinder(30.0, 6.0, 6.0, 96))


def test_round_sides_are_turned_and_their_ends_are_not():
    part = shaded(TUBE)
    flat = np.abs(part.normals[:, 2]) > 0.5
    assert (part.turned == ~flat).all()
    assert part.turned.any()


@pytest.mark.parametrize(
    "solid", [M.cube((4.0, 5.0, 6.0)), M.sphere(10.0, 96), M.cylinder(9.0, 10.0, 4.0, 96)]
)
def test_flats_balls_and_cones_are_not(solid):
    assert not shaded(as_mesh(solid)).turned.any()


def test_a_turned_side_takes_the_look_of_its_metal_machined():
    from vtkmodules.vtkCommonMath import vtkMatrix4x4
    from vtkmodules.vtkRenderingOpenGL2 import vtkOpenGLRenderer

    item = Item("tube", TUBE, "E", "cast_iron", "block")
    ((kind, items),) = grouped([item]).items()
    drawn = make_batch(vtkOpenGLRenderer(), kind, items, None, vtkMatrix4x4()).fine.GetMapper().GetInput()
    data = drawn.GetPointData()
    turned = shaded(TUBE).turned
    for point in range(drawn.GetNumberOfPoints()):
        look = machined_look("cast_iron") if turned[point] else "cast_iron"
        assert LOOK_NAMES[int(data.GetTCoords().GetTuple(point)[0] * len(LOOK_NAMES))] == look
        wanted = [round(255 * part) for part in LOOKS[look].colour]
        assert data.GetScalars().GetTuple(point) == pytest.approx(wanted, abs=1)
    assert machined_look("glass") == "glass"
