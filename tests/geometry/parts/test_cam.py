"""The camshaft: every nose points along its bore when its valve is fully open, whatever way it is driven."""

import math

import numpy as np
import pytest

from geometry.assembly import assemble
from geometry.parts.shapes.mass import mass_properties
from geometry.spec.load import load_engine
from tests.geometry.fleet import FOLDER, NAMES, assembly, raw

TERN = FOLDER / "tern.toml"
WITH_CAM = [name for name in NAMES if "cam" in raw(name)]


@pytest.mark.parametrize("rotation", ["clockwise", "counter-clockwise"])
@pytest.mark.parametrize("turns", ["with_crank", "against_crank"])
def test_each_nose_points_along_its_bore_when_its_valve_is_open(rotation, turns):
    # Independent: a cross-plane eight fires every 90 degrees (textbook, from memory), the first of the order at zero,
    # so the order alone says when a bore fires; that a piston stands at the top there is asked of its height.
    order = firing(rotation)
    engine = assemble(
        load_engine(
            TERN, {"engine.rotation": rotation, "cam.turns": turns, "engine.firing_order": str(order)}
        )
    )
    body = engine.body("cam")
    lobes = [f for f in body.part.features if f.name == "cam_lobe"]
    assert len(lobes) == 16
    for lobe in lobes:
        valve, bore = lobe.place.split(", bore ")
        fires = 90.0 * order.index(int(bore))
        axis = np.radians(engine.layout.site(int(bore)).bank_deg)
        along = np.array([0.0, -np.sin(axis), np.cos(axis)])
        heights = engine.frame_poses(np.array([fires - 1, fires, fires + 1]))[f"P{bore}"][:, :3, 3] @ along
        assert heights[1] == heights.max()
        opens = fires + 360.0 + (108.0 if valve == "intake" else -112.0)
        nose = lobe.pieces[0].X_AP[:3, 1]
        assert engine.pose("cam", opens)[:3, :3] @ nose @ along == pytest.approx(1.0, abs=1e-9)
        assert engine.pose("cam", opens + 360.0)[:3, :3] @ nose @ along == pytest.approx(-1.0, abs=1e-9)


def firing(rotation):
    return [1, 8, 4, 3, 6, 5, 7, 2] if rotation == "clockwise" else [1, 2, 6, 3, 4, 5, 7, 8]


def lobes_of(engine):
    return {f.place: f.pieces[0] for f in engine.body("cam").part.features if f.name == "cam_lobe"}


def test_intake_and_exhaust_open_220_degrees_of_crank_apart():
    # By definition: 108 after plus 112 before the same top dead centre.
    lobes = lobes_of(assembly("tern"))
    a, b = (lobes[f"{valve}, bore 1"].X_AP[:3, 1] for valve in ("intake", "exhaust"))
    assert np.degrees(np.arccos(a @ b)) == pytest.approx((108 + 112) / 2, abs=1e-6)


@pytest.mark.parametrize("name", WITH_CAM)
def test_lift_is_what_the_file_says(name):
    # Closed form: farthest point of the lobe less the base circle's radius.
    for lobe in lobes_of(assembly(name)).values():
        lift = lobe.distance_mm + lobe.nose_radius_mm - lobe.radius_mm
        assert lift == pytest.approx(assembly(name).spec.cam.lift_mm)


@pytest.mark.parametrize("name", WITH_CAM)
def test_the_two_lobes_of_a_bore_stand_as_its_valves_do(name):
    # By position: either side of the bore's middle, the valve that is further forward in the head in front (-x).
    engine = assembly(name)
    forward = {
        place.valve: place.forward_mm for place in (engine.spec.head.valves or engine.spec.piston.pockets)
    }
    lobes = lobes_of(engine)
    for site in engine.layout.bores:
        x = {valve: lobes[f"{valve}, bore {site.bore}"].X_AP[0, 3] for valve in ("intake", "exhaust")}
        assert abs(x["intake"] - x["exhaust"]) == pytest.approx(engine.spec.cam.lobe_gap_mm)
        assert (x["intake"] + x["exhaust"]) / 2 == pytest.approx(site.x_mm)
        if len(forward) == 2:
            assert (x["intake"] < x["exhaust"]) == (forward["intake"] >= forward["exhaust"])


@pytest.mark.parametrize("name", WITH_CAM)
def test_it_weighs_what_its_cylinders_and_lobes_weigh(name):
    # Closed form: journals, the core between them, and of every lobe what stands out of the core: the hull of two
    # circles (two tangents, two arcs) less the core's circle. 64 facets lose 0.16 %.
    engine = assembly(name)
    cam, mains = engine.spec.cam, engine.layout.main_x_mm
    web, half = engine.spec.block.web_mm, cam.lobe_width_mm / 2
    core, journal = (math.pi / 4 * across**2 for across in (cam.core_mm, cam.journal_mm))
    assert cam.core_mm <= cam.base_mm
    for lobe in (f.pieces[0].X_AP[0, 3] for f in engine.body("cam").part.features if f.name == "cam_lobe"):
        assert all(abs(lobe - x) >= half + web / 2 for x in mains), (
            "a lobe within a journal has no closed form here"
        )
    base, nose = cam.base_mm / 2, cam.nose_mm
    apart = cam.lift_mm + base - nose
    lean = math.asin((base - nose) / apart)
    lobe = base**2 * (math.pi / 2 + lean) + nose**2 * (math.pi / 2 - lean)
    lobe += apart * math.cos(lean) * (base + nose)
    exact = len(mains) * web * journal + (mains[-1] - mains[0] - (len(mains) - 1) * web) * core
    exact += 2 * len(engine.layout.bores) * cam.lobe_width_mm * (lobe - core)
    assert mass_properties(engine.body("cam").part).volume_mm3 == pytest.approx(exact, rel=2e-3)


@pytest.mark.parametrize("name", sorted(set(NAMES) - set(WITH_CAM)))
def test_no_cam_where_the_file_has_none(name):
    assert not [body for body in assembly(name).bodies if body.frame == "cam"]
