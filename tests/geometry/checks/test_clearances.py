"""The clearances of a whole engine: nothing left out in silence, limits and words, against brute force."""

from collections import Counter
from pathlib import Path

import numpy as np
import pytest

from geometry.assembly import assemble
from geometry.checks.clearances import judged, run, untried, verdict_of
from geometry.clearance.full_turn import full_turn
from geometry.clearance.limits import DEFAULTS
from geometry.spec.engine import Engine
from tests.geometry import fleet

DEMOS = Path(__file__).parents[3] / "demo_engines"
INCH = 25.4


@pytest.fixture(scope="module")
def tern():
    return fleet.assembly("tern")


@pytest.fixture(scope="module")
def turn(tern):
    return full_turn(tern, 10.0)


def test_every_pair_of_places_is_answered_or_explained(tern, turn):
    features = [(b.name, f) for b in tern.bodies for f in b.part.features]
    per_body = Counter(name for name, _ in features)
    total = len(features) * (len(features) - 1) // 2 - sum(n * (n - 1) // 2 for n in per_body.values())
    # and every valve, once more, with the crown under it and with the wall of its pocket
    total += 2 * len(tern.layout.bores) * len(tern.spec.head.valves)
    assert len(turn.near) + len(turn.far) + len(turn.skipped) == total


@pytest.fixture(scope="module")
def neighbours(turn):
    """How often each kind of part is answered against each other kind: by the one's feature, bore, and the other's."""
    found = Counter()
    names = [(n.pair.a.name, n.pair.b.name) for n in turn.near]
    names += [(far.pair.a.name, far.pair.b.name) for far in turn.far] + [(s.a, s.b) for s in turn.skipped]
    for a, b in names:
        for mine, other in ((a, b), (b, a)):
            if mine.startswith("rod_"):
                # "rod_bolt head of rod_bolt 3 major": the bore stands after the body's name.
                found[mine.split()[0], int(mine.split(" of ")[1].split()[1]), other.split()[0]] += 1
    return found


@pytest.mark.parametrize("feature", ["rod_bolt", "rod_cap", "rod_big_end", "rod_beam"])
@pytest.mark.parametrize(
    "against",
    [
        "bore_wall",
        "crankcase_wall",
        "pan_rail",
        "main_web",
        "main_cap",
        "counterweight",
        "piston_skirt",
        "cam_lobe",
    ],
)
def test_no_rod_of_any_bore_misses_a_neighbour(neighbours, feature, against):
    # The builder's list: rod, cap and bolts against everything around them, in each bore.
    assert all(neighbours[feature, bore, against] >= 1 for bore in range(1, 9))


def test_far_pairs_carry_a_bound_and_skipped_ones_a_reason(turn):
    assert all(np.isfinite(left.bound_mm) and left.bound_mm > 5.0 for left in turn.far)
    assert all(skipped.reason for skipped in turn.skipped)


def test_every_near_pair_is_certified(turn):
    assert all(near.approach.within_mm <= 0.0101 for near in turn.near)


def test_bolt_head_to_crankcase_wall_agrees_with_brute_force(tern, turn):
    # Brute force: the two rims of the head as 720 points each, at every 0.05 degree, against the flat inner wall.
    wall_mm = 3.85 * INCH
    bolt = tern.spec.rod.bolt
    angle = np.linspace(0, 2 * np.pi, 720, endpoint=False)
    radius = bolt.head_diameter_mm / 2
    for near in turn.near:
        a, b = near.pair.a, near.pair.b
        names = {a.feature, b.feature}
        place = (a if a.feature == "crankcase_wall" else b).place
        if names != {"rod_bolt", "crankcase_wall"} or "right side" not in place:
            continue
        rod_bolt = a if a.feature == "rod_bolt" else b
        if rod_bolt.place != "head":
            continue
        body = rod_bolt.body
        rim = np.column_stack([radius * np.cos(angle), radius * np.sin(angle), np.zeros(720), np.ones(720)])
        low, high = rim.copy(), rim.copy()
        low[:, 2], high[:, 2] = -bolt.seat_mm - bolt.head_height_mm, -bolt.seat_mm
        points = np.vstack([low, high])
        poses = tern.pose(body.name, np.arange(0.0, 360.0, 0.05))
        moved = np.einsum("tij,kj->tki", poses, points)
        beside = (moved[..., 2] > -2.4 * INCH) & (moved[..., 2] < 0.68 * INCH)
        reach = np.where(beside, moved[..., 1], -np.inf).max()
        assert near.approach.min_mm == pytest.approx(wall_mm - reach, abs=0.02)
        return
    pytest.fail("no bolt head near the right crankcase wall")


def test_piston_to_head_is_deck_plus_gasket(tern, turn):
    # Closed form: deck height less the highest pin position (throw and rod in line) less compression height.
    spec = tern.spec
    reach = spec.rod.length_mm + spec.crank.stroke_mm / 2
    top = np.sqrt(reach**2 - spec.piston.pin.offset_mm**2)
    expected = spec.block.deck_height_mm - top - spec.piston.compression_height_mm + spec.gasket.thickness_mm
    found = [
        n.approach.min_mm
        for n in turn.near
        if {n.pair.a.feature, n.pair.b.feature} == {"piston_crown", "head_face"}
    ]
    assert len(found) >= 8
    assert min(found) == pytest.approx(expected, abs=0.011)


def test_counterweight_to_web_is_the_axial_gap(tern, turn):
    # Closed form: half the difference of main journal width and web thickness.
    spec = tern.spec
    found = [
        n.approach.min_mm
        for n in turn.near
        if {n.pair.a.feature, n.pair.b.feature} == {"counterweight", "main_web"}
    ]
    assert min(found) == pytest.approx((spec.crank.main.width_mm - spec.block.web_mm) / 2, abs=0.011)


@pytest.mark.parametrize(
    "least, within, limit, word",
    [(-0.5, 0.01, 1.0, "overlaps"), (0.005, 0.01, 1.0, "touches"),
     (0.9, 0.01, 1.0, "close"), (1.02, 0.01, 1.0, "clear"),
     (1.005, 0.01, 1.0, "close")],
)  # fmt: skip
def test_in_doubt_the_graver_word(least, within, limit, word):
    assert verdict_of(least, within, limit) == word


def test_long_stroke_is_stopped_and_says_where():
    # Without the remedies, which `test_remedies` asks for at one throw of it.
    engine = fleet.assembly("tern_long_stroke")
    section = untried(engine, full_turn(engine), "in")
    stops = [f for f in section.findings if f.severity == "stop"]
    assert {f.bore for f in stops} == set(range(1, 9))
    assert any("rod bolt head" in f.text and "bore wall, bore" in f.text and "deep" in f.text for f in stops)


@pytest.mark.parametrize("name", ["tern", "dunlin", "plover", "curlew", "whimbrel", "knot"])
def test_the_fleet_clears(name):
    section = run(fleet.assembly(name), "mm")
    assert section.findings == ()
    assert len(section.rows) > 3


def test_the_worst_comes_first_and_rows_carry_what_a_program_needs(tern, turn):
    found = judged(tern, turn)
    assert [c.spare_mm for c in found] == sorted(c.spare_mm for c in found)
    row = run(tern, "in").as_json()[0]
    wanted = {
        "a",
        "b",
        "bore",
        "other_bore",
        "min_mm",
        "crank_deg",
        "within_mm",
        "limit_mm",
        "limit_source",
        "verdict",
    }
    assert wanted <= set(row)


def test_rows_say_where_a_head_is_held_as_a_circle_and_where_a_shape_is_assumed(tern):
    section = run(tern, "mm")
    said = {(row["a"], row["b"]): (row["remark"], row["assumed_shape"]) for row in section.rows}
    assert said["rod_bolt", "bore_wall"] == ("round head", "")
    assert said["counterweight", "main_web"] == said["rod_beam", "pin_boss"] == ("", "")
    heads, roof = said["counterweight", "main_cap_bolt"], said["cheek", "crankcase_roof"]
    assert heads[0] == roof[0] == "assumed"
    assert "heads of the main cap bolts" in heads[1]
    assert "roof of the crankcase" in roof[1]
    assert {f"assumed: {words}." for _, words in (heads, roof)} <= set(section.notes)
    # A head of twelve points is two hexagons; where they meet they stand at cos 30 / cos 15 of their corners.
    radius = tern.spec.rod.bolt.head_diameter_mm / 2
    back = radius * (1 - 0.88 * np.cos(np.pi / 6) / np.cos(np.pi / 12))
    assert any(note.startswith("round head: ") and f"{back:.2f}" in note for note in section.notes)


def test_each_row_is_held_to_the_limit_of_its_own_two_kinds():
    # Every limit another value, so that none can stand in for the next; what holds where is the trade's.
    data = fleet.raw("knot")
    data = {**data, "limits": {key: f"{k} mm" for k, key in enumerate(DEFAULTS, start=1)}}
    value = {key: float(k) for k, key in enumerate(DEFAULTS, start=1)}
    held = {
        (row["a"], row["b"]): row["limit_mm"].value
        for row in run(assemble(Engine.model_validate(data)), "mm").rows
    }
    assert held["piston_crown", "head_face"] == value["piston_to_head"]
    assert held["cheek", "main_cap"] == held["counterweight", "main_web"] == value["counterweight_to_block"]
    assert held["rod_beam", "pin_boss"] == value["rod_to_piston"]
    assert held["cam_lobe", "crankcase_wall"] == value["crank_to_cam"]
