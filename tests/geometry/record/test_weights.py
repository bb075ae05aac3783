"""Weights in a build record: judged beside the lightest, laid over the engine, told once in check and verdict."""

import pytest

from geometry.assembly import assemble
from geometry.checks.balance import CHECK
from geometry.record.load import record_of
from geometry.record.overlay import overlay
from geometry.record.verdicts import verdicts
from tests.geometry.balance.engines import weighed_spec


def record(spec, text):
    head = f'[record]\nengine = "{spec.engine.name}"\n'
    return record_of(head + text, "bench.toml", spec)


def bores(weights):
    lines = []
    for bore, parts in weights.items():
        lines += [f'[bore.{bore}.weight.{part}]\nvalue = "{grams} g"' for part, grams in parts.items()]
    return "\n".join(lines) + "\n"


def told(spec, weights):
    found = verdicts(spec, record(spec, bores(weights)), system="mm")
    return [(v.bore, v.path, v.verdict, v.severity) for v in found], found


def test_each_part_is_held_against_the_lightest_of_its_kind():
    spec = weighed_spec("dunlin")
    rows, found = told(
        spec, {1: {"piston": 500}, 2: {"piston": 503}, 3: {"piston": 500.6}, 4: {"piston": 508}}
    )
    assert rows == [
        (1, "weight.piston", "within", None), (2, "weight.piston", "outside", "look"),
        (3, "weight.piston", "within", None), (4, "weight.piston", "outside", "look"),
    ]  # fmt: skip
    assert found[3].remedy == "take 8.0 g off the piston"
    assert found[1].limit == "at most 501.0 g"
    assert "the lightest, that of bore 1, and 1.0 g more (common practice, no source)" in str(found[1].source)
    assert found[1].as_row()["most_kg"] == pytest.approx(0.501)


def test_a_heavy_pin_on_a_light_piston_is_a_match():
    spec = weighed_spec("dunlin")
    weights = {1: {"piston": 500, "pin": 120}, 2: {"piston": 497, "pin": 123.5}}
    rows, _ = told(spec, weights)
    assert rows == [(1, "weight.piston", "within", None), (2, "weight.piston", "within", None)]
    rows, found = told(spec, {1: {"piston": 500, "pin": 120}, 2: {"piston": 500, "pin": 123.5}})
    assert rows[1] == (2, "weight.piston", "outside", "look")
    assert found[1].limit == "at most 497.5 g"  # 620 and 1, less its pin of 123.5


def test_one_weight_by_itself_says_nothing():
    assert told(weighed_spec("dunlin"), {2: {"rod_big": 640}})[0] == []


def test_the_files_tolerance_goes_first():
    spec = weighed_spec("dunlin", tolerance_kg=0.005)
    rows, _ = told(spec, {1: {"rod_small": 300}, 2: {"rod_small": 304}})
    assert [row[2] for row in rows] == ["within", "within"]


def test_what_was_weighed_is_what_the_balance_counts_with_and_both_say_the_same():
    spec = weighed_spec("dunlin")
    held = record(spec, bores({1: {"piston": 500}, 3: {"piston": 504}}))
    built = overlay(spec, held)
    assert dict(built.bore(3).weights_kg) == {"piston": pytest.approx(0.504)}
    section = CHECK.run(assemble(spec, built, kinds=("crank",)), "mm")
    assert [(f.bore, f.group, f.remedy) for f in section.findings] == [
        (3, "weight.piston", "take 4.0 g off the piston")
    ]
    # bobs: pistons of 500 g by the file in bores 2 and 4, 504 in bore 3
    assert section.rows[0]["bob_weight_most_kg"].value - section.rows[0]["bob_weight_least_kg"].value == (
        pytest.approx(0.002)
    )
