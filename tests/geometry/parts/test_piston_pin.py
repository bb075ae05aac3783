"""The piston pin: in its boss and in the small end, whichever way the piston went in."""

import numpy as np
import pytest

from geometry.assembly import assemble
from geometry.built import AS_DESIGNED
from geometry.parts.piston_pin import bodies
from geometry.parts.shapes.mass import mass_properties
from tests.geometry.fleet import assembly, spec


def in_engine(engine, name, crank_deg=0.0):
    """Corners of a body in frame E."""
    X = engine.pose(name, crank_deg)
    return engine.body(name).part.mesh.vertices @ X[:3, :3].T + X[:3, 3]


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


def test_a_pin_without_a_bore_is_solid():
    piston = spec("tern").piston
    pin = piston.pin.model_copy(update={"bore_mm": 0.0})
    solid = spec("tern").model_copy(update={"piston": piston.model_copy(update={"pin": pin})})
    part = bodies(solid, assembly("tern").layout, AS_DESIGNED)[0].part
    # closed form: a 64-sided prism
    area = 32 * (pin.diameter_mm / 2) ** 2 * np.sin(2 * np.pi / 64)
    assert mass_properties(part).volume_mm3 == pytest.approx(area * pin.length_mm)
