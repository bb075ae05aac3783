"""Every demo engine is a fixture: it loads, fits together, is plausible, and clears (but the one that must not).

Ranges of plausible values below are common practice, no source, unless a source stands beside them.
"""

import re

import numpy as np
import pytest
import trimesh

from geometry.checks.clearances import judged
from geometry.clearance.full_turn import full_turn
from geometry.kinematics.slider_crank import dead_centres
from geometry.spec.load import load_engine
from tests.geometry.fleet import CLEAR, FOLDER, NAMES, assembly, raw, spec

FLEET = {"tern", "tern_long_stroke", "dunlin", "plover", "curlew", "whimbrel", "knot"}

# Even firing of a four-stroke engine: 720 degrees over the number of bores (any engine textbook; for the V6 the
# split pins are there to make it so).
INTERVALS = {"tern": 90.0, "tern_long_stroke": 90.0, "dunlin": 180.0, "plover": 120.0, "curlew": 120.0,
             "whimbrel": 180.0, "knot": 720.0}  # fmt: skip


def test_the_fleet_is_complete():
    assert set(NAMES) == FLEET


@pytest.mark.parametrize("name", NAMES)
def test_loads_from_its_file(name):
    assert load_engine(FOLDER / f"{name}.toml") == spec(name)


@pytest.mark.parametrize("name", NAMES)
def test_fires_at_even_intervals(name):
    assert assembly(name).layout.firing.intervals_deg == pytest.approx(
        [INTERVALS[name]] * len(assembly(name).layout.bores), abs=1e-6
    )


@pytest.mark.parametrize("name", NAMES)
def test_every_part_is_a_closed_solid_and_every_body_has_its_name(name):
    bodies = assembly(name).bodies
    assert len({body.name for body in bodies}) == len(bodies)
    for part in {id(body.part): body.part for body in bodies}.values():
        mesh = trimesh.Trimesh(part.mesh.vertices, part.mesh.triangles, process=False)
        assert mesh.is_watertight, part.kind
        assert mesh.volume > 0, part.kind


@pytest.mark.parametrize("name", NAMES)
def test_poses_stay_rigid_over_two_turns_and_come_back(name):
    frames = assembly(name).frame_poses(np.linspace(0.0, 720.0, 33))
    for X in frames.values():
        turn = X[..., :3, :3]
        assert turn @ np.swapaxes(turn, -1, -2) == pytest.approx(
            np.broadcast_to(np.eye(3), turn.shape), abs=1e-12
        )
        assert X[0] == pytest.approx(X[-1], abs=1e-9)


@pytest.mark.parametrize("name", NAMES)
def test_pistons_stop_a_little_below_the_deck(name):
    engine = spec(name)
    top = dead_centres(assembly(name).linkage).top_height_mm + engine.piston.compression_height_mm
    below = engine.block.deck_height_mm - top
    assert np.all((below >= 0.1) & (below <= 0.6))


@pytest.mark.parametrize("name", NAMES)
def test_compression_ratio_is_plausible(name):
    engine = spec(name)
    area = np.pi * engine.block.bore.diameter_mm**2 / 4
    centres = dead_centres(assembly(name).linkage)
    deck = engine.block.deck_height_mm - centres.top_height_mm[0] - engine.piston.compression_height_mm
    gasket = np.pi * engine.gasket.bore_mm**2 / 4 * engine.gasket.thickness_mm
    crown = engine.piston.crown.volume_cm3 * (-1 if engine.piston.crown.shape == "dome" else 1)
    left = (engine.head.chamber_cm3 + crown) * 1000 + gasket + area * deck
    ratio = 1 + area * centres.stroke_mm[0] / left
    least, most = {"diesel": (15, 20), "modified": (9.5, 11.5)}.get(engine.engine.duty, (7, 11.5))
    assert least < ratio < most
    assert 1.4 < engine.rod.length_mm / engine.crank.stroke_mm < 2.1


@pytest.mark.parametrize("name", NAMES)
def test_bearings_rods_and_rings_have_their_running_clearances(name):
    engine = spec(name)
    rod, crank, piston = engine.rod, engine.crank, engine.piston
    oil = rod.big_end.bore_mm - 2 * rod.bearing.wall_mm - crank.pin.diameter_mm
    assert oil + 1e-9 >= 0.0015 * 25.4
    assert oil <= 0.0025 * 25.4
    rods = 2 if assembly(name).layout.bores[0].partner and not crank.split_deg else 1
    assert 0.15 <= crank.pin.width_mm - rods * rod.big_end.width_mm <= 0.5
    assert crank.main.width_mm - engine.block.web_mm >= 1.0
    bottom = 0.0
    for groove in piston.grooves:
        ring = {"top": engine.rings.top, "second": engine.rings.second, "oil": engine.rings.oil}[groove.ring]
        wall = ring.rail_wall_mm if groove.ring == "oil" else ring.wall_mm
        assert 0.03 <= groove.height_mm - ring.height_mm <= 0.12
        assert (engine.block.bore.diameter_mm - groove.root_mm) / 2 - wall >= 0.2
        assert groove.from_crown_mm - bottom >= 1.5  # a land that carries
        bottom = groove.from_crown_mm + groove.height_mm
    assert piston.compression_height_mm - bottom > piston.pin.diameter_mm / 2


@pytest.mark.parametrize("name", NAMES)
def test_rings_stay_in_the_bore_at_the_bottom(name):
    engine = spec(name)
    oil = engine.piston.grooves[-1]
    lowest = engine.piston.compression_height_mm - oil.from_crown_mm - oil.height_mm
    ring = dead_centres(assembly(name).linkage).bottom_height_mm + lowest
    bore = engine.block.deck_height_mm - engine.block.bore.length_mm + engine.block.bore.chamfer_mm
    assert np.all(ring > bore + 1.0)


@pytest.mark.parametrize("name", CLEAR)
def test_clears_through_the_full_turn(name):
    found = judged(assembly(name), full_turn(assembly(name)))
    assert found
    assert [(c.near.approach.a, c.near.approach.b) for c in found if c.verdict != "clear"] == []


def test_the_long_stroke_meets_what_builders_expect():
    """Rod bolts against the bottom of the opposite bore: the first thing a builder looks at with a longer crank
    (common practice, no source)."""
    found = judged(assembly("tern_long_stroke"), full_turn(assembly("tern_long_stroke")))
    met = {(c.near.pair.a.feature, c.near.pair.b.feature) for c in found if c.verdict == "overlaps"}
    assert {frozenset(pair) for pair in met} == {frozenset({"rod_bolt", "bore_wall"})}
    depth = min(c.near.approach.min_mm for c in found)
    assert -3.0 < depth < -1.0


def test_the_long_stroke_is_terns_block_with_another_crank():
    ours, hers = raw("tern_long_stroke"), raw("tern")
    assert {key for key in hers if ours[key] != hers[key]} == {"engine", "crank", "rod", "piston"}
    assert spec("tern_long_stroke").crank.stroke_mm > spec("tern").crank.stroke_mm


def test_between_them_the_fleet_shows_what_a_file_can_hold():
    engines = [spec(name) for name in NAMES]

    def seen(read):
        return {read(engine) for engine in engines}

    assert seen(lambda e: e.engine.layout) == {"inline", "vee", "flat"}
    assert seen(lambda e: e.engine.rotation) == {"clockwise", "counter-clockwise"}
    assert seen(lambda e: e.rod.bolt.kind) == {"cap_screw", "bolt_and_nut"}
    assert seen(lambda e: e.rod.beam.section) == {"I", "H"}
    assert seen(lambda e: e.rod.material) == {"steel", "aluminium"}
    assert seen(lambda e: e.piston.crown.shape) == {"flat", "dish", "dome"}
    assert seen(lambda e: e.block.material) == {"cast_iron", "aluminium"}
    assert seen(lambda e: e.cam is None) == {True, False}
    assert seen(lambda e: e.cam.turns if e.cam else "with_crank") == {"with_crank", "against_crank"}
    assert seen(lambda e: e.block.bore.notch is None) == {True, False}
    assert seen(lambda e: e.pan.tray_mm is None) == {True, False}
    faces = {ring.face for e in engines for ring in (e.rings.top, e.rings.second)}
    assert faces >= {"rectangular", "barrel", "taper", "napier"}


@pytest.mark.parametrize("name", NAMES)
def test_files_name_only_the_scenario(name):
    """Invented data says so, in the file itself."""
    text = (FOLDER / f"{name}.toml").read_text(encoding="utf-8")
    head = re.sub(r"\s*\n# ?", " ", text[: text.index("[engine]")])
    assert "invented" in head
    assert "those of no real engine" in head
