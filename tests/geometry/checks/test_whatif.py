"""Sweeping one dimension: crossings agree with the closed form, refused values are said."""

from pathlib import Path

import pytest

from geometry.assembly import assemble
from geometry.checks.whatif import sweep
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
