"""Every two places of every engine: held to a limit, or excused for the reason that an engine builder would give.

What is expected is written here from the trade, on the names that a builder reads: which part runs in which, what
stands behind a bore's wall, what the engine file says nothing about. The program decides on typed data instead.
"""

from dataclasses import dataclass, replace
from functools import cache
from itertools import combinations

import numpy as np
import pytest

from geometry.assembly import assemble
from geometry.clearance.excuses import EXCUSES, no_clearance
from geometry.clearance.limits import DEFAULTS, limit_for
from geometry.clearance.pairs import LIMIT_OF, pairs_of, places
from geometry.collision.support import circles_of
from geometry.feature import Group
from geometry.spec.engine import Engine
from tests.geometry import fleet
from tests.geometry.rings import engines

SYNTHETIC = ("inline", "vee60", "flat")
ENGINES = (*fleet.NAMES, *SYNTHETIC)

STILL = "they stand still to each other"
RING = "a ring, held by its groove and its bore"
SHELL = "a bearing shell, held between rod and crankpin"
BEARING = "a shaft in its bearing: an oil clearance"
OWN_BORE = "the piston runs in this bore: a fit"
BEHIND = "behind the wall of the bore that the piston runs in"
POCKETS = "valve pockets are hollow: see the crown under each valve"
IN_HEAD = "the valve in its seat and guide"
BEHIND_ITS_BORE = "behind the wall of the bore that the valve stands over"
ON_PIN = "the rod on its piston pin: a fit"
BETWEEN_BOSSES = "the small end between its pin bosses: side float"
ON_CRANKPIN = "the rod on its own crankpin: an oil clearance"
BESIDE_CHEEK = "the rod beside its own cheek: see rods on their pins"
SIDE_BY_SIDE = "two rods side by side on one pin: see rods on their pins"
NOT_IN_THE_FILE = "metal that the engine file does not describe"

KIND = {
    **dict.fromkeys(("rod_beam", "rod_big_end", "rod_small_end", "rod_cap", "rod_bolt"), "rod"),
    **dict.fromkeys(("piston_crown", "piston_skirt", "pin_boss", "piston_pin"), "piston"),
    **dict.fromkeys(
        ("main_journal", "crankpin", "cheek", "counterweight", "crank_nose", "crank_flange"), "crank"
    ),
    **dict.fromkeys(("cam_lobe", "cam_journal", "cam_core"), "cam"),
    **dict.fromkeys(("top_ring", "second_ring", "upper_rail", "expander", "lower_rail"), "ring"),
    "bearing_shell": "shell",
    **dict.fromkeys(("head_face", "chamber", "gasket"), "head"),
    **dict.fromkeys(("intake_valve", "exhaust_valve"), "valve"),
    **dict.fromkeys(("pan_floor", "pan_side", "windage_tray"), "pan"),
    **dict.fromkeys(
        ("bore_wall", "deck", "bank_side", "crankcase_roof", "crankcase_wall", "pan_rail"), "block"
    ),
    **dict.fromkeys(("main_web", "cam_tunnel", "end_wall", "main_cap", "main_cap_bolt"), "block"),
}
LIMIT = {
    ("rod", "block"): "rod_to_block",
    ("rod", "head"): "rod_to_block",
    ("rod", "valve"): "rod_to_block",
    ("piston", "valve"): "piston_to_exhaust_valve",
    ("valve", "valve"): "valve_to_valve",
    ("valve", "block"): "valve_to_bore",
    ("valve", "head"): "valve_to_bore",
    ("valve", "pan"): "valve_to_bore",
    ("rod", "cam"): "rod_to_cam",
    ("rod", "pan"): "crank_to_pan",
    ("rod", "piston"): "rod_to_piston",
    ("rod", "crank"): "rod_to_counterweight",
    ("rod", "rod"): "rod_to_rod",
    ("piston", "block"): "piston_to_block",
    ("piston", "head"): "piston_to_head",
    ("piston", "piston"): "piston_to_piston",
    ("piston", "cam"): "rod_to_cam",
    ("piston", "pan"): "crank_to_pan",
    ("crank", "piston"): "counterweight_to_piston",
    ("crank", "block"): "counterweight_to_block",
    ("crank", "head"): "counterweight_to_block",
    ("crank", "valve"): "counterweight_to_block",
    ("crank", "cam"): "crank_to_cam",
    ("crank", "pan"): "crank_to_pan",
    ("cam", "block"): "crank_to_cam",
    ("cam", "head"): "crank_to_cam",
    ("cam", "valve"): "crank_to_cam",
    ("cam", "pan"): "crank_to_pan",
}


@cache
def engine(name):
    """An engine whose limits are all different, so that none can stand in for another."""
    data = engines.data_of(name) if name in SYNTHETIC else dict(fleet.raw(name))
    data["limits"] = {key: f"{k} mm" for k, key in enumerate(DEFAULTS, start=1)}
    return assemble(Engine.model_validate(data))


@cache
def listed(name):
    return pairs_of(engine(name))


@dataclass(frozen=True)
class Thing:
    """A place by the words that a builder reads."""

    name: str
    place: str
    kind: str
    moves_with: str
    bore: int | None
    throw: int | None
    bank: str
    number: int | None
    beside: tuple[str, ...]


def described(assembly, body, feature):
    kind = KIND[feature.name]
    bore = body.bore
    words = feature.place.replace(",", "").split()
    if feature.name == "bore_wall":
        bore = int(words[1])
    moves_with = {
        "rod": f"rod {bore}",
        "shell": f"rod {bore}",
        "piston": f"piston {bore}",
        "ring": f"piston {bore}",
        "valve": f"{feature.name} {bore}",  # all of a kind in a bore open together
    }
    still = moves_with.get(kind, kind if kind in ("crank", "cam") else "block")
    throw = int(words[words.index("throw") + 1]) - 1 if "throw" in words else None
    bank = next((b for b in ("left", "right") if b in f"{feature.place} {body.name}".split()), "line")
    if bore is not None:
        bank = assembly.layout.site(bore).bank
        throw = assembly.layout.site(bore).throw
    number = (
        int(words[1]) if feature.name in ("main_journal", "main_web", "cam_journal", "cam_tunnel") else None
    )
    if feature.name == "main_cap":
        number = int(body.name.split()[1])
    beside = tuple(b for b in ("left", "right", "line") if b in feature.part.replace(",", "").split())
    return Thing(feature.name, feature.place, kind, still, bore, throw, bank, number, beside)


def runs_on(assembly, pin, bore):
    """Whether a rod's own crankpin this is: that of its throw, and where pins are split, the nearer half."""
    site = assembly.layout.site(bore)
    if pin.throw != site.throw:
        return False
    half = pin.place.split()[-1]
    if half not in ("front", "rear") or site.partner is None:
        return True
    return (site.x_mm < assembly.layout.site(site.partner).x_mm) == (half == "front")


def expected(assembly, one, two):
    """Why a builder would not measure between the two, or None."""
    if one.moves_with == two.moves_with:
        return STILL
    if "ring" in (one.kind, two.kind):
        return RING
    if "shell" in (one.kind, two.kind):
        return SHELL
    return (
        one_way(assembly, one, two)
        or one_way(assembly, two, one)
        or left_open(one, two)
        or left_open(two, one)
    )


def one_way(assembly, one, two):
    if one.name == "main_journal" and two.name in ("main_web", "main_cap") and one.number == two.number:
        return BEARING
    if one.name == "cam_journal" and two.name in ("main_web", "cam_tunnel") and one.number == two.number:
        return BEARING
    if one.name == "cam_core" and two.name in ("main_web", "cam_tunnel"):
        return BEARING
    if one.kind == "piston":
        return of_a_piston(one, two)
    if one.kind == "rod":
        return of_a_rod(assembly, one, two)
    return of_a_valve(one, two) if one.kind == "valve" else None


def of_a_piston(one, two):
    if two.name == "bore_wall":
        if one.bore == two.bore:
            return OWN_BORE
        return BEHIND if one.bank == two.bank else None
    if two.name in ("deck", "bank_side", "crankcase_roof", "gasket") and one.bank == two.bank:
        return BEHIND
    if two.name == "crankcase_wall" and one.bank in two.beside:
        return BEHIND
    return POCKETS if two.kind == "valve" and one.bore == two.bore else None


def of_a_valve(one, two):
    if two.name == "crankcase_wall":
        return BEHIND_ITS_BORE if one.bank in two.beside else None
    if one.bank != two.bank:
        return None
    if two.name in ("head_face", "chamber"):
        return IN_HEAD
    if two.name == "bore_wall" and one.bore == two.bore:
        return None  # certified: a valve must clear the wall of its own bore
    around = ("bore_wall", "deck", "bank_side", "crankcase_roof", "gasket")
    return BEHIND_ITS_BORE if two.name in around else None


def of_a_rod(assembly, one, two):
    if two.kind == "piston" and one.bore == two.bore:
        if two.name == "piston_pin" and one.name in ("rod_small_end", "rod_beam"):
            return ON_PIN
        if two.name == "pin_boss" and one.name == "rod_small_end":
            return BETWEEN_BOSSES
    if two.name == "crankpin" and runs_on(assembly, two, one.bore):
        return None if one.name == "rod_small_end" else ON_CRANKPIN
    if two.kind == "crank" and one.throw == two.throw:
        return BESIDE_CHEEK
    if two.kind == "rod" and one.throw == two.throw:
        return SIDE_BY_SIDE
    return None


def left_open(one, two):
    """The engine file says nothing of the ends of shaft and block, of a bank's outside, of the room for skirts."""
    if one.name in ("crank_nose", "crank_flange", "deck", "bank_side", "end_wall"):
        return NOT_IN_THE_FILE
    if one.name == "crankcase_roof" and two.kind == "cam":
        return NOT_IN_THE_FILE
    return NOT_IN_THE_FILE if one.name == "main_web" and two.kind == "piston" else None


@pytest.mark.parametrize("name", ENGINES)
def test_every_two_places_are_held_to_their_limit_or_excused_for_the_right_reason(name):
    assembly = engine(name)
    things = {p.name: (p.body, described(assembly, p.body, p.of)) for p in places(assembly)}
    wanted, skipped = listed(name)
    wanted = [p for p in wanted if p.a.name in things]
    every = sum(len(body.part.features) for body in assembly.bodies)
    within = sum(len(body.part.features) * (len(body.part.features) - 1) // 2 for body in assembly.bodies)
    assert len(wanted) + len(skipped) == every * (every - 1) // 2 - within
    found = {frozenset((p.a.name, p.b.name)): limit_for(assembly.spec, p.limit) for p in wanted}
    found |= {frozenset((s.a, s.b)): s.reason for s in skipped}
    wrong = []
    for one, two in combinations(things, 2):
        (body, a), (other, b) = things[one], things[two]
        answer = found.pop(frozenset((one, two)), None)
        if body is other:
            assert answer is None
        elif not is_right(answer, a, b, expected(assembly, a, b)):
            wrong.append(f"{one} : {two}: {answer}, expected {expected(assembly, a, b)}")
    assert wrong == []
    assert not found


@pytest.mark.parametrize("name", ENGINES)
def test_every_valve_is_held_against_the_crown_under_it(name):
    # By the figure of its kind; where its axis stands within a pocket, against the pocket's wall too.
    assembly, (wanted, _) = engine(name), listed(name)
    things = {p.name for p in places(assembly)}
    held = [(p.b.name, p.limit) for p in wanted if p.a.name not in things and p.a.bore == p.b.bore]
    spec = assembly.spec
    for body in (b for b in assembly.bodies if b.part.kind == "valve"):
        valve = spec.head.valves[int(body.frame.split(".")[1]) - 1]
        mine = [limit for name, limit in held if name.endswith(f"of {body.name}")]
        pockets = sum(
            np.hypot(p.forward_mm - valve.forward_mm, p.inward_mm - valve.inward_mm) < p.diameter_mm / 2
            for p in spec.piston.pockets
        )
        assert mine == [f"piston_to_{valve.valve}_valve"] + ["valve_to_pocket"] * bool(pockets)
    over = [p for p in wanted if p.a.name not in things]
    assert len(held) == len(over)
    laws = {p.body.bore: p.law for p in places(assembly) if p.body.part.kind == "piston"}
    for pair in over:  # the crown under a valve is the piston of its own bore, and goes up and down with it
        assert (pair.a.body.part.kind, pair.a.body.bore) == ("piston", pair.b.body.bore)
        assert pair.a.law == laws[pair.b.body.bore]
        assert pair.period_deg == 720.0


def is_right(answer, a, b, reason):
    """Whether a limit is that of the two kinds, or the words of an excuse are those expected."""
    if reason is not None:
        return isinstance(answer, str) and answer.startswith(reason)
    limit = LIMIT.get((a.kind, b.kind)) or LIMIT[b.kind, a.kind]
    return getattr(answer, "least_mm", None) == 1 + list(DEFAULTS).index(limit)


@pytest.mark.parametrize("name", ENGINES)
def test_what_counts_as_beside_the_barrels_is_no_lower_than_they_reach(name):
    # So that a piston that comes out of its bore is held against every wall that it can then see.
    assembly = engine(name)
    block = assembly.spec.block
    low = block.deck_height_mm - block.bore.length_mm
    seen = set()
    for place in places(assembly):
        if place.feature != "crankcase_wall":
            continue
        points = np.vstack([circles_of(piece).centre_mm for piece in place.pieces])
        for bank, numbers in assembly.spec.engine.numbering.banks().items():
            lean = np.radians(assembly.layout.site(numbers[0]).bank_deg)
            along = points @ [0.0, -np.sin(lean), np.cos(lean)]
            hidden = set(numbers) <= place.of.behind
            assert along.min() > low - 1e-4 if hidden else along.max() < low + 1e-4
            seen.add((bank, hidden))
    assert name in SYNTHETIC or seen >= {(bank, True) for bank in assembly.spec.engine.numbering.banks()}


def test_every_two_groups_that_can_move_against_each_other_have_a_limit_of_the_list():
    held = [group for group in Group if group not in (Group.RING, Group.SHELL)]
    assert set(LIMIT_OF) == {frozenset({a, b}) for a in held for b in held}
    assert set(LIMIT_OF.values()) <= set(DEFAULTS)


def test_every_row_of_the_table_is_needed():
    said = set()
    for name in ENGINES:
        said |= {s.reason for s in listed(name)[1]}
    assert all(any(words.startswith(row.reason) for words in said) for row in EXCUSES)


def test_what_is_not_in_the_file_is_named_and_a_plain_reason_ends_with_itself():
    plain = {row.reason for row in EXCUSES}
    for skipped in listed("tern")[1]:
        assert (skipped.reason in plain) != skipped.reason.startswith(NOT_IN_THE_FILE), skipped.reason
        if skipped.reason not in plain:
            what = skipped.reason.removeprefix(f"{NOT_IN_THE_FILE}: ")
            assert what.strip() == what != skipped.reason
            assert what


@pytest.mark.parametrize("bore", [1, 4])
def test_a_cheek_that_reaches_into_its_rod_is_held_against_it(bore):
    # Beside means beside: 0.01 mm of overlap along the crank, and nothing keeps the two apart, on either side.
    assembly = engine("tern")
    here = places(assembly)
    rod = next(p for p in here if p.feature == "rod_big_end" and p.body.bore == bore)
    middle, half = assembly.layout.site(bore).x_mm, assembly.spec.rod.big_end.width_mm / 2
    cheeks = [p for p in here if (no_clearance(assembly, rod, p) or "").startswith(BESIDE_CHEEK)]
    assert cheeks
    for cheek in cheeks:
        long = cheek.x_mm[1] - cheek.x_mm[0]
        for low, kept in (
            (middle + half, True), (middle + half - 0.01, False), (middle, False),
            (middle - half - long, True), (middle - half - long + 0.01, False), (middle - long, False),
        ):  # fmt: skip
            moved = replace(cheek, x_mm=(low, low + long))
            for answer in (no_clearance(assembly, rod, moved), no_clearance(assembly, moved, rod)):
                assert (answer or "").startswith(BESIDE_CHEEK) is kept


@pytest.mark.parametrize("bore", [1, 4])
def test_a_rod_wider_than_its_big_end_is_held_against_what_stands_beside_it(bore):
    # Only a part within the faces of the big end is kept clear by them.
    assembly = engine("tern")
    here = places(assembly)
    rod = next(p for p in here if p.feature == "rod_big_end" and p.body.bore == bore)
    partner = assembly.layout.site(bore).partner
    beside = [p for p in here if p.feature == "rod_big_end" and p.body.bore == partner]
    beside += [p for p in here if (no_clearance(assembly, rod, p) or "").startswith(BESIDE_CHEEK)]
    assert len(beside) > 1
    for low, high in ((-0.01, 0.0), (0.0, 0.01)):
        wide = replace(rod, x_mm=(rod.x_mm[0] + low, rod.x_mm[1] + high))
        for other in beside:
            assert no_clearance(assembly, rod, other) is not None
            assert no_clearance(assembly, wide, other) is None
            assert no_clearance(assembly, other, wide) is None
