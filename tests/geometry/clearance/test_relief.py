"""What to take off: the answer restores the limit when the engine is checked afresh, and less of it does not."""

from pathlib import Path

import pytest

from geometry.assembly import assemble
from geometry.clearance.relief import flat_relief, notch_relief
from geometry.clearance.turn import full_turn
from geometry.spec.load import load_engine

DEMOS = Path(__file__).parents[3] / "demo_engines"
LIMIT_MM = 1.27


def least_rod_to_wall(overrides):
    found = full_turn(assemble(load_engine(DEMOS / "tern_long_stroke.toml", overrides)), 4.0).near
    walls = [n for n in found if "bore_wall" in (n.pair.a.feature, n.pair.b.feature)]
    return min(n.approach.floor_mm for n in walls if n.pair.limit == "rod_to_block")


@pytest.fixture(scope="module")
def relief():
    assembly = assemble(load_engine(DEMOS / "tern_long_stroke.toml"))
    return notch_relief(assembly, full_turn(assembly), LIMIT_MM, 20.0)


def notch_text(relief, **less):
    sizes = {"width": relief.width_mm, "height": relief.height_mm, "depth": relief.depth_mm}
    text = ", ".join(f'{key} = "{value - less.get(key, 0.0):.4f} mm"' for key, value in sizes.items())
    return {"block.bore.notch": "{ " + text + f', sides = "{relief.sides}" }}'}


def test_the_notch_restores_the_limit_in_a_fresh_check(relief):
    assert least_rod_to_wall(notch_text(relief)) >= LIMIT_MM - 0.011


@pytest.mark.parametrize("dimension", ["height", "depth"])
def test_a_smaller_notch_does_not(relief, dimension):
    assert least_rod_to_wall(notch_text(relief, **{dimension: 0.2})) < LIMIT_MM


def test_no_relief_where_none_is_needed():
    assembly = assemble(load_engine(DEMOS / "knot.toml"))
    turn = full_turn(assembly)
    found = flat_relief(assembly, turn, 0.0)
    assert found is None or found.depth_mm <= 0.06


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
    found = flat_relief(assembly, turn, least + 0.3)
    assert found is not None
    assert found.floor_mm >= least + 0.3
    # A flat of depth t can move the nearest point by no more than t.
    assert found.depth_mm >= 0.3 - 0.05
