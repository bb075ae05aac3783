"""A diagnosis over a build record: what the record shows weighs, and is studied as it was found."""

from dataclasses import replace
from pathlib import Path

import pytest

from geometry.assembly import assemble
from geometry.built import AS_DESIGNED
from geometry.diagnose.candidates import candidates
from geometry.diagnose.felt import Felt
from geometry.diagnose.likelihood import RECORD_BY_ITSELF, RECORD_RIGHT
from geometry.diagnose.ranking import diagnose
from geometry.spec.load import load_engine

KNOT = Path(__file__).parents[3] / "demo_engines" / "knot.toml"


def test_what_the_record_shows_gains_by_just_that_much():
    base = assemble(load_engine(KNOT))
    recorded = replace(base, built=AS_DESIGNED.with_bore(1, cap_turned=True))
    singles = candidates(recorded, "mm")
    assert [c.key for c in singles if c.recorded] == ["cap_turned"]
    odds = []
    for known in (candidates(base, "mm"), singles):
        found = diagnose(Felt(heavy=True), known, 1, 2)
        chance = {c.parts[0].key: c.chance for c in found.causes if len(c.parts) == 1}
        odds.append(chance["cap_turned"] / chance["gap_too_wide"])
    # Independent: Bayes' rule for one more observation.
    assert odds[1] / odds[0] == pytest.approx(RECORD_RIGHT / RECORD_BY_ITSELF)
