"""What is said of the value most likely at fault."""

import pytest

from geometry.spec.suspect import Suspect


def one(value, usual, slip=0.0, neighbours=("block.bore.diameter", "rod.length")):
    return Suspect("crank.stroke", "length", value, usual, neighbours, slip, alone=True)


@pytest.mark.parametrize(
    ("suspect", "written", "what", "right"),
    [
        (one(883.92, 88.392, 10.0), "34.8 in",
         "34.8 in is ten times what block.bore.diameter and rod.length suggest", "did you mean 3.48 in?"),
        (one(883.92, 88.392, 10.0), "",
         "34.8 in is ten times what block.bore.diameter and rod.length suggest", "did you mean 3.48 in?"),
        (one(8.8392, 88.392, 0.1), ".348 in",
         ".348 in is a tenth of what block.bore.diameter and rod.length suggest", "did you mean 3.48 in?"),
        (one(2235.2, 88.0, 25.4), "about 88 in +- 1 in",
         "88 in is 25.4 times what block.bore.diameter and rod.length suggest", "did you mean 88 mm?"),
        (one(3.48, 88.392, 1 / 25.4), "3.48 mm",
         "3.48 mm is one 25.4th of what block.bore.diameter and rod.length suggest", "did you mean 3.48 in?"),
        (one(1e4, 10.0, 1000.0), "100/254 m",
         "100/254 m is a thousand times what block.bore.diameter and rod.length suggest", "did you mean 0.3937 in?"),
        (one(82.296, 92.456), "",
         "3.24 in is 0.4 in less than what block.bore.diameter and rod.length suggest", "usual would be about 3.64 in"),
        (one(50.8, 20.32, 0.0, ("rod.length",)), "",
         "2 in is 2.5 times what rod.length suggests", "usual would be about 0.8 in"),
        (one(10.16, 1.016, 10.0, ()), "", "0.4 in is ten times usual", "did you mean 0.04 in?"),
    ],
)  # fmt: skip
def test_one_line(suspect, written, what, right):
    assert suspect.what("in", written) == what
    assert suspect.right("in", written) == right


def test_in_millimetres():
    assert one(883.92, 88.392, 10.0).right("mm") == "did you mean 88.39 mm?"
