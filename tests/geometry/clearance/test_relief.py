"""What to take off: the answer restores the limit when the engine is checked afresh, and less of it does not."""

from dataclasses import replace
from pathlib import Path

import pytest

from geometry.assembly import assemble
from geometry.clearance.full_turn import Near, full_turn
from geometry.clearance.pairs import pairs_of
from geometry.clearance.relief import flat_relief, notch_relief, short_of
from geometry.collision.certify import certify_all
from geometry.spec.load import load_engine

DEMOS = Path(__file__).parents[3] / "demo_engines"
LIMIT_MM = 1.27
THICKER = {"rod.bolt.head_diameter": "0.45 in", "block.bore.wall": "0.40 in"}
"""Heads small enough, and walls thick enough, that a notch need not go through."""


def rods_at_walls(overrides):
    """The assembly, and its rods, caps and bolts certified against the walls of the bores."""
    assembly = assemble(load_engine(DEMOS / "tern_long_stroke.toml", overrides))
    pairs = [
        p for p in pairs_of(assembly)[0]
        if p.limit == "rod_to_block" and "bore_wall" in (p.a.feature, p.b.feature)
    ]  # fmt: skip
    found = certify_all([(p.a, p.b) for p in pairs], 360.0, far_mm=3.0)
    return assembly, [Near(p, f) for p, f in zip(pairs, found, strict=True) if not f.bound_only]


def least_rod_to_wall(overrides):
    _, near = rods_at_walls(overrides)
    return min((n.approach.floor_mm for n in near), default=3.0)


@pytest.fixture(scope="module")
def relief():
    assembly, near = rods_at_walls(THICKER)
    return notch_relief(assembly, short_of(assembly, near, lambda pair: LIMIT_MM), "in", 20.0)


def notch_text(relief):
    return {"block.bore.notch": relief.written("in")}


def test_the_notch_restores_the_limit_in_a_fresh_check(relief):
    # One side of each bore is near anything: in both banks the one away from the valley.
    assert relief.sides == "outboard"
    assert least_rod_to_wall(THICKER | notch_text(relief)) >= LIMIT_MM
    assert relief.wall_mm == pytest.approx(0.40 * 25.4 - relief.depth_mm)


@pytest.mark.parametrize(
    "less",
    [
        {"height_mm": 0.254},
        {"depth_mm": 0.254},
        {"width_mm": 0.508, "offset_mm": 0.254},
        {"width_mm": 0.508, "offset_mm": -0.254},
    ],
)
def test_a_smaller_notch_does_not(relief, less):
    """Two steps of the shop less high or deep, or cut short at either end."""
    smaller = replace(relief, **{key: getattr(relief, key) - by for key, by in less.items()})
    assert least_rod_to_wall(THICKER | notch_text(smaller)) < LIMIT_MM


def test_the_other_side_alone_does_not(relief):
    assert least_rod_to_wall(THICKER | notch_text(replace(relief, sides="inboard"))) < LIMIT_MM


def test_a_bolt_that_reaches_past_the_barrel_is_let_through_it():
    assembly, near = rods_at_walls({})
    short = short_of(assembly, near, lambda pair: LIMIT_MM)
    found = notch_relief(assembly, [s for s in short if s.wall.place == "bore 2"], "in", 20.0)
    assert found.wall_mm == 0.0
    assert found.floor_mm >= LIMIT_MM


def test_no_relief_where_none_is_needed():
    assembly = assemble(load_engine(DEMOS / "knot.toml"))
    turn = full_turn(assembly)
    assert flat_relief(assembly, turn, 0.0, "in") is None


def test_a_flat_restores_a_limit_slightly_missed():
    # Tern's bolt heads clear the bores by about 2.2 mm; a wish for 0.3 mm more is what a flat can give.
    assembly = assemble(load_engine(DEMOS / "tern.toml"))
    turn = full_turn(assembly)
    least = min(
        n.approach.floor_mm
        for n in turn.near
        if n.pair.limit == "rod_to_block"
        and any(p.feature == "rod_bolt" and p.place == "head" for p in (n.pair.a, n.pair.b))
    )
    found = flat_relief(assembly, turn, least + 0.3, "mm")
    assert found is not None
    assert found.floor_mm >= least + 0.3
    # A flat of depth t can move the nearest point by no more than t.
    assert found.depth_mm >= 0.3 - 0.011
