"""Valves: where the file puts them, down their bore by their lift, one frame each, mesh and pieces alike."""

import numpy as np
import pytest

from geometry.assembly import assemble
from geometry.clearance.pairs import law_of
from geometry.kinematics.valve_lift import overlap_deg, valve_of, valve_timings
from geometry.parts.shapes import meshing
from geometry.parts.shapes.mass import mesh_properties
from tests.geometry.fleet import NAMES, assembly, spec, turned_round


def valves(engine):
    return [body for body in engine.bodies if body.part.kind == "valve"]


@pytest.mark.parametrize("name", NAMES)
def test_every_valve_of_the_file_stands_over_every_bore(name):
    engine = assembly(name)
    assert len(valves(engine)) == len(engine.layout.bores) * len(engine.spec.head.valves)
    for body in valves(engine):
        bore, number = valve_of(body.frame)
        assert bore == body.bore
        assert body.name.startswith(f"{engine.spec.head.valves[number - 1].valve}_valve {bore}")


@pytest.mark.parametrize("other_way", [False, True])
@pytest.mark.parametrize("name", NAMES)
def test_between_exhaust_and_intake_it_stands_as_written(name, other_way):
    """Inward: towards the middle of a vee, up on a flat engine, to the right in line; forward: to lower x."""
    engine = assemble(turned_round(name)) if other_way else assembly(name)
    written = engine.spec
    face = written.block.deck_height_mm + written.gasket.thickness_mm
    for body in valves(engine):
        bore, number = valve_of(body.frame)
        valve, site = written.head.valves[number - 1], engine.layout.site(bore)
        at = engine.pose(body.name, overlap_deg(engine.layout, bore))[:3, 3]
        bank = np.radians(site.bank_deg)
        axis = np.array([-np.sin(bank), np.cos(bank)])
        along = float(at[1:] @ axis)
        aside = at[1:] - along * axis
        assert along == pytest.approx(face - valve.below_deck_mm, abs=1e-9)
        assert at[0] == pytest.approx(site.x_mm - valve.forward_mm)
        towards = {"inline": aside[0], "flat": aside[1]}.get(written.engine.layout)
        if towards is None:
            towards = -np.sign(axis[0]) * np.sign(aside[0]) * np.hypot(*aside)
        assert towards == pytest.approx(valve.inward_mm, abs=1e-6)


@pytest.mark.parametrize("name", ["tern", "whimbrel", "plover"])
def test_picture_and_certificate_move_it_alike(name):
    engine = assembly(name)
    angles = np.linspace(0.0, 720.0, 73)
    frames = engine.frame_poses(angles)
    for body in valves(engine)[:6]:
        assert law_of(engine, body.frame).poses(angles) == pytest.approx(frames[body.frame], abs=1e-9)


def test_an_intake_valve_opens_on_the_stroke_after_the_exhaust():
    engine = assembly("tern")
    bore = engine.layout.bores[0].bore
    overlap = overlap_deg(engine.layout, bore)
    site = engine.layout.site(bore)
    down = np.array([np.sin(np.radians(site.bank_deg)), -np.cos(np.radians(site.bank_deg))])
    for timing in valve_timings(spec("tern")):
        body = next(b for b in valves(engine) if valve_of(b.frame) == (bore, timing.number))
        shut, opened = (
            engine.pose(body.name, overlap + after)[1:3, 3] for after in (360.0, timing.full_after_deg)
        )
        assert (opened - shut) @ down == pytest.approx(timing.curve.full_mm)
        assert np.sign(timing.full_after_deg) == (1 if timing.valve.valve == "intake" else -1)


@pytest.mark.parametrize("name", NAMES)
def test_pieces_are_the_mesh(name):
    for part in {id(b.part): b.part for b in valves(assembly(name))}.values():
        pieces = meshing.union([meshing.piece_solid(p, 64) for f in part.features for p in f.pieces])
        assert pieces.volume() == pytest.approx(mesh_properties(part.mesh, 1.0).volume_mm3, rel=1e-3)
        assert part.mesh.vertices[:, 2].min() == pytest.approx(0.0, abs=1e-9)
