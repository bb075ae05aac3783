"""Sweeping one dimension, either way round: crossings agree with the closed form, refused values are said."""

from pathlib import Path
from types import SimpleNamespace

import pytest

from geometry.assembly import assemble
from geometry.checks import whatif
from geometry.checks.whatif import sweep
from geometry.clearance.limits import Limit
from geometry.errors import GeometryError
from geometry.spec.load import load_engine

KNOT = Path(__file__).parents[3] / "demo_engines" / "knot.toml"


def test_the_crossing_of_piston_to_head_is_where_the_closed_form_puts_it():
    # Closed form: with the gasket swept, piston to head is deck clearance plus gasket, so it crosses its limit
    # at limit less deck clearance. Deck clearance: deck height - (throw + rod line-up height) - compression height.
    spec = load_engine(KNOT)
    reach = spec.rod.length_mm + spec.crank.stroke_mm / 2
    top = (reach**2 - spec.piston.pin.offset_mm**2) ** 0.5
    deck = spec.block.deck_height_mm - top - spec.piston.compression_height_mm
    result = sweep(
        lambda value: assemble(load_engine(KNOT, {"gasket.thickness": f"{value!r} mm"})), [0.2, 1.0, 2.0]
    )
    track = next(t for t in result.tracks if t.kind == ("piston_crown", "head_face"))
    assert track.crossings == pytest.approx([track.limit.least_mm - deck], abs=0.012)
    assert track.least_mm == pytest.approx([deck + t for t in (0.2, 1.0, 2.0)], abs=0.011)


def test_values_that_cannot_be_built_are_refused_by_place():
    whole = load_engine(KNOT).rod.length_mm
    result = sweep(lambda value: assemble(load_engine(KNOT, {"rod.length": f"{value!r} mm"})), [1.0, whole])
    assert list(result.refused) == [0]
    assert "rod" in result.refused[0]


KIND = ("rod_cap", "crankcase_wall")


@pytest.fixture
def straight(monkeypatch):
    """An engine whose one clearance is 10 mm less the value, and that cannot be built where it is told so."""
    tried = []
    gap = SimpleNamespace(refused=lambda value: False)

    def build(value):
        tried.append(value)
        if gap.refused(value):
            raise GeometryError("none", "crank.stroke", "cannot be built", "another value")
        return SimpleNamespace(spec=None, value=value)

    def full_turn(assembly, far_mm, memory):
        near = SimpleNamespace(
            pair=SimpleNamespace(limit="rod_to_block"), approach=SimpleNamespace(min_mm=10.0 - assembly.value)
        )
        return SimpleNamespace(near=[near])

    monkeypatch.setattr(whatif, "full_turn", full_turn)
    monkeypatch.setattr(whatif, "ordered", lambda pair: [SimpleNamespace(feature=name) for name in KIND])
    monkeypatch.setattr(whatif, "limit_for", lambda spec, name: Limit("a limit", 2.5, "a source"))
    monkeypatch.setattr(whatif, "least_of", lambda assembly, kind, memory: 10.0 - assembly.value)
    return SimpleNamespace(build=build, tried=tried, gap=gap)


def test_a_falling_sweep_is_the_rising_one_turned_round(straight):
    """10 - v = 2.5 at v = 7.5 (elementary); both ways ask for the same engines."""
    straight.gap.refused = lambda value: value == 9.0
    rising = whatif.sweep(straight.build, [6.0, 7.0, 8.0, 9.0])
    asked = list(straight.tried)
    straight.tried.clear()
    falling = whatif.sweep(straight.build, [9.0, 8.0, 7.0, 6.0])
    assert straight.tried == asked
    assert rising.tracks[0].crossings == falling.tracks[0].crossings == pytest.approx((7.5,), abs=1e-3)
    assert falling.values == (9.0, 8.0, 7.0, 6.0)
    assert falling.tracks[0].least_mm[1:] == pytest.approx((2.0, 3.0, 4.0))
    assert rising.refused.keys() == {3}
    assert falling.refused.keys() == {0}


def test_a_crossing_where_nothing_can_be_built_is_left_out(straight):
    straight.gap.refused = lambda value: 7.1 < value < 7.9
    found = whatif.sweep(straight.build, [6.0, 7.0, 8.0])
    assert found.tracks[0].crossings == ()
    assert found.refused == {}
