"""Every mistake in every place: it says all that it must, in words, and its numbers have limits with sources."""

import re
from pathlib import Path

import pytest

from geometry.assembly import assemble
from geometry.diagnose.candidates import lightly
from geometry.diagnose.looks import LOOKS
from geometry.mistakes.mistake import RUNNING, mistakes
from tests.geometry.mistakes.shop import right, spec

SEVERITIES = ("stop", "look", "note")
KEYS = [m.key for m in mistakes()]
BODIES_NOT_NEEDED = [m for m in mistakes() if not m.moves]


def studies(base):
    for mistake in BODIES_NOT_NEEDED:
        for place in mistake.places(base):
            wrong = lightly(base, mistake, place)
            yield mistake, place, mistake.study(base, wrong, place, "mm")


@pytest.mark.parametrize("layout", ["vee90", "inline", "flat"])
def test_every_study_says_all_that_it_must(layout):
    base = right(layout)
    names = {body.name for body in base.bodies}
    for mistake, place, study in studies(base):
        where = f"{mistake.key} {place}"
        assert study.rows, where
        for text in (study.does, study.felt, study.look_for, study.remedy):
            assert re.fullmatch(r"[A-Z].*[.]", text, re.DOTALL), f"{where}: {text}"
            assert not {"None", "nan"} & set(re.split(r"\W+", text)), f"{where}: {text}"
        for entry in study.rows:
            assert set(entry) == {"what", "right", "wrong", "limit", "limit_source", "verdict", "severity"}, (
                where
            )
            assert entry["severity"] in SEVERITIES if entry["verdict"] else entry["severity"] is None, where
            assert entry["limit"] is None or entry["limit_source"], f"{where}: {entry['what']} has no source"
        assert study.look in LOOKS, where
        assert 0.0 <= study.spot.crank_deg < 720.0, where
        assert study.spot.severity in SEVERITIES, where
        assert (study.spot.bore is None) == (study.spot.view in ("below", "section", "push")), where
        assert study.signature.running <= set(RUNNING), where
        assert any(body in names for body in study.spot.bodies), f"{where}: {study.spot.bodies}"
        for arc in study.signature.tight:
            assert 0.0 <= arc.start_deg < arc.end_deg <= arc.start_deg + study.signature.period_deg, where
        sign = study.signature
        felt = sign.bound or sign.heavy or sign.tight or sign.clicks_deg or sign.when_hot
        assert bool(felt) != sign.seen_only, where


def test_a_mistake_changes_only_what_it_says():
    base = right()
    for mistake, place, _ in studies(base):
        built = mistake.make(base, place)
        touched = {n for n in built.bores if built.bore(n) != base.built.bore(n)}
        assert touched <= {place} | {s.bore for s in base.layout.bores if s.bore != place}, mistake.key
        assert len(touched) <= 2, mistake.key
        assert base.built.bores == {}, f"{mistake.key} changed the engine it was given"


@pytest.mark.parametrize("key, part_from", [("pistons_exchanged", "piston_from"), ("cap_exchanged", "cap_from"),
                                             ("rods_exchanged", "rod_from")])  # fmt: skip
def test_parts_are_exchanged_with_the_nearest(key, part_from):
    # In line with the next behind, at the rear end with the one in front; across a vee with the bore on the same pin.
    make = next(m for m in mistakes() if m.key == key).make
    base, vee = right("inline"), right("vee90")
    in_line = [site.bore for site in sorted(base.layout.bores, key=lambda site: site.x_mm)]
    for engine, bore, other in (
        (base, in_line[0], in_line[1]),
        (base, in_line[-1], in_line[-2]),
        *((vee, site.bore, site.partner) for site in vee.layout.bores),
    ):
        built = make(engine, bore)
        assert (getattr(built.bore(bore), part_from), getattr(built.bore(other), part_from)) == (other, bore)


def test_refusals_are_reasons():
    single = assemble(spec("inline", rings={"second": None, "oil": None}, piston={"grooves": [
        {"ring": "top", "from_crown": "0.27 in", "height": "0.0616 in", "root": "3.64 in"},
    ]}))  # fmt: skip
    for key in ("gaps_in_line", "rings_exchanged", "expander_overlapped", "rail_missing"):
        mistake = next(m for m in mistakes() if m.key == key)
        assert mistake.places(single) == ()
        assert "piston has" in mistake.refuse(single, 1), key


def test_one_file_for_each_mistake():
    folder = Path(__file__).parents[3] / "geometry" / "mistakes"
    for key in KEYS:
        assert len(list(folder.rglob(f"{key}.py"))) == 1
    assert len(KEYS) == 23


@pytest.mark.parametrize("key", [m.key for m in mistakes() if m.moves])
def test_bodies_made_anew_are_those_of_a_whole_assembly(key):
    mistake = next(m for m in mistakes() if m.key == key)
    base = right()
    light, whole = lightly(base, mistake, 3), assemble(base.spec, mistake.make(base, 3))
    assert [b.name for b in light.bodies] == [b.name for b in whole.bodies]
    for a, b in zip(light.bodies, whole.bodies, strict=True):
        assert (a.X_FA == b.X_FA).all(), a.name
        assert len(a.part.features) == len(b.part.features), a.name


TOUCHES = {
    "bound",
    "digs in",
    "rides on the fillet",
    "hits",
    "strikes",
    "opens",
    "seizes",
    "ends meet",
    "upside down",
}
LEAVES_ROOM = {"clear", "open", "holds", "unchanged", "within", "tight", "too close"}


@pytest.mark.parametrize("layout", ["vee90", "inline"])
def test_what_touches_is_a_stop_and_what_leaves_room_is_none(layout):
    told = {
        (str(entry["verdict"]), entry["severity"])
        for _, _, study in studies(right(layout))
        for entry in study.rows
    }
    assert {severity for words, severity in told if words in TOUCHES} == {"stop"}
    assert "stop" not in {severity for words, severity in told if words in LEAVES_ROOM}
