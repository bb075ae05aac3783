"""Which way round rods, caps and pistons stand: chamfers to the nearest cheek, pockets as they were put in."""

import numpy as np
import pytest

from geometry.assembly import assemble
from geometry.built import AS_DESIGNED
from tests.geometry.fleet import assembly, spec, turned_round


def in_engine(engine, name, crank_deg=0.0):
    """Corners of a body in frame E."""
    X = engine.pose(name, crank_deg)
    return engine.body(name).part.mesh.vertices @ X[:3, :3].T + X[:3, 3]


def chamfer_leg(engine, name, side):
    """Leg of the chamfer at one face of a rod or cap (``side`` of E's x), measured in frame E from the mesh."""
    points = in_engine(engine, name)
    rod = engine.spec.rod
    x = engine.layout.site(engine.body(name).bore).x_mm + side * rod.big_end.width_mm / 2
    centre = engine.frame_poses(0.0)[engine.body(name).frame][1:3, 3]
    face = points[np.abs(points[:, 0] - x) < 1e-6]
    return float(np.hypot(*(face[:, 1:] - centre).T).min()) - rod.big_end.bore_mm / 2


def nearest_cheek_side(engine, site):
    """+1 when the nearest cheek lies behind the bore, -1 in front: by position alone."""
    nearest = min(engine.layout.cheeks, key=lambda cheek: abs(cheek.x_mm - site.x_mm))
    return float(np.sign(nearest.x_mm - site.x_mm))


@pytest.mark.parametrize("kind", ["rod", "rod_cap"])
@pytest.mark.parametrize("name, turned", [("tern", False), ("curlew", False), ("tern", True)])
def test_of_two_rods_on_a_pin_each_turns_its_large_chamfer_to_its_cheek(name, turned, kind):
    engine = assemble(turned_round(name)) if turned else assembly(name)
    rod = engine.spec.rod
    for site in engine.layout.bores:
        side = nearest_cheek_side(engine, site)
        assert chamfer_leg(engine, f"{kind} {site.bore}", side) == pytest.approx(
            rod.chamfer.cheek_mm, abs=0.02
        )
        assert chamfer_leg(engine, f"{kind} {site.bore}", -side) == pytest.approx(
            rod.chamfer.other_mm, abs=0.02
        )


@pytest.mark.parametrize("rod_turned, cap_turned", [(True, False), (False, True), (True, True)])
def test_rod_and_cap_turned_round(rod_turned, cap_turned):
    engine = assemble(spec("tern"), AS_DESIGNED.with_bore(2, rod_turned=rod_turned, cap_turned=cap_turned))
    side = nearest_cheek_side(engine, engine.layout.site(2))
    large = engine.spec.rod.chamfer.cheek_mm
    rod_wrong = abs(chamfer_leg(engine, "rod 2", side) - large) > 0.1
    cap_wrong = abs(chamfer_leg(engine, "rod_cap 2", side) - large) > 0.1
    assert rod_wrong is rod_turned
    assert cap_wrong is (rod_turned != cap_turned)


def test_a_piston_from_the_other_bank_brings_its_pockets():
    design, mixed = assembly("tern"), assemble(spec("tern"), AS_DESIGNED.with_bore(1, piston_from=2))
    assert mixed.body("piston 1").part is mixed.body("piston 2").part
    flat = spec("tern").piston.compression_height_mm - max(p.depth_mm for p in spec("tern").piston.pockets)

    def floor_side(engine):
        vertices = engine.body("piston 1").part.mesh.vertices
        return np.sign(vertices[np.abs(vertices[:, 2] - flat) < 1e-6][:, 1].mean())

    assert floor_side(mixed) == -floor_side(design)


def test_a_piston_of_another_height_and_a_rod_of_another_length():
    engine = assemble(
        spec("tern"), AS_DESIGNED.with_bore(4, compression_height_change_mm=0.8, rod_length_change_mm=-0.5)
    )
    crown = engine.body("piston 4").part.mesh.vertices[:, 2].max()
    assert crown == pytest.approx(spec("tern").piston.compression_height_mm + 0.8)
    assert engine.body("piston 6").part is not engine.body("piston 4").part
    rod = engine.body("rod 4").part.mesh.vertices[:, 2].max()
    assert rod == pytest.approx(
        spec("tern").rod.length_mm - 0.5 + spec("tern").rod.small_end.outside_mm / 2, abs=0.03
    )
