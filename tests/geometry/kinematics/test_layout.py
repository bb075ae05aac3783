"""Where bores, throws and cheeks stand, and when each fires: against brute force and plain vectors.

Nothing here uses the frames B, P or R or the closed forms of ``slider_crank``: pistons are found by vectors in the
plane across the engine, dead centres by searching the highest point.
"""

from itertools import pairwise

import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from geometry.errors import GeometryError
from geometry.kinematics.layout import NAMED_THROWS, build_layout
from geometry.spec.engine import Engine
from tests.geometry.fleet import NAMES, raw, spec, turned_round

ENGINES = [(name, way) for name in NAMES for way in ("as written", "the other way")]


def engine_of(name, way):
    return spec(name) if way == "as written" else turned_round(name)


@pytest.fixture(scope="module", params=ENGINES, ids=lambda p: f"{p[0]}, {p[1]}")
def case(request):
    engine = engine_of(*request.param)
    return engine, build_layout(engine)


def running(engine):
    """+1 when the running direction, clockwise seen from the front, turns +z towards -y."""
    return 1.0 if engine.engine.rotation == "clockwise" else -1.0


def bore_axis(engine, site):
    """Unit (y, z) from the crank axis to the deck; y to the right seen from the rear."""
    half = {"inline": 0.0, "flat": 90.0}.get(engine.engine.layout, (engine.engine.bank_angle_deg or 0.0) / 2)
    lean = np.radians(half) * {"left": -1.0, "right": 1.0, "line": 0.0}[site.bank]
    return np.array([np.sin(lean), np.cos(lean)])


def crankpin(engine, site, crank_deg):
    """(y, z) of the crankpin. Seen from the front y points left, so clockwise takes +z towards -y."""
    angle = np.radians(site.pin_deg + running(engine) * crank_deg)
    return engine.crank.stroke_mm / 2 * np.array([-np.sin(angle), np.cos(angle)])


def piston(engine, site, crank_deg):
    """(y, z) of the piston pin: on its line along the bore, one rod length from the crankpin."""
    axis = bore_axis(engine, site)
    across = np.array([axis[1], -axis[0]])  # to the right of the axis
    # +y of the bore frame is "right of the axis"; the pin stands offset_mm along it
    line = site.offset_mm * across
    pin = crankpin(engine, site, crank_deg)
    gap = pin - line
    along = float(gap @ axis)
    beside = float(gap @ across)
    return line + (along + np.sqrt(engine.rod.length_mm**2 - beside**2)) * axis


def height(engine, site, crank_deg):
    return float(piston(engine, site, crank_deg) @ bore_axis(engine, site))


def top_dead_centre(engine, site):
    """Crank angle of the highest piston, searched."""
    coarse = max(np.arange(0.0, 360.0, 5.0), key=lambda a: height(engine, site, a))
    found = minimize_scalar(
        lambda a: -height(engine, site, a), bounds=(coarse - 6, coarse + 6), options={"xatol": 1e-9},
        method="bounded",
    )  # fmt: skip
    return float(found.x)


def apart(a_deg, b_deg):
    return abs((a_deg - b_deg + 180.0) % 360.0 - 180.0)


def test_bores_keep_the_builders_numbers_and_run_front_to_rear(case):
    engine, layout = case
    numbers = [number for bank in engine.engine.numbering.banks().values() for number in bank]
    assert sorted(site.bore for site in layout.bores) == sorted(numbers)
    assert [site.x_mm for site in layout.bores] == sorted(site.x_mm for site in layout.bores)
    for name, bank in engine.engine.numbering.banks().items():
        inside = [site for site in layout.bores if site.bank == name]
        assert [site.bore for site in inside] == bank
        if len(inside) > 1:
            assert np.diff([site.x_mm for site in inside]) == pytest.approx(engine.block.bore.spacing_mm)


def test_bank_axes_point_where_a_builder_expects(case):
    engine, layout = case
    for site in layout.bores:
        turn = np.radians(site.bank_deg)
        from_z = np.array([-np.sin(turn), np.cos(turn)])  # +z turned about +x, front to rear
        assert from_z == pytest.approx(bore_axis(engine, site), abs=1e-12)
        assert np.sign(np.round(from_z[0], 9)) == {"left": -1, "right": 1, "line": 0}[site.bank]


def test_leading_bank_stands_further_forward(case):
    engine, layout = case
    if engine.engine.leading_bank:
        first = {name: layout.site(bank[0]).x_mm for name, bank in engine.engine.numbering.banks().items()}
        other = "left" if engine.engine.leading_bank == "right" else "right"
        assert first[engine.engine.leading_bank] < first[other]
        assert first[other] - first[engine.engine.leading_bank] == pytest.approx(layout.stagger_mm)


def test_zero_is_the_true_top_dead_centre_of_the_first_bore(case):
    engine, layout = case
    first = layout.site(min(site.bore for site in layout.bores))
    assert apart(top_dead_centre(engine, first), 0.0) < 1e-4


def test_every_bore_fires_at_a_true_top_dead_centre(case):
    engine, layout = case
    assert sorted(layout.firing.order) == sorted(site.bore for site in layout.bores)
    for bore, at in zip(layout.firing.order, layout.firing.at_deg, strict=True):
        assert apart(top_dead_centre(engine, layout.site(bore)), at) < 1e-4


def test_throws_run_ahead_in_the_running_direction(case):
    engine, layout = case
    count = 1 + max(site.throw for site in layout.bores)
    throws = engine.crank.throws
    ahead = NAMED_THROWS[throws][count] if isinstance(throws, str) else throws
    first = {site.bank: site for site in layout.bores if site.throw == 0}
    for site in layout.bores:
        if (
            site.bank in first
        ):  # in a flat engine each bank has throws of its own: its bores compare by their own
            lead = ahead[site.throw] - ahead[first[site.bank].throw]
            turned = running(engine) * (site.pin_deg - first[site.bank].pin_deg)
            assert apart(turned, lead) < 1e-9


def test_major_thrust_is_where_the_rod_pushes_the_piston(case):
    """In the power stroke the rod is pressed between piston and crankpin, so it pushes the piston from the
    crankpin's side towards the other wall. (Any engine textbook; shown here by the vector along the rod.)"""
    engine, layout = case
    for site in layout.bores:
        quarter = top_dead_centre(engine, site) + 60.0
        push = piston(engine, site, quarter) - crankpin(engine, site, quarter)
        axis = bore_axis(engine, site)
        sideways = push - (push @ axis) * axis
        right_of_axis = np.array([axis[1], -axis[0]])
        assert (site.thrust_ring_deg == 90.0) == (sideways @ right_of_axis > 0)
        assert site.thrust_ring_deg in (90.0, 270.0)
        if site.bank == "line":
            assert site.thrust_words == ("right" if sideways[0] > 0 else "left")
        elif engine.engine.layout == "flat":
            assert site.thrust_words == ("up" if sideways[1] > 0 else "down")
        else:
            towards_middle = sideways[0] * bore_axis(engine, site)[0] < 0
            assert site.thrust_words == ("inboard" if towards_middle else "outboard")


def test_pin_offset_lies_to_the_side_that_was_written(case):
    engine, layout = case
    pin = engine.piston.pin
    for site in layout.bores:
        towards_major = site.offset_mm * (1.0 if site.thrust_ring_deg == 90.0 else -1.0)
        assert towards_major == pytest.approx(pin.offset_mm if pin.offset_side == "major" else -pin.offset_mm)


def test_cheeks_journals_and_webs_share_the_length_without_overlap(case):
    engine, layout = case
    spans = [
        (x - engine.crank.main.width_mm / 2, x + engine.crank.main.width_mm / 2) for x in layout.main_x_mm
    ]
    spans += [(c.x_mm - c.thickness_mm / 2, c.x_mm + c.thickness_mm / 2) for c in layout.cheeks]
    spans += [(p.x_mm - p.width_mm / 2, p.x_mm + p.width_mm / 2) for p in layout.pins]
    spans.sort()
    gaps = [after[0] - before[1] for before, after in pairwise(spans)]
    web = engine.crank.split_web_mm if engine.crank.split_deg else 0.0
    for gap in gaps:
        assert gap == pytest.approx(0.0, abs=1e-6) or gap == pytest.approx(web, abs=1e-6)


def test_each_rod_has_its_cheek_where_the_layout_says(case):
    engine, layout = case
    half = engine.rod.big_end.width_mm / 2
    side = 0.5  # a rod floats by tenths of a millimetre; anything further away is not beside it
    for site in layout.bores:
        fronts = [
            site.x_mm - half - (c.x_mm + c.thickness_mm / 2) for c in layout.cheeks if c.x_mm < site.x_mm
        ]
        rears = [
            (c.x_mm - c.thickness_mm / 2) - site.x_mm - half for c in layout.cheeks if c.x_mm > site.x_mm
        ]
        beside = {"front": min(fronts) < side, "rear": min(rears) < side}
        assert min(*fronts, *rears) >= 0
        wanted = {"both": (True, True), "front": (True, False), "rear": (False, True)}[site.cheek_side]
        assert (beside["front"], beside["rear"]) == wanted


def sharing_a_throw(layout):
    """Pairs of bores that share a crankpin, front rod first."""
    ordered = sorted(layout.bores, key=lambda site: (site.throw, site.x_mm))
    return [(a.bore, b.bore) for a, b in pairwise(ordered) if a.throw == b.throw]


def test_partners_are_the_bores_of_one_crankpin(case):
    engine, layout = case
    pairs = sharing_a_throw(layout)
    if engine.engine.layout != "vee":
        assert pairs == []
        assert all(site.partner is None for site in layout.bores)
        return
    banks = engine.engine.numbering.banks()
    wanted = {frozenset(pair) for pair in zip(banks["left"], banks["right"], strict=True)}
    assert {frozenset(pair) for pair in pairs} == wanted
    for front, rear in pairs:
        assert layout.site(front).partner == rear
        assert layout.site(rear).partner == front
        assert layout.site(front).x_mm < layout.site(rear).x_mm
        turned = apart(layout.site(front).pin_deg, layout.site(rear).pin_deg)
        assert turned == pytest.approx(engine.crank.split_deg)


def test_a_shared_pin_gives_the_bank_angle_between_its_two_dead_centres():
    """Common practice for the numbers: a 90 degree pair on one pin fires 90 degrees apart."""
    engine = spec("tern")
    layout = build_layout(engine)
    tops = {site.bore: top_dead_centre(engine, site) for site in layout.bores}
    for front, rear in sharing_a_throw(layout):
        assert apart(tops[front], tops[rear]) == pytest.approx(90.0, abs=1e-3)


def test_the_foremost_bore_fits_behind_the_front_face(case):
    engine, layout = case
    wall = engine.block.bore.diameter_mm / 2 + engine.block.bore.wall_mm
    assert min(site.x_mm for site in layout.bores) - wall > 0
    assert max(site.x_mm for site in layout.bores) + wall < layout.length_mm
    assert layout.main_x_mm[0] - engine.block.web_mm / 2 >= engine.block.end_wall_mm - 1e-9


def changed(name, table, **keys):
    return Engine.model_validate({**raw(name), table: {**raw(name)[table], **keys}})


@pytest.mark.parametrize(
    ("name", "table", "keys", "key", "part"),
    [
        ("tern", "engine", {"firing_order": [1, 2, 3, 4, 5, 6, 7, 8]}, "engine.firing_order", "1-2-3-4-5-6-7-8"),
        ("dunlin", "engine", {"firing_order": [1, 2, 3, 4]}, "engine.firing_order", "such as"),
        ("tern", "crank", {"throws": "inline-six"}, "crank.throws", "4 throws"),
        ("tern", "crank", {"throws": ["0 deg", "90 deg"]}, "crank.throws", "2 angles"),
        ("dunlin", "crank", {"rods_per_throw": 2}, "crank.rods_per_throw", "one rod"),
        ("knot", "crank", {"cheek": {"main_radius": "24 mm", "pin_radius": "22 mm"}}, "crank.cheek.thickness", "20 mm"),
    ],
)  # fmt: skip
def test_what_cannot_be_laid_out_is_refused_by_its_key(name, table, keys, key, part):
    with pytest.raises(GeometryError) as refused:
        build_layout(changed(name, table, **keys))
    assert refused.value.key == key
    assert part in str(refused.value)


@pytest.mark.parametrize("order", [[1, 3, 4, 2], [1, 2, 4, 3]])
def test_four_in_line_may_fire_either_way(order):
    """Both orders are in use for four in line with a flat crank (textbooks on engine balance)."""
    layout = build_layout(changed("dunlin", "engine", firing_order=order))
    assert layout.firing.order == tuple(order)
    assert layout.firing.intervals_deg == pytest.approx([180.0] * 4)


def test_six_in_line_fires_in_the_order_of_its_hand():
    """1-5-3-6-2-4 on the usual crank and clockwise, 1-4-2-6-3-5 when the same crank turns the other way:
    common practice for engines built in both hands."""
    usual = {**raw("plover")["crank"], "throws": "inline-six"}
    general = {**raw("plover")["engine"], "rotation": "clockwise", "firing_order": [1, 5, 3, 6, 2, 4]}
    layout = build_layout(Engine.model_validate({**raw("plover"), "crank": usual, "engine": general}))
    assert layout.firing.intervals_deg == pytest.approx([120.0] * 6)
    backwards = build_layout(spec("plover"))
    pins = [np.array([site.pin_deg for site in found.bores]) for found in (layout, backwards)]
    turned = [(p - p[0] + 1e-6) % 360.0 - 1e-6 for p in pins]
    assert turned[0] == pytest.approx(turned[1], abs=1e-6)  # one and the same crank
    assert backwards.firing.order == (1, 4, 2, 6, 3, 5)
