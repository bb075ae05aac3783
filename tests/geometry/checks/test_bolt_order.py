"""Order of tightening: from the middle outwards, by what manuals print of it and by counting."""

import itertools

import pytest

from geometry.assembly import assemble
from geometry.checks.bolt_order import BoltPlace, crosswise, tightening_orders
from geometry.spec.engine import Engine
from tests.geometry.fleet import spec

BOLT = {"diameter_mm": 10.0}


def with_bolts(name, head=None, main=None):
    data = spec(name).model_dump()
    if head is not None:
        data["head"]["bolt"] = {**BOLT, **head}
    if main is not None:
        data["block"]["main_cap"]["bolt"] = main
    return assemble(Engine.model_validate(data), kinds=())


def test_five_caps_from_the_middle_outwards():
    (order,) = tightening_orders(with_bolts("dunlin"), "main")
    places = [bolt for _, bolt in order.ranked]
    assert [bolt.cap for bolt in places] == [3, 3, 2, 2, 4, 4, 1, 1, 5, 5]
    assert [bolt.side for bolt in places[:2]] == ["left", "right"]
    assert places[0].words == "cap 3, left"
    assert "no source" in order.source


def test_a_number_counts_from_the_front_left_before_right():
    (order,) = tightening_orders(with_bolts("dunlin"), "main")
    across = [(bolt.x_mm, bolt.y_mm) for bolt in order.bolts]
    assert across == sorted(across)
    assert [bolt.number for bolt in order.bolts] == list(range(1, 11))
    assert order.bolts[0].cap == 1


def ten():
    """Two rows of five, numbered from the front, left before right."""
    at = list(itertools.product((0.0, 100.0, 200.0, 300.0, 400.0), (-40.0, 40.0)))
    return [BoltPlace(number, x, y) for number, (x, y) in enumerate(at, start=1)]


def test_ten_head_bolts_crosswise_from_the_middle():
    # As service manuals of four-cylinder heads draw it: the middle pair, then each next square from corner to opposite
    # corner. From memory; no source names a rule.
    order = crosswise(ten())
    assert order[:2] == (5, 6)
    opposite = {3: 8, 8: 3, 4: 7, 7: 4, 1: 10, 10: 1, 2: 9, 9: 2}
    assert [opposite[order[k]] for k in (2, 4, 6, 8)] == [order[k + 1] for k in (2, 4, 6, 8)]
    assert sorted(order[2:6]) == [3, 4, 7, 8]


def test_every_bolt_comes_once_and_never_before_one_that_is_nearer_the_middle():
    for name in ("tern", "plover", "knot"):
        for around in (4, 5, 6):
            for order in tightening_orders(with_bolts(name, {"around": around}), "head"):
                assert sorted(order.order) == [bolt.number for bolt in order.bolts]
                ends = [bolt.x_mm for bolt in order.bolts]
                middle = (min(ends) + max(ends)) / 2
                away = [round(abs(bolt.x_mm - middle), 2) for _, bolt in order.ranked]
                assert away == sorted(away)
                assert order.positions_assumed


@pytest.mark.parametrize(("around", "count"), [(4, 10), (5, 14), (6, 18)])
def test_so_many_bolts_stand_round_four_bores(around, count):
    orders = tightening_orders(with_bolts("tern", {"around": around}), "head")
    assert [order.bank for order in orders] == ["left", "right"]
    assert [len(order.bolts) for order in orders] == [count, count]
    if around == 5:  # the odd one stands outboard: left of the left bank, right of the right
        sides = [sum(bolt.side == "left" for bolt in order.bolts) for order in orders]
        assert sides == [9, 5]


def test_no_bolt_stands_in_a_bore():
    for around in (4, 5, 6):
        made = with_bolts("tern", {"around": around})
        bore = made.spec.block.bore.diameter_mm
        for order in tightening_orders(made, "head"):
            sites = [site for site in made.layout.bores if site.bank == order.bank]
            for bolt, site in itertools.product(order.bolts, sites):
                assert (bolt.x_mm - site.x_mm) ** 2 + bolt.y_mm**2 > (bore / 2 + 10.0 / 2) ** 2


def test_the_order_of_the_file_stands_in_for_the_rule():
    positions = [[-50.0, -40.0], [-50.0, 40.0], [50.0, -40.0], [50.0, 40.0]]
    made = with_bolts("knot", {"positions": positions, "order": [4, 1, 2, 3]}, {"order": [2, 1]})
    (head,), (main,) = tightening_orders(made, "head"), tightening_orders(made, "main")
    assert (head.order, head.source, head.positions_assumed) == ((4, 1, 2, 3), "your engine file", False)
    assert [bolt.y_mm for bolt in head.bolts] == [-40.0, 40.0, -40.0, 40.0]
    x = made.layout.bores[0].x_mm
    assert [bolt.x_mm - x for bolt in head.bolts] == [-50.0, -50.0, 50.0, 50.0]
    assert main.order == (3, 4, 1, 2)


def test_stages_as_written_or_shares_of_the_torque():
    written = [{"torque_nm": 30.0}, {"angle_deg": 90.0}]
    (head,) = tightening_orders(with_bolts("knot", {"stages": written}), "head")
    assert [(stage.torque_nm, stage.angle_deg) for stage in head.stages] == [(30.0, None), (None, 90.0)]
    (head,) = tightening_orders(with_bolts("knot", {"torque_nm": 60.0}), "head")
    assert [stage.torque_nm for stage in head.stages] == pytest.approx([20.0, 40.0, 60.0])
    assert "no source" in head.stages_source
    before = {"torque_nm": 60.0, "stages": [{"torque_nm": torque} for torque in (30.0, 50.0, 70.0)]}
    (head,) = tightening_orders(with_bolts("knot", before), "head")
    assert [stage.torque_nm for stage in head.stages] == [30.0, 50.0, 60.0]
    (main,) = tightening_orders(with_bolts("knot", main={"torque_nm": 60.0}), "main")
    assert [stage.torque_nm for stage in main.stages] == pytest.approx([30.0, 60.0])
    assert tightening_orders(with_bolts("knot", {}), "head")[0].stages == ()


@pytest.mark.parametrize(
    ("order", "said"),
    [
        ([1, 2, 3], "bolt 4 is missing"),
        ([1, 2, 3, 4, 4], "a number stands twice"),
        ([1, 2, 3, 5], "no bolt 5"),
    ],
)
def test_an_order_that_cannot_be_is_refused(order, said):
    with pytest.raises(ValueError, match=said):
        with_bolts("knot", {"order": order})
