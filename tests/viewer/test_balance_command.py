"""`fullturn balance`: tables and JSON of one engine, a picture, and refusals in one line."""

import json

import pytest

from tests.viewer.conftest import DEMOS

KNOT = DEMOS / "knot.toml"


def test_all_tables_as_json_with_flat_rows(call):
    code, out, err = call("balance", KNOT, "--json", "--speed", "3000 rpm")
    assert (code, err) == (0, [])
    said = json.loads(out)
    assert set(said) == {"fullturn", "engine", "balance", "weights", "bob_weights", "forces", "planes"}
    assert said["balance"]["speed_rpm"] == 3000
    for table in ("weights", "bob_weights", "forces", "planes"):
        for row in said[table]:
            assert all(cell is None or isinstance(cell, str | int | float) for cell in row.values())
    (bob,) = said["bob_weights"]
    whole = bob["rotating_kg"] + bob["oil_kg"] + bob["factor"] * bob["reciprocating_kg"]
    assert bob["bob_weight_kg"] == pytest.approx(whole, abs=2e-6)
    before, balanced = said["forces"][
        :2
    ]  # an upright piston pushes up and down alone, and half balanced all round
    assert (before["force_up_n"], before["force_side_n"]) == pytest.approx((before["force_n"], 0.0), abs=1.0)
    assert balanced["force_side_n"] == pytest.approx(before["force_n"] / 2, rel=0.01)
    slow = json.loads(call("balance", KNOT, "--json", "--speed", "1500 rpm")[1])
    assert said["forces"][2]["force_n"] == pytest.approx(4 * slow["forces"][2]["force_n"], rel=1e-4)


def test_the_tables_say_who_decides_and_the_picture_is_written(call, tmp_path):
    picture = tmp_path / "knot.svg"
    code, out, err = call("balance", KNOT, "-o", picture)
    assert (code, err) == (0, [])
    assert "the balancing machine decides" in " ".join(out.split())
    assert "Bob weights" in out
    assert "All within limits" not in out  # nothing here is held to one
    text = picture.read_text(encoding="utf-8")
    assert text.startswith("<?xml")
    assert "<text" in text or "<path" in text


@pytest.mark.parametrize(
    "words, said",
    [
        (("--speed", "4000"), "--speed"),
        (("--speed", "0 rpm"), "is not a speed that an engine runs at"),
        (("-o", "x.gif"), "cannot be written as a picture"),
        (("--set", "weights.factor=2"), "weights.factor"),
        (("--set", "weights.pin=12 mm"), "weights.pin"),
    ],
)
def test_bad_input_is_one_line_and_nothing_is_written(call, words, said):
    code, out, err = call("balance", KNOT, *words)
    assert (code, out) == (2, "")
    assert len(err) == 1
    assert said in err[0]
