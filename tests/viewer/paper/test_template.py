"""The template to cut out: what stands in the PDF in points is the length in millimetres, 72 / 25.4 points each."""

import re
import zlib
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from geometry.checks.relief import Reliefs
from geometry.clearance.relief import FlatRelief, NotchRelief
from geometry.clearance.template import notch_places
from viewer.paper.page import write
from viewer.paper.template import draw_template
from viewer.reports.relief import give_template

KNOT = str(Path(__file__).parents[3] / "demo_engines" / "knot.toml")
NOTCH = NotchRelief(30.0, 7.0, 2.5, 0.0, "major", 1.31, 3.5)
FLAT = FlatRelief("head", 1.3, 7.2, 1.29)
MM_PT = 72.0 / 25.4


def drawn(pdf):
    """Every line of the page as (n, 2) points, and the size of the sheet, both pt, as the file says them."""
    page = zlib.decompress(next(re.finditer(rb"stream\r?\n(.*?)endstream", pdf, re.S))[1]).decode("latin1")
    lines = [
        np.array([[float(x), float(y)] for x, y in re.findall(r"(-?[\d.]+) (-?[\d.]+) [ml]", run)])
        for run in re.findall(r"((?:-?[\d.]+ -?[\d.]+ [ml]\s+)+)", page)
    ]
    box = re.search(rb"/MediaBox \[ 0 0 ([\d.]+) ([\d.]+) \]", pdf)
    return lines, (float(box[1]), float(box[2]))


@pytest.fixture(scope="module")
def sheet(knot, tmp_path_factory):
    path = tmp_path_factory.mktemp("template") / "x.pdf"
    write(draw_template(knot, Reliefs(1.27, True, (), NOTCH, (FLAT,)), "in"), path)
    return drawn(path.read_bytes())


def test_the_bars_are_100_mm_and_4_in(sheet):
    lines, size = sheet
    assert size == (792.0, 612.0)  # 11 x 8.5 in
    lengths = [np.ptp(line[:, 0]) for line in lines if len(line) == 2 and np.ptp(line[:, 1]) == 0.0]
    for length in (100.0, 101.6):
        assert sum(abs(found - length * MM_PT) < 0.001 for found in lengths) == 1


def test_the_notch_is_as_wide_and_high_on_paper_as_on_the_wall(sheet, knot):
    lines, _ = sheet
    radius = knot.spec.block.bore.diameter_mm / 2
    wide = 2 * radius * np.arcsin(NOTCH.width_mm / 2 / radius)  # the arc over its chord
    (card,) = [line for line in lines if len(line) == 9]
    steps = np.diff(card, axis=0) / MM_PT
    assert steps[1] == pytest.approx((0.0, NOTCH.height_mm), abs=1e-3)
    assert steps[2] == pytest.approx((wide, 0.0), abs=1e-3)
    assert steps[3] == pytest.approx((0.0, -NOTCH.height_mm), abs=1e-3)
    assert (
        card[1, 1] == card[4, 1] == card[:, 1].min()
    )  # cut from the edge that lies on the bottom of the bore


def test_depth_and_flat_are_true_too(sheet, knot):
    lines, _ = sheet
    (wall,) = [line for line in lines if len(line) == 6]
    assert abs(wall[1, 0] - wall[0, 0]) == pytest.approx(NOTCH.depth_mm * MM_PT, abs=1e-3)
    round_ones = [line for line in lines if len(line) > 20 and np.allclose(line[0], line[-1], atol=0.01)]
    assert len(round_ones) == 2  # the bolt's head, and the bore in the little plan
    circle = min(round_ones, key=lambda line: np.ptp(line[:, 0]))
    assert np.ptp(circle, axis=0) == pytest.approx(2 * 8.5 * MM_PT, rel=2e-3)
    chords = [line for line in lines if len(line) == 2 and np.ptp(line[:, 0]) == 0.0]
    wanted = 2 * np.sqrt(8.5**2 - 7.2**2) * MM_PT
    (chord,) = [line for line in chords if abs(np.ptp(line[:, 1]) - wanted) < 1e-3]
    assert chord[0, 0] - circle[:, 0].min() == pytest.approx((8.5 + 7.2) * MM_PT, abs=0.1)


def test_it_says_where_it_goes_and_how_to_print_it(knot):
    figure = draw_template(knot, Reliefs(1.27, True, (), NOTCH, ()), "mm", "3 values assumed")
    told = " ".join(" ".join(text.get_text().split()) for text in figure.axes[0].texts)
    (place,) = notch_places(knot, NOTCH)
    side = "right" if place.right else "left"
    for words in (
        f"Bore 1: {side} side as seen from the rear (major thrust side)",
        "lower edge flush with bottom of bore", "Print at 100 %", "deep 2.50 mm", "3.50 mm of wall left",
        "Check water jacket thickness", "never replaces a physical check", "3 values assumed", "FRONT",
        "leaves 1.310 mm, certified, as assumed",
    ):  # fmt: skip
        assert words in told


def test_nothing_to_take_off_gives_no_sheet(knot):
    assert draw_template(knot, Reliefs(1.27, missed=False), "in") is None
    assert draw_template(knot, Reliefs(1.27, missed=True), "in") is None


def test_check_writes_it(call, tmp_path, monkeypatch):
    path = tmp_path / "x.pdf"
    reliefs = Reliefs(1.27, True, (), NOTCH, ())
    monkeypatch.setattr("geometry.checks.relief.reliefs_of", lambda assembly, system: reliefs)
    assert call("check", KNOT, "--relief", "--json", "-o", path)[0] == 0
    assert path.read_bytes().startswith(b"%PDF")
    for words in (("--relief", "-o", tmp_path / "x.doc"), ("-o", path)):
        code, out, err = call("check", KNOT, *words)
        assert (code, out, len(err)) == (2, "", 1)


def test_where_there_is_nothing_to_draw_it_says_so(knot, tmp_path, capsys):
    job = SimpleNamespace(assembly=knot, system="in", rests_on="")
    give_template(job, Reliefs(1.27, missed=False), tmp_path / "x.pdf", quiet=False)
    said = capsys.readouterr().out
    assert said == "No template written: nothing that can be ground off is short of its limit.\n"
    assert list(tmp_path.iterdir()) == []
