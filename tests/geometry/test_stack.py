"""How far a piston stops below deck and head: against the highest of many positions of the built linkage."""

import numpy as np
import pytest

from geometry.assembly import assemble
from geometry.built import Built
from geometry.stack import crown_height_mm, face_mm, stack_of
from tests.geometry.fleet import NAMES, assembly, spec


@pytest.mark.parametrize("name", NAMES)
def test_below_deck_and_head_as_the_crown_stands_at_its_highest(name):
    bore = assembly(name).layout.bores[-1].bore
    built = Built().with_bore(
        bore, piston_turned=True, rod_length_change_mm=0.7, compression_height_change_mm=-0.3
    )
    engine = assemble(spec(name), built)
    site = engine.layout.site(bore)
    bank = np.radians(site.bank_deg)
    along = np.array([0.0, -np.sin(bank), np.cos(bank)])
    pins = engine.frame_poses(np.arange(0.0, 360.0, 0.02))[f"P{bore}"][:, :3, 3] @ along
    flat = pins.max() + spec(name).piston.compression_height_mm - 0.3
    found = stack_of(engine.spec, engine.layout, bore, built)
    assert found.deck_mm == pytest.approx(spec(name).block.deck_height_mm - flat, abs=1e-5)
    assert found.head_mm - found.deck_mm == pytest.approx(spec(name).gasket.thickness_mm)
    assert face_mm(spec(name)) - flat == pytest.approx(found.head_mm, abs=1e-5)
    assert crown_height_mm(spec(name), built.bore(bore)) == pytest.approx(
        spec(name).piston.compression_height_mm - 0.3
    )
