"""Which way round parts stand: chamfers to the nearest cheek, bolts by thrust side, pistons as they were put in."""

import numpy as np
import pytest

from geometry.assembly import assemble
from geometry.built import AS_DESIGNED
from geometry.motion import bore_frames
from geometry.spec.engine import Engine
from tests.geometry.fleet import CLEAR, assembly, raw, spec, turned_round


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
@pytest.mark.parametrize("engine", [assembly("tern"), assembly("curlew"), assemble(turned_round("tern"))])
def test_of_two_rods_on_a_pin_each_turns_its_large_chamfer_to_its_cheek(engine, kind):
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


@pytest.mark.parametrize("name", CLEAR)
@pytest.mark.parametrize("rotation", ["as it runs", "the other way"])
def test_bolts_are_named_by_the_thrust_side_they_stand_on(name, rotation):
    # Independent: on the power stroke the crankpin is on the minor side, so half a turn of the wheel after firing
    # the big end has moved away from the major side; a quarter turn after top dead centre decides.
    engine = assembly(name) if rotation == "as it runs" else assemble(turned_round(name))
    frames = bore_frames(engine.linkage)
    for index, site in enumerate(engine.layout.bores):
        heights = engine.frame_poses(np.arange(0.0, 360.0, 1.0))[f"P{site.bore}"][:, :3, 3]
        axis, across = frames[index][:3, 2], frames[index][:3, 1]
        top = float(np.argmax(heights @ axis))
        pin_side = float(np.sign(engine.frame_poses(top + 90.0)[f"R{site.bore}"][:3, 3] @ across))
        bolts = {which: engine.pose(f"rod_bolt {site.bore} {which}", top) for which in ("major", "minor")}
        apart = (bolts["major"][:3, 3] - bolts["minor"][:3, 3]) @ across
        assert np.sign(apart) == -pin_side


def test_a_bolt_with_a_nut_lifts_its_head_and_leaves_the_nut():
    bolt = spec("dunlin").rod.bolt
    engine = assemble(spec("dunlin"), AS_DESIGNED.with_bore(1, bolt_out_mm=(0.0, 1.5)))
    lifted = next(b for b in engine.bodies if b.name.startswith("rod_bolt 1") and b.X_FA[1, 3] > 0)
    found = {f.place: f.pieces[0] for f in lifted.part.features}
    top = found["head"].X_AP[2, 3] - found["head"].length_mm / 2
    nut = found["nut"].X_AP[2, 3] + found["nut"].length_mm / 2
    assert top == pytest.approx(bolt.shoulder_mm + 1.5)
    assert nut == pytest.approx(-bolt.seat_mm)
    assert lifted.part.mesh.vertices[:, 2].max() == pytest.approx(top + bolt.head_height_mm)


@pytest.mark.parametrize("turned", [False, True])
def test_the_pin_sits_in_its_boss_whichever_way_the_piston_went_in(turned):
    engine = assemble(spec("tern"), AS_DESIGNED.with_bore(5, piston_turned=turned))
    pin = engine.spec.piston.pin
    piston, body = (in_engine(engine, f"{kind} 5") for kind in ("piston", "piston_pin"))
    centre = engine.pose("piston_pin 5", 0.0)[:3, 3]
    # nothing of the piston within the pin, and its bore just round it
    along = np.abs(piston[:, 0] - centre[0])
    away = np.hypot(*(piston[:, 1:] - centre[1:]).T)
    within = along < pin.length_mm / 2
    assert away[within].min() == pytest.approx(pin.diameter_mm / 2, abs=1e-6)
    assert np.abs(np.hypot(*(body[:, 1:] - centre[1:]).T)).max() == pytest.approx(pin.diameter_mm / 2)


def test_the_rod_holds_the_pin_at_every_angle():
    engine = assembly("tern")
    for crank_deg in (0.0, 77.0, 203.0):
        for site in engine.layout.bores:
            pin = engine.pose(f"piston_pin {site.bore}", crank_deg)[:3, 3]
            small_end = engine.frame_poses(crank_deg)[f"R{site.bore}"] @ [0, 0, engine.spec.rod.length_mm, 1]
            assert pin == pytest.approx(small_end[:3], abs=1e-9)


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
