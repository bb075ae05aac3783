"""Bearing shells: tangs side by side in their notches, the oil clearance of the file, halves told apart."""

import numpy as np
import pytest
from manifold3d import Manifold, Mesh64

from geometry.assembly import assemble
from geometry.built import AS_DESIGNED
from tests.geometry.fleet import CLEAR, assembly, spec


def corners(body):
    """The mesh's corners in frame R."""
    return body.part.mesh.vertices @ body.X_FA[:3, :3].T + body.X_FA[:3, 3]


def tang(body, rod):
    """The middle of what stands out of the shell's back."""
    points = corners(body)
    out = points[np.hypot(points[:, 1], points[:, 2]) > rod.big_end.bore_mm / 2 + 0.05]
    return out.mean(axis=0)


def solid(body):
    mesh = Manifold(Mesh64(body.part.mesh.vertices, body.part.mesh.triangles.astype(np.uint64)))
    return mesh.transform(np.ascontiguousarray(body.X_FA[:3, :4]))


@pytest.mark.parametrize("name", CLEAR)
def test_tangs_of_a_rod_lie_side_by_side_at_one_end_of_the_joint(name):
    engine = assembly(name)
    for site in engine.layout.bores:
        upper, lower = (
            tang(engine.body(f"{half} {site.bore}"), engine.spec.rod)
            for half in ("upper_shell", "lower_shell")
        )
        assert np.sign(upper[1]) == np.sign(lower[1])
        assert upper[2] > 0 > lower[2]
        assert abs(upper[0] - lower[0]) > engine.spec.rod.bearing.tang_mm


def test_a_cap_turned_on_its_rod_sets_the_tangs_apart():
    engine = assemble(spec("tern"), AS_DESIGNED.with_bore(1, cap_turned=True))
    upper, lower = (
        tang(engine.body(f"{half} 1"), engine.spec.rod) for half in ("upper_shell", "lower_shell")
    )
    assert np.sign(upper[1]) == -np.sign(lower[1])


@pytest.mark.parametrize("name", ["tern", "curlew", "dunlin"])
@pytest.mark.parametrize("turned", [False, True])
def test_shells_and_their_tangs_lie_in_rod_and_cap_without_cutting_into_them(name, turned):
    # The solid library's overlap; backs and bores are faceted alike, so nothing but rounding may be left.
    bore = assembly(name).layout.bores[0].bore
    engine = assemble(spec(name), AS_DESIGNED.with_bore(bore, rod_turned=turned))
    for half, home in (("upper_shell", "rod"), ("lower_shell", "rod_cap")):
        common = solid(engine.body(f"{half} {bore}")) ^ solid(engine.body(f"{home} {bore}"))
        assert common.volume() < 1e-3


@pytest.mark.parametrize("name", CLEAR)
def test_oil_clearance_is_what_bore_walls_and_pin_leave(name):
    # By definition: housing bore less two walls less crankpin; measured at the corners of the shell without a hole.
    engine = assembly(name)
    rod, bore = engine.spec.rod, engine.layout.bores[0].bore
    points = corners(engine.body(f"lower_shell {bore}"))
    inner = np.hypot(points[:, 1], points[:, 2]).min()
    stated = rod.big_end.bore_mm - 2 * rod.bearing.wall_mm - engine.spec.crank.pin.diameter_mm
    assert 2 * inner - engine.spec.crank.pin.diameter_mm == pytest.approx(stated, abs=1e-6)
    assert stated > 0


def test_exchanged_shells_lie_in_each_others_place():
    engine = assemble(spec("tern"), AS_DESIGNED.with_bore(3, shells_exchanged=True))
    assert corners(engine.body("upper_shell 3"))[:, 2].max() < 0.01
    assert corners(engine.body("lower_shell 3"))[:, 2].min() > -0.01
    assert corners(engine.body("upper_shell 1"))[:, 2].min() > -0.01


def test_a_proud_shell_stands_towards_the_pin_by_as_much():
    proud = assemble(spec("tern"), AS_DESIGNED.with_bore(3, shell_proud_mm=0.3))
    moved = corners(proud.body("lower_shell 3")) - corners(assembly("tern").body("lower_shell 3"))
    assert moved == pytest.approx(np.broadcast_to([0.0, 0.0, 0.3], moved.shape))


def test_only_the_upper_shell_has_an_oil_hole():
    engine = assembly("tern")
    genus = {half: solid(engine.body(f"{half} 1")).genus() for half in ("upper_shell", "lower_shell")}
    assert genus == {"upper_shell": 1, "lower_shell": 0}
