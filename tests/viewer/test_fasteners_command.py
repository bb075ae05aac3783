"""`fullturn fasteners` as a builder calls it: what it tells, what it draws, and how it ends."""

import json
import re
from pathlib import Path

import pytest

from geometry.assembly import assemble
from geometry.checks.bolt_order import tightening_orders
from tests.geometry.fleet import spec
from viewer.paper.order import draw_order

DEMOS = Path(__file__).parents[2] / "demo_engines"
KNOT, CURLEW = DEMOS / "knot.toml", DEMOS / "curlew.toml"


def test_the_table_tells_each_kind_of_bolt_and_ends_with_zero(call):
    code, out, err = call("fasteners", KNOT)
    assert (code, err) == (0, [])
    for said in (
        "rod bolts",
        "main bolts",
        "head bolts",
        "grade 5",
        "cap 1, left then right",
        "Stage 2",
        "no source",
    ):
        assert said in out
    assert "13000 rpm" in out  # 13 466: nobody knows it better
    assert not re.search(r"\b13466\b", out)


def test_a_bolt_outside_its_limit_ends_with_one(call):
    code, out, _ = call("fasteners", KNOT, "--set", 'head.bolt.torque="30 lbf*ft"')
    assert code == 1
    assert "past the bolt's proof load" in out


def test_json_has_the_rows_of_check_with_order_and_stages(call):
    code, out, _ = call("fasteners", KNOT, "--json", "--torque", "160 lbf*in")
    answer = json.loads(out)
    assert code == 0
    assert [row["joint"] for row in answer["fasteners"]] == ["rod", "main", "head"]
    ranks = [(row["rank"], row["cap"], row["side"]) for row in answer["orders"] if row["which"] == "main"]
    assert ranks == [(1, 1, "left"), (2, 1, "right"), (3, 2, "left"), (4, 2, "right")]
    assert [row["torque_nm"] for row in answer["stages"] if row["which"] == "main"] == pytest.approx(
        [9.039, 18.078], abs=1e-3
    )
    # 160 lbf in by 0.18 and 5/16 in: 2844 lbf, and a fifth either way.
    middle = 160 / (0.18 * 0.3125) * 4.4482216
    reading = answer["reading"]
    assert reading["by_torque_middle_n"] == pytest.approx(middle)
    assert (reading["by_torque_low_n"], reading["by_torque_high_n"]) == pytest.approx(
        (0.8 * middle, 1.2 * middle)
    )


def test_beyond_its_yield_a_bolt_has_no_load_in_words_or_numbers(call):
    code, out, _ = call("fasteners", CURLEW, "--json")
    head = next(row for row in json.loads(out)["fasteners"] if row["joint"] == "head")
    assert code == 0
    assert {key: value for key, value in head.items() if "preload" in key or key.endswith("share")} == {
        "preload_n": None, "preload_low_n": None, "preload_high_n": None, "proof_share": None,
    }  # fmt: skip
    assert (head["torque_nm"], head["angle_deg"]) == (None, 180.0)
    code, out, _ = call("fasteners", CURLEW, "--of", "head", "--length", "126.4 mm")
    assert "no torque tells it" in out
    assert "it has stayed stretched: a new bolt" in out
    code, out, err = call("fasteners", CURLEW, "--of", "head", "--torque", "30 N*m")
    assert (code, out) == (2, "")
    assert "tightened to yield" in err[0]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--torque", "60"), "has no unit"),
        (("--stretch", "-1 mm"), "not above zero"),
        (("--of", "wheel", "--torque", "60 N*m"), "wheel"),
        (("--of", "head", "--stretch", "0.1 mm", "-o", "order.svg"), "write head.bolt.grip"),
        (("-o", "order.exe"), "order.exe"),
    ],
)
def test_what_cannot_be_told_is_one_line(call, tmp_path, monkeypatch, words, said):
    monkeypatch.chdir(tmp_path)
    code, out, err = call("fasteners", KNOT, *words)
    assert (code, out, len(err)) == (2, "", 1)
    assert said in err[0]
    assert list(tmp_path.iterdir()) == []


def test_the_picture_is_a_vector_drawing_with_the_numbers_where_the_bolts_are(call, tmp_path):
    code, out, _ = call("fasteners", KNOT, "--order", "head", "-o", tmp_path / "order.svg")
    assert code == 0
    assert "Wrote" in out
    assert "<svg" in (tmp_path / "order.svg").read_text(encoding="utf-8")


@pytest.mark.parametrize(("which", "hand"), [("main", -1.0), ("head", 1.0)])
def test_seen_from_below_left_and_right_change_sides_and_the_front_is_up(which, hand):
    made = assemble(spec("curlew"), kinds=())
    figure = draw_order(made, which, "mm")
    for axes, order in zip(figure.axes, tightening_orders(made, which), strict=True):
        at = {text.get_text(): text.get_position() for text in axes.texts}
        for rank, bolt in order.ranked:
            assert at[str(rank)] == pytest.approx((hand * bolt.y_mm, -bolt.x_mm))
        right = max(bolt.y_mm for bolt in order.bolts)
        assert at["right"][0] == pytest.approx(hand * right)
        assert at["FRONT"][1] > max(-bolt.x_mm for bolt in order.bolts)


def test_no_words_of_the_picture_lie_over_each_other():
    made = assemble(spec("tern"), kinds=())
    for which in ("main", "head"):
        figure = draw_order(made, which, "in")
        figure.draw_without_rendering()
        boxes = [text.get_window_extent() for axes in figure.axes for text in axes.texts]
        boxes += [text.get_window_extent() for text in figure.texts]
        page = figure.bbox
        for place, box in enumerate(boxes):
            assert page.x0 <= box.x0 < box.x1 <= page.x1
            assert page.y0 <= box.y0 < box.y1 <= page.y1
            assert not any(box.overlaps(other) for other in boxes[place + 1 :])
