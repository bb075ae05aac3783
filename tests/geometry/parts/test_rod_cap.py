"""The big-end cap: flat at the joint, cut flat below where it is low, its rib as the file says."""

import numpy as np
import pytest

from geometry.assembly import assemble
from geometry.spec.engine import Engine
from tests.geometry.fleet import CLEAR, assembly, raw, spec
from tests.geometry.parts.membership import outside_union, pieces_of, surface_points


def test_a_cap_lower_than_its_ring_is_cut_flat():
    data = dict(raw("tern"))
    ring_mm = spec("tern").rod.big_end.outside_mm / 2
    data["rod"] = {**data["rod"], "cap": {**data["rod"]["cap"], "height": f"{ring_mm - 2.0} mm"}}
    engine = assemble(Engine.model_validate(data))
    vertices = engine.body("rod_cap 1").part.mesh.vertices
    assert vertices[:, 2].min() == pytest.approx(2.0 - ring_mm)
    at_bottom = vertices[np.abs(vertices[:, 2] - vertices[:, 2].min()) < 1e-9]
    # chord of a circle: half its length is sqrt(R^2 - h^2)
    assert np.abs(at_bottom[:, 1]).max() == pytest.approx(
        np.sqrt(ring_mm**2 - (ring_mm - 2.0) ** 2), abs=0.05
    )
    assert (
        outside_union(
            surface_points(engine.body("rod_cap 1").part.mesh), pieces_of(engine.body("rod_cap 1").part)
        ).max()
        < 1e-6
    )


@pytest.mark.parametrize("name", CLEAR)
def test_joint_and_rib_lie_where_the_file_puts_them(name):
    engine = assembly(name)
    cap = engine.spec.rod.cap
    vertices = engine.body(f"rod_cap {engine.layout.bores[0].bore}").part.mesh.vertices
    assert vertices[:, 2].max() == pytest.approx(0.0, abs=1e-9)
    assert vertices[:, 2].min() == pytest.approx(-cap.height_mm, abs=1e-9)
    if cap.height_mm > engine.spec.rod.big_end.outside_mm / 2:
        below = vertices[vertices[:, 2] < -engine.spec.rod.big_end.outside_mm / 2 - 1e-3]
        assert np.abs(below[:, 1]).max() <= cap.rib_width_mm / 2 + 1e-9


@pytest.mark.parametrize("name", CLEAR)
def test_rod_and_cap_meet_at_the_joint_and_nowhere_overlap(name):
    engine = assembly(name)
    bore = engine.layout.bores[0].bore
    rod, cap = (engine.body(f"{kind} {bore}").part.mesh.vertices for kind in ("rod", "rod_cap"))
    assert rod[:, 2].min() == pytest.approx(0.0, abs=1e-9)
    outline = [np.abs(v[np.abs(v[:, 2]) < 1e-9][:, 1]).max() for v in (rod, cap)]
    assert outline[0] == pytest.approx(outline[1])
