"""Bob weights by the trade's own sums, the factor by what it leaves, and which part to lighten by hand."""

import numpy as np
import pytest

from geometry.assembly import assemble
from geometry.balance.bob import balancing
from geometry.balance.factor import own_factor, principal_values
from geometry.balance.phasors import middle_of_crank_mm, shake
from geometry.balance.shaking import shaking
from geometry.balance.spread import weighed_parts, weight_matches
from geometry.built import AS_DESIGNED, Built
from geometry.kinematics.layout import build_layout
from geometry.spec.base import FROM_FILE
from geometry.spec.engine import Engine
from tests.geometry import fleet
from tests.geometry.balance.engines import weighed, weighed_spec
from tests.geometry.balance.test_phasors import TABLE, engine
from tests.geometry.fleet import CLEAR

TRADE = {"pin": "118 g", "locks": "2 g", "rings": "36 g", "shells": "44 g", "oil": "4 g"}


def tern(weights=TRADE, piston="500 g", small="180 g", big="420 g", **bores):
    raw = fleet.raw("tern")
    rod = raw["rod"] | {"mass_small": small, "mass_big": big}
    parts = {"piston": raw["piston"] | {"mass": piston}, "rod": rod, "weights": weights, "bore": bores}
    # two kinds of part are enough: everything is weighed by the file
    return assemble(Engine.model_validate({**raw, **parts}, context=FROM_FILE), kinds=("crank",))


def test_the_trades_own_bob_weight():
    """Articles on crank balancing: 2 (420 + 44) + 4 + half of 2 (500 + 118 + 2 + 36 + 180) = 1768 g."""
    plan = balancing(tern())
    assert plan.own.kind == "exact"
    assert [bob.mass_kg for bob in plan.bobs] == pytest.approx([1.768] * 4)
    assert [bob.bores for bob in plan.bobs] == [(1, 2), (3, 4), (5, 6), (7, 8)]


def test_rotating_weight_alone():
    """A printed example: (621.5 + 45) times two rods is 1333 g."""
    plan = balancing(tern({**TRADE, "shells": "45 g"}, big="621.5 g"))
    assert [bob.rotating_kg for bob in plan.bobs] == pytest.approx([1.333] * 4)


def test_the_files_own_factor_goes_first():
    plan = balancing(tern({**TRADE, "factor": 0.52}))
    assert plan.bobs[0].mass_kg == pytest.approx(0.932 + 0.52 * 2 * 0.836)
    assert plan.own.factor == pytest.approx(0.5)
    assert not plan.is_own


def test_weights_of_the_record_go_before_those_of_the_file():
    plan = tern()
    built = Built().with_bore(3, weights_kg=(("piston", 0.510),))
    bobs = balancing(assemble(plan.spec, built, kinds=("crank",))).bobs
    assert [round(bob.mass_kg, 6) for bob in bobs] == [1.768, 1.773, 1.768, 1.768]


@pytest.mark.parametrize("bank, up, across", [(90, 1, 1), (60, 1.5, 0.5), (180, 0, 2)])
def test_two_banks_on_one_pin(bank, up, across):
    assert principal_values(bank) == pytest.approx((up, across), abs=1e-12)


KINDS = {
    "single": "part", "twin 360": "part", "twin 180": "part", "three": "part", "four": "free", "five": "part",
    "six": "free", "flat two": "part", "flat four": "free", "V6 60 split 60": "exact", "V6 90 common": "exact",
    "V6 90 split 30": "part", "V8 cross": "exact", "V8 flat": "free", "V12 60": "free",
}  # fmt: skip


@pytest.mark.parametrize("name", TABLE)
def test_what_each_layout_asks_for(name):
    found = own_factor(build_layout(engine(*TABLE[name][:4])))
    assert (found.kind, found.factor) == (KINDS[name], pytest.approx(0.5, abs=1e-3))


@pytest.mark.parametrize("name", ["single", "five", "V6 90 split 30", "V8 cross"])
def test_no_other_factor_leaves_a_smaller_peak(name):
    """Brute force over factors: the peak of the first order over the turn is least at the engine's own."""
    layout = build_layout(engine(*TABLE[name][:4]))
    link, middle = layout.linkage, middle_of_crank_mm(layout)
    first = shake(link, 1.0, middle, 1)
    pins = link.throw_mm * np.exp(1j * np.radians(link.pin_deg))
    turns = np.arange(0, 360, 1.0)
    swing = np.exp(1j * layout.sense * np.radians(turns))

    def peak(factor):
        force = first.force.at(turns) - factor * pins.sum() * swing
        couple = first.couple.at(turns) - factor * (pins * (link.x_mm - middle)).sum() * swing
        return np.abs(force).max() * 100 + np.abs(couple).max()

    tried = np.linspace(0, 1, 101)
    assert tried[np.argmin([peak(f) for f in tried])] == pytest.approx(own_factor(layout).factor, abs=0.011)


@pytest.mark.parametrize("name", [name for name in CLEAR if name not in ("plover", "dunlin")])
def test_balanced_to_its_bob_weight_only_what_turns_against_the_crank_is_left(name):
    found = shaking(weighed(name), balancing(weighed(name)))
    size = found.one_kg_mm * found.arm_mm
    # rods side by side on a pin share its bob weight, which is clamped to its middle: a small couple is left
    assert abs(found.first.force.with_crank) < 0.01 * found.one_kg_mm
    assert abs(found.first.couple.with_crank) < 0.02 * size


def test_a_single_with_half_of_it_balanced_shakes_alike_all_round_and_whole_sideways():
    for factor, path, least, direction in (
        (0.5, "circle", 0.5, None),
        (1.0, "line", 0.0, 90.0),
        (0.0, "line", 0.0, 0.0),
    ):
        made = assemble(weighed_spec("knot", factor=factor), kinds=("crank",))
        found = shaking(made, balancing(made))
        force = found.first.force
        assert found.path(force, False) == path
        assert force.least / found.one_kg_mm == pytest.approx(least, abs=0.02)
        if direction is not None:
            assert min(abs(force.most_deg - direction), 180 - abs(force.most_deg - direction)) < 1.0


def matched(spec, built=AS_DESIGNED):
    return weight_matches(weighed_parts(balancing(assemble(spec, built, kinds=("crank",))).weights))


def test_which_part_to_lighten_by_how_much():
    """Pistons of 500, 503, 500.6 and 508 g: 3, 0.6 and 8 g to come off; 0.6 g is within the gram of the trade."""
    weights = {1: 0.500, 2: 0.503, 3: 0.5006, 4: 0.508}
    built = Built()
    for bore, kg in weights.items():
        built = built.with_bore(bore, weights_kg=(("piston", kg),))
    rows = matched(tern().spec, built)
    assert [(row.bore, round(1000 * row.over_kg, 3), row.is_over) for row in rows] == [
        (1, 0.0, False), (2, 3.0, True), (3, 0.6, False), (4, 8.0, True),
    ]  # fmt: skip
    assert {row.matched.lighten for row in rows} == {"piston"}
    # a heavy pin comes off its piston, once all pins are weighed
    heavy = built
    for bore, kg in weights.items():
        pin = 0.122 if bore == 1 else 0.118
        heavy = heavy.with_bore(bore, weights_kg=(("piston", kg), ("pin", pin)))
    rows = matched(tern().spec, heavy)
    assert [(row.bore, round(1000 * row.over_kg, 3)) for row in rows] == [
        (1, 3.4),
        (2, 2.4),
        (3, 0.0),
        (4, 7.4),
    ]


def test_a_weight_of_one_bore_in_the_file_counts_and_alike_ones_do_not():
    assert matched(tern().spec) == ()
    odd = tern(**{"4": {"piston": {"mass": "506 g"}}})
    rows = matched(odd.spec)
    assert [round(1000 * row.over_kg, 3) for row in rows] == [0, 0, 0, 6, 0, 0, 0, 0]
