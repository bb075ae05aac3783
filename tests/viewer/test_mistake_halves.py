"""Pictures of a mistake: the right way left, the wrong way right, and the mark on the part it speaks of."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from PIL import Image

from geometry.assembly import assemble
from geometry.mistakes.mistake import mistakes
from tests.geometry.off_surface import FACETS_MM, off_surface_mm
from viewer.looks import LOOKS
from viewer.paper.sections import fillet, push
from viewer.pictures import mistake as mistake_picture
from viewer.pictures.mistake import FOOT_PX, TOP_PX, draw_mistake, marked, spot_scene
from viewer.scene import ViewOptions, build_scene

BORE = 3


def made(right, key, bore=BORE):
    """The mistake, the engine with it, and what it does."""
    mistake = next(m for m in mistakes() if m.key == key)
    wrong = assemble(right.spec, mistake.make(right, bore))
    return SimpleNamespace(wrong=wrong, mistake=mistake, study=mistake.study(right, wrong, bore, "mm"))


def amber(picture):
    """How many pixels have the colour of a part picked out: red well above blue, and bright."""
    p = picture.astype(int)
    return int(((p[..., 0] - p[..., 2] > 90) & (p[..., 0] > 140)).sum())


def coloured(picture, look):
    return int((np.abs(picture / 255.0 - LOOKS[look].colour).max(axis=2) < 0.02).sum())


def test_a_part_left_out_is_missing_in_the_right_half_only(tern, tmp_path, monkeypatch):
    # The rail that was left out is the picked-out part: the left half shows both rails, the right half one.
    case = made(tern, "rail_missing")
    heads = []
    monkeypatch.setattr(mistake_picture, "SIZE_PX", (900, 500))
    draws = mistake_picture.add_bands
    monkeypatch.setattr(mistake_picture, "add_bands", lambda *words: heads.extend(words[1]) or draws(*words))
    path = draw_mistake(tern, case.wrong, case.mistake, case.study, BORE, "mm", tmp_path / "rail.png")
    with Image.open(path) as kept:
        picture = np.asarray(kept)[TOP_PX:-FOOT_PX]
    left, right = picture[:, :448], picture[:, 452:]
    assert amber(left) > 1.3 * amber(right) > 200
    assert (
        coloured(right, "overlaps") > 40 > 0 == coloured(left, "overlaps")
    )  # the mark stands at the wrong one
    assert [head.split(":")[0] for head, _ in heads] == ["Tern", "Wrong"]


def panels(monkeypatch, drawing):
    """Keep the sheet of a section instead of writing it: its two drawings, from the left."""
    kept = []
    monkeypatch.setattr(drawing.paper, "write", lambda figure, path: kept.append(figure) or path)
    return lambda: sorted(kept[0].axes, key=lambda axis: axis.get_position().x0)


def test_the_bite_of_a_rod_turned_round_is_in_the_right_panel(tern, monkeypatch):
    # By hand: the small chamfer (0.030 in) faces a fillet made for the large one; only the wrong rod bites.
    case, sheet = made(tern, "rod_turned"), panels(monkeypatch, fillet)
    draw_mistake(tern, case.wrong, case.mistake, case.study, BORE, "mm", "none.png")
    left, right = sheet()
    assert (left.get_title(), right.get_title()) == ("Right", "Wrong")
    assert (len(left.collections), len(right.collections)) == (0, 1)
    said = [" ".join(text.get_text() for text in axis.texts) for axis in (left, right)]
    assert "into the fillet" not in said[0]
    assert "into the fillet" in said[1]


def test_bottom_dead_centre_is_the_safe_panel(tern, monkeypatch):
    # A piston is pushed in with its crankpin at bottom dead centre: the pin is drawn below the crank axis.
    case, sheet = made(tern, "rod_pushed_down"), panels(monkeypatch, push)
    draw_mistake(tern, case.wrong, case.mistake, case.study, BORE, "mm", "none.png")
    heights = [next(p for p in axis.patches if p.get_zorder() == 5).get_xy()[:, 1].mean() for axis in sheet()]
    assert heights[0] == pytest.approx(-tern.spec.crank.stroke_mm / 2, rel=0.01)
    assert heights[1] > 0.0


def test_the_dimension_runs_from_the_right_crown_to_the_wrong_one(knot):
    # Independent: the flat crowns as they stand at that angle, as built right and wrong.
    case = made(knot, "wrong_compression_height", bore=1)
    crank = case.study.spot.crank_deg
    (callout,) = marked(spot_scene(case.wrong, case.study, 1, "mm"), case.study).callouts
    assert off_surface_mm(case.wrong, "piston 1", callout.b_mm, crank) < FACETS_MM
    assert off_surface_mm(knot, "piston 1", callout.a_mm, crank) < FACETS_MM
    assert off_surface_mm(knot, "piston 1", callout.b_mm, crank) > 3 * FACETS_MM
    assert callout.value_mm == pytest.approx(np.linalg.norm(callout.b_mm - callout.a_mm))


@pytest.mark.parametrize("severity, look", [("stop", "overlaps"), ("look", "close"), ("note", "clear")])
def test_a_mark_goes_by_what_it_means_and_not_by_its_words(knot, severity, look):
    case = made(knot, "wrong_compression_height", bore=1)
    scene = build_scene(knot, ViewOptions(view="front", block="hidden"))
    for text in ("2 mm too far", "2 mm left", "upside down"):
        spot = replace(case.study.spot, severity=severity, text=text)
        (callout,) = marked(scene, replace(case.study, spot=spot)).callouts
        assert callout.verdict == look
        *_, label = marked(scene, replace(case.study, spot=replace(spot, from_mm=None))).labels
        assert (label.text, label.look) == (text, look)
