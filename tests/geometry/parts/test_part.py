"""What a part file must say, and that a part added to the crank is held against all it could meet."""

import pytest

import geometry.assembly
from geometry.clearance.full_turn import full_turn
from geometry.errors import PartError
from geometry.feature import Feature, Fit, Group, seats
from geometry.parts.part import Body, Part, PartType, part_types
from geometry.parts.shapes import meshing
from geometry.parts.shapes.placing import along_x
from geometry.solids import Cylinder
from tests.geometry import fleet

RADIUS_MM, THICK_MM = 100.0, 6.0
"""A disc as large as a trigger wheel, in the middle of a crank throw: it must hit webs, barrels and pan rail."""


def with_disc(monkeypatch, engine, name, **said):
    """The engine with one more part file: a disc on the crank, in the first bay."""

    def bodies(spec, layout, built):
        piece = Cylinder(RADIUS_MM, THICK_MM, along_x(layout.throw_x_mm[0]))
        feature = Feature(name, (piece,), **said)
        part = Part(name, "steel", (feature,), lambda: meshing.to_mesh(meshing.piece_solid(piece)))
        return [Body(name, part, "C")]

    more = (*part_types(), PartType(name, bodies))
    monkeypatch.setattr(geometry.assembly, "part_types", lambda: more)
    return geometry.assembly.assemble(fleet.spec(engine))


@pytest.mark.parametrize(
    ("said", "lacks"),
    [
        ({}, "no group"),
        ({"group": "crank"}, "the unknown group 'crank'"),
        ({"group": 3}, "the unknown group 3"),
    ],
)
def test_a_part_without_a_group_is_refused_with_its_file(monkeypatch, said, lacks):
    with pytest.raises(PartError) as refused:
        with_disc(monkeypatch, "knot", "trigger_wheel", **said)
    words = str(refused.value)
    assert words.startswith("tests/geometry/parts/test_part.py: feature 'trigger_wheel' has " + lacks)
    assert "Group.<one of ROD, PISTON, CRANK, CAM, VALVE, HEAD, PAN, BLOCK, RING, SHELL>" in words


def test_what_runs_in_something_must_say_in_what(monkeypatch):
    with pytest.raises(
        PartError, match="'piston_seal' is a ring that runs in nothing; say in what by runs_in"
    ):
        with_disc(monkeypatch, "knot", "piston_seal", group=Group.RING)
    with pytest.raises(PartError, match="leaves open which BORE is meant; number it, or give its body"):
        with_disc(monkeypatch, "knot", "piston_seal", group=Group.RING, runs_in=seats(Fit.BORE))


@pytest.mark.parametrize("name", ["disc", "tone_ring", "trigger_rail", "shell", "cheek", "main_journal"])
def test_a_disc_on_the_crank_hits_whatever_it_is_called(monkeypatch, name):
    engine = with_disc(monkeypatch, "knot", name, group=Group.CRANK)
    found = {}
    for near in full_turn(engine).near:
        for mine, other in ((near.pair.a, near.pair.b), (near.pair.b, near.pair.a)):
            if mine.body.name == name:
                found.setdefault(other.feature, near.approach.min_mm)
    assert engine.spec.block.pan_rail.inside_mm < RADIUS_MM
    assert all(found[other] < -1.0 for other in ("pan_rail", "crankcase_wall", "bore_wall", "rod_cap"))
