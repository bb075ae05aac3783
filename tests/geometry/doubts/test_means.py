"""How values in doubt are measured, and what that costs in this shop."""

from __future__ import annotations

import re

import pytest

from geometry.doubts.box import Coordinate, DoubtBox
from geometry.doubts.means import clay_minutes, means_of
from geometry.spec.described import load_described
from geometry.spec.proportions.table import ROWS


def _box(*keys: str, **own: str) -> DoubtBox:
    described = load_described("demo_engines/knot.toml", {f"measuring.{k}": v for k, v in own.items()})
    sides = (Coordinate(key, 1.0, 0.5, 1.5, True, ("some", "path")) for key in keys)
    return DoubtBox(described, tuple(sides))


def test_minutes_are_the_instruments_unless_the_shop_has_its_own():
    usual = means_of(_box("rod.beam.thickness"))["rod.beam.thickness"]
    assert (usual.instrument, usual.minutes, usual.again_minutes, usual.part) == ("caliper", 3.0, 1.5, "rod")
    own = means_of(_box("rod.beam.thickness", caliper="12"))["rod.beam.thickness"]
    assert (own.minutes, own.again_minutes, own.leaves) == (12.0, 6.0, usual.leaves)
    assert (clay_minutes(_box()), clay_minutes(_box(clay="25"))) == (40.0, 25.0)


def test_each_place_of_an_array_and_each_bores_own_part_has_its_row():
    keys = ("piston.grooves[2].root", "block.crankcase.section[1][2]", "bore.3.rod.length", "bore.3.diameter")
    found = means_of(_box(*keys))
    assert set(found) == set(keys)
    assert found["bore.3.rod.length"].how == means_of(_box("rod.length"))["rod.length"].how
    assert found["bore.3.diameter"].instrument == "bore_gauge"
    # another bore's rod is another part on the bench
    assert found["bore.3.rod.length"].part == "rod 3"


def test_a_reading_was_measured_already():
    described = load_described("demo_engines/knot.toml")
    box = DoubtBox(described, (Coordinate("bore 1 deck", 1.0, 0.9, 1.1, False),))
    assert means_of(box) == {}


def test_how_closely_is_typed_as_it_is_told():
    """The words of every row end with what its number says: ``to 0.002 in (0.05 mm)``, ``to half a degree``."""
    for row in ROWS:
        if row.leaves is None:
            assert row.instrument in ("sheet", "thread_gauge") or row.kind == "chosen", row.key
            continue
        found = re.search(r"to (?:\S+ in \()?(half a|[0-9.]+) ?(mm\)|degrees?|grams?|cc)$", row.how)
        assert found is not None, row.how
        said = 0.5 if found[1] == "half a" else float(found[1])
        assert row.leaves == pytest.approx(said / 1000.0 if found[2].startswith("gram") else said), row.key
