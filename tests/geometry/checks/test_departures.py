"""What was put together wrongly is cured by putting it right, and never by another design."""

from dataclasses import fields, replace

import pytest

from geometry.assembly import assemble
from geometry.built import AS_DESIGNED, BoreBuild, Built, built_linkage
from geometry.checks import bores, fillets
from geometry.checks.departures import OF_A_BORE, departures, put_right
from geometry.checks.remedies import cure
from geometry.checks.trials import Trials
from geometry.clearance.full_turn import Near, full_turn
from geometry.clearance.pairs import listed
from geometry.collision.certify import Memory, certify_all
from geometry.feature import Group
from geometry.mistakes.mistake import mistakes
from tests.geometry.fleet import assembly

LOST_MM = 0.1
"""What a mistake must cost a pair to count as its doing: well more than certificates leave open."""
STANDS_OUT = ("bolt_not_seated", "bolt_too_long", "wrong_compression_height", "wrong_rod_length")
"""Mistakes that bring something nearer in any engine."""


@pytest.fixture(scope="module")
def memory():
    return Memory()


@pytest.fixture(scope="module")
def turn(memory):
    return full_turn(assembly("knot"), memory=memory)


def changed(built):
    """Which fields of the build of any bore, or of the whole, are not as designed."""
    plain = BoreBuild()
    of_bores = {f.name for one in built.bores.values() for f in fields(one)
                if getattr(one, f.name) != getattr(plain, f.name)}  # fmt: skip
    mains = {f.name for f in fields(built) if f.name != "bores"
             and getattr(built, f.name) != getattr(AS_DESIGNED, f.name)}  # fmt: skip
    return of_bores | mains


def lost_by(wrong, base, trials, memory):
    """The pair that comes nearer by most through what is wrong, with how near it was; None where none does."""
    listing = listed(wrong)
    pairs = [listing.pair(k) for k in range(len(listing.wanted))]
    standing = ("bore_wall", "pan_rail")
    pairs = [p for p in pairs if {p.a.feature, p.b.feature} & {*standing} or p in listing.crowns]
    pairs = [pair for pair in pairs if trials.altered(base, pair)]
    asked = [((pair.a, pair.b), trials._movers(base, pair), pair.period_deg) for pair in pairs]
    now, then = (
        certify_all([one[side] for one in asked], [one[2] for one in asked], 0.02, 80.0, memory)
        for side in (0, 1)
    )
    lost = [
        0.0 if one.bound_only or was.bound_only else was.floor_mm - one.floor_mm
        for one, was in zip(now, then, strict=True)
    ]
    most = max(range(len(pairs)), key=lambda k: lost[k], default=None)
    if most is None or lost[most] < LOST_MM:
        return None
    return Near(pairs[most], now[most]), then[most].floor_mm


@pytest.mark.parametrize("mistake", mistakes(), ids=lambda mistake: mistake.key)
def test_the_cure_of_a_clearance_that_a_mistake_costs_is_the_mistakes_own(mistake, turn, memory, monkeypatch):
    base = assembly("knot")
    built = mistake.make(base, min(mistake.places(base), default=1)) if mistake.places(base) else AS_DESIGNED
    if not changed(built) & {*OF_A_BORE, "main_cap_turned"}:
        return  # rings, torque, sizes: no part stands elsewhere
    wrong = assemble(base.spec, built)
    trials = Trials(wrong, turn, "mm", memory)
    found = lost_by(wrong, base, trials, memory)
    if found is None:
        assert mistake.key not in STANDS_OUT
        return
    near, was_mm = found
    monkeypatch.setattr(trials, "least_mm", lambda pair: was_mm - LOST_MM / 2)
    (remedy,) = cure(trials, near).remedies
    assert {field for field, _ in remedy.puts_right} == changed(built)
    assert remedy.settings == {}
    assert remedy.leaves_mm == pytest.approx(was_mm, abs=0.06)


def test_what_is_put_together_as_designed_has_no_cure_but_another_design(turn, memory):
    trials = Trials(assembly("knot"), turn, "mm", memory)
    assert all(cure(trials, near) is None for near in turn.near)


def test_what_a_mistake_has_no_part_in_is_no_matter_of_assembly(turn, memory):
    base = assembly("knot")
    wrong = assemble(base.spec, base.built.with_bore(1, bolt_out_mm=(1.5, 1.5)))
    trials = Trials(wrong, turn, "mm", memory)
    valves = [near for near in turn.near if near.pair.b.group is Group.VALVE]
    assert valves
    assert all(cure(trials, near) is None for near in valves)


def test_departures_are_those_of_the_bores_asked_for_and_are_put_right_alone():
    built = Built().with_bore(1, bolt_out_mm=(0.0, 1.5), rod_turned=True).with_bore(2, piston_turned=True)
    found = list(departures(built, [1]))
    assert [(one.field, one.number) for one in found] == [("bolt_out_mm", 1), ("rod_turned", 1)]
    right = put_right(built, found[:1])
    assert right.bore(1) == BoreBuild(rod_turned=True)
    assert right.bore(2) == built.bore(2)


def test_parts_that_changed_places_go_back_in_both_bores():
    built = Built().with_bore(1, piston_from=3, skirt_mm=80.0).with_bore(3, piston_from=1)
    (one,) = departures(built, [3])
    right = put_right(built, [one])
    assert right.bore(1) == BoreBuild(skirt_mm=80.0)
    assert right.bore(3) == BoreBuild()
    assert "bore 1 is in bore 3" in one.cure


@pytest.mark.parametrize(
    "check,mistake,field",
    [
        (fillets, "rod_turned", "rod_turned"), (fillets, "cap_turned", "cap_turned"),
        (bores, "wrong_compression_height", "compression_height_change_mm"),
        (bores, "wrong_rod_length", "rod_length_change_mm"),
    ],
)  # fmt: skip
def test_what_other_checks_find_of_a_mistake_is_cured_by_its_own(check, mistake, field):
    base = assembly("tern")
    make = next(m for m in mistakes() if m.key == mistake).make
    built = make(base, 3)
    wrong = replace(base, built=built, linkage=built_linkage(base.layout, built))
    found = [f for f in check.run(wrong, "in").findings if f.bore == 3]
    assert found
    assert {f.remedy for f in found} == {OF_A_BORE[field].format(n=3)}


def test_a_stack_that_is_too_tight_by_design_is_no_matter_of_assembly():
    # 0.050 in by the file; rod length and height as designed, the limit asks for more.
    base = assembly("tern")
    limits = base.spec.limits.model_copy(update={"piston_to_head_mm": 2.0})
    found = bores.run(replace(base, spec=base.spec.model_copy(update={"limits": limits})), "in").findings
    assert "thicker gasket" in found[0].remedy
