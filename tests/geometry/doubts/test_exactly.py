"""Some answers at a point of the box are those of the whole check of an engine that is written so."""

from __future__ import annotations

import pytest

from geometry.assembly import assemble
from geometry.checks.section import checks
from geometry.collision.certify import TOLERANCE_MM
from geometry.doubts.answers import Doubtful
from geometry.doubts.box import Coordinate, DoubtBox
from geometry.doubts.exactly import NOWHERE, margins_at
from geometry.spec.described import load_described
from geometry.spec.load import load_engine

KNOT = "demo_engines/knot.toml"
SECTIONS = ("clearances", "bores", "fits", "rings")


def _box() -> DoubtBox:
    path = ("piston", "compression_height")
    return DoubtBox(load_described(KNOT), (Coordinate(".".join(path), 40.64, 39.64, 41.64, True, path),))


def _asked(section: str, name: str, bore: int | None, margin: float) -> Doubtful:
    return Doubtful(section, name, bore, "length", 0.0, 0.0, 0.0, margin, margin, margin)


def test_answers_are_those_of_a_file_that_says_so():
    written = assemble(load_engine(KNOT, {"piston.compression_height": "41 mm"}))
    expected = [
        _asked(check.key, figure.name, figure.bore, figure.margin)
        for check in checks()
        if check.key in SECTIONS
        for figure in check.run(written, "mm").figures
        if figure.margin is not None
    ]
    assert {answer.section for answer in expected} == set(SECTIONS)
    found = margins_at(_box(), {"piston.compression_height": 41.0}, expected)
    # a certified distance may come out anywhere within its half-width, hanging on what is certified beside it
    assert found == pytest.approx([answer.margin for answer in expected], abs=2.0 * TOLERANCE_MM)


def test_only_what_is_asked_for_is_told():
    nowhere = _asked("fits", "no such figure", 1, 0.0)
    assert margins_at(_box(), {}, [nowhere]) == [NOWHERE]
    assert margins_at(_box(), {}, []) == []


def test_an_engine_that_cannot_be_put_together_has_no_margins():
    path = ("rod", "length")
    box = DoubtBox(load_described(KNOT), (Coordinate("rod.length", 120.65, 1.0, 200.0, True, path),))
    assert margins_at(box, {"rod.length": 1.0}, [_asked("bores", "deck", 1, 0.0)]) == [NOWHERE]
