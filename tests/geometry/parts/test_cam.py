"""The camshaft: every nose points along its bore when its valve is fully open, whatever way it is driven."""

from pathlib import Path

import numpy as np
import pytest

from geometry.assembly import assemble
from geometry.parts.mass import mass_properties
from geometry.spec.load import load_engine

TERN = Path(__file__).parents[3] / "demo_engines" / "tern.toml"


def cam_of(**changes):
    return assemble(load_engine(TERN, {key.replace("__", "."): value for key, value in changes.items()}))


@pytest.mark.parametrize("rotation", ["clockwise", "counter-clockwise"])
@pytest.mark.parametrize("turns", ["with_crank", "against_crank"])
def test_each_nose_points_along_its_bore_when_its_valve_is_open(rotation, turns):
    # Independent: the firing angle found by brute force from piston height, not taken from the layout's own.
    assembly = assemble(
        load_engine(
            TERN, {"engine.rotation": rotation, "cam.turns": turns, "engine.firing_order": firing(rotation)}
        )
    )
    body = assembly.body("cam")
    lobes = [f for f in body.part.features if f.name == "cam_lobe"]
    assert len(lobes) == 16
    for lobe in lobes:
        valve, bore = lobe.place.split(", bore ")
        index = assembly.layout.index(int(bore))
        angles = np.arange(0.0, 360.0, 0.25)
        heights = assembly.frame_poses(angles)[f"P{bore}"]
        axis = assembly.layout.bores[index].bank_deg
        along = np.array([0.0, -np.sin(np.radians(axis)), np.cos(np.radians(axis))])
        top = float(angles[np.argmax(heights[:, :3, 3] @ along)])
        centre = 108.0 if valve == "intake" else -112.0
        nose = lobe.pieces[0].X_AP[:3, 1]
        # Of the two dead centres in a cycle one fires; at the other this valve's nose points along the bore.
        pointed = [assembly.pose("cam", top + turn + centre)[:3, :3] @ nose @ along for turn in (0.0, 360.0)]
        assert max(pointed) == pytest.approx(1.0, abs=1e-4)
        assert min(pointed) == pytest.approx(-1.0, abs=1e-4)


def firing(rotation):
    order = [1, 8, 4, 3, 6, 5, 7, 2] if rotation == "clockwise" else [1, 2, 6, 3, 4, 5, 7, 8]
    return str(order)


def test_intake_and_exhaust_open_220_degrees_of_crank_apart():
    # By definition: 108 after plus 112 before the same top dead centre.
    assembly = cam_of()
    lobes = {f.place: f.pieces[0] for f in assembly.body("cam").part.features if f.name == "cam_lobe"}
    a, b = (lobes[f"{valve}, bore 1"].X_AP[:3, 1] for valve in ("intake", "exhaust"))
    assert np.degrees(np.arccos(a @ b)) == pytest.approx((108 + 112) / 2, abs=1e-6)


def test_lift_is_what_the_file_says():
    # Closed form: farthest point of the lobe less the base circle's radius.
    spec = cam_of().spec.cam
    lobe = next(f.pieces[0] for f in cam_of().body("cam").part.features if f.name == "cam_lobe")
    assert lobe.distance_mm + lobe.nose_radius_mm - lobe.radius_mm == pytest.approx(spec.lift_mm)


def test_the_surface_is_closed_and_about_as_heavy_as_its_cylinders():
    # Closed form lower bound: core plus what the journals stand out of it; lobes can only add.
    assembly = cam_of()
    spec, layout = assembly.spec, assembly.layout
    found = mass_properties(assembly.body("cam").part)
    core = np.pi / 4 * spec.cam.core_mm**2 * (layout.main_x_mm[-1] - layout.main_x_mm[0])
    rings = (
        np.pi
        / 4
        * (spec.cam.journal_mm**2 - spec.cam.core_mm**2)
        * spec.block.web_mm
        * (len(layout.main_x_mm) - 1)
    )
    assert found.volume_mm3 > 0.99 * (core + rings)
    assert found.volume_mm3 < 2.0 * (core + rings)


def test_no_cam_where_the_file_has_none():
    assert not [
        b for b in assemble(load_engine(TERN.with_name("knot.toml"))).bodies if b.part.kind == "cam"
    ] or (load_engine(TERN.with_name("knot.toml")).cam is not None)
