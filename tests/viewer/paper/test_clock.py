"""The clock on paper: nothing mirrored, nothing overlapping, every gap named."""

import math
import re
import subprocess
import sys
import xml.etree.ElementTree as ElementTree
from itertools import combinations, pairwise
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from matplotlib.backends.backend_agg import FigureCanvasAgg

from geometry.assembly import assemble
from geometry.built import AS_DESIGNED, RingBuild
from geometry.rings.angles import hour_text
from geometry.rings.schemes import ROLE_WORDS, SCHEMES
from geometry.spec.load import load_engine
from viewer.cautions import SHORT
from viewer.commands.clock import command
from viewer.paper.clock.callouts import REACH, FaceLabel, placed
from viewer.paper.clock.face import point
from viewer.paper.clock.grooves import draw_grooves
from viewer.paper.clock.looks import LOOKS
from viewer.paper.clock.plans import plans_of
from viewer.paper.clock.sheet import cells, draw_sheet
from viewer.paper.clock.wall import PAGES_IN
from viewer.paper.lettering import FAMILY, width_in, wrapped

DEMOS = Path(__file__).parents[3] / "demo_engines"
FLEET = ["tern", "dunlin", "plover", "curlew", "whimbrel", "knot"]


def engine(name, built=AS_DESIGNED, **overrides):
    return assemble(load_engine(DEMOS / f"{name}.toml", overrides), built)


def boxes_of(figure):
    renderer = FigureCanvasAgg(figure).get_renderer()
    figure.draw_without_rendering()
    found = list(figure.texts) + [text for axis in figure.axes for text in (*axis.texts, axis.title)]
    return [(t.get_text(), t.get_window_extent(renderer)) for t in found if t.get_text().strip()]


def assert_readable(figure):
    """No two pieces of writing share paper, and none runs off it; 1 pixel is 1/150 in."""
    boxes = boxes_of(figure)
    width, height = figure.canvas.get_width_height()
    clipped = [t for t, b in boxes if b.x0 < 0 or b.y0 < 0 or b.x1 > width or b.y1 > height]
    assert clipped == []
    over = [(a, b) for (a, p), (b, q) in combinations(boxes, 2) if p.padded(-1).overlaps(q.padded(-1))]
    assert over == []


def face_axes(figure):
    """The axes of the faces, by bore, with the position of every gap in them."""
    found = {}
    for axis in figure.axes:
        for line in axis.lines:
            match = re.fullmatch(r"bores-([\d-]+)-(\w+)-gap", line.get_gid() or "")
            for bore in match[1].split("-") if match else ():
                x, y = line.get_data()
                found.setdefault(int(bore), {})[match[2]] = (float(x[0]), float(y[0]))
    return found


def clocks_of(assembly):
    """Every bore with the clock that is drawn for it."""
    return [(site, plan.clock) for plan in plans_of(assembly) for site in plan.sites]


def test_ninety_degrees_is_to_the_right_and_the_front_is_up():
    # Seen from above with the front up, clockwise is the way of a clock's hands.
    assert point(0.0, 1.0) == pytest.approx((0.0, 1.0))
    assert point(90.0, 1.0) == pytest.approx((1.0, 0.0))
    assert point(270.0, 1.0) == pytest.approx((-1.0, 0.0), abs=1e-12)


def test_the_paper_shows_what_one_sees_on_the_piston():
    # Independent: a gap's own direction in the piston's frame, looked at from above with -x (front) up; right in
    # the picture is then up x towards the viewer = (-x) x z = +y.
    for ring_deg in (0.0, 30.0, 120.0, 240.0):
        angle = np.radians(ring_deg)
        on_piston = np.array([-np.cos(angle), np.sin(angle), 0.0])
        up, right = np.array([-1.0, 0.0, 0.0]), np.cross([-1.0, 0.0, 0.0], [0.0, 0.0, 1.0])
        assert point(ring_deg, 1.0) == pytest.approx((on_piston @ right, on_piston @ up), abs=1e-12)


@pytest.mark.parametrize("name", FLEET)
def test_every_gap_is_drawn_at_its_angle_on_its_own_face(name):
    assembly = engine(name)
    drawn = face_axes(draw_sheet(assembly))
    for site, clock in clocks_of(assembly):
        assert set(drawn[site.bore]) == set(clock.angles_deg)
        for role, (x, y) in drawn[site.bore].items():
            assert math.degrees(math.atan2(x, y)) % 360 == pytest.approx(clock.angles_deg[role], abs=1e-6)
            assert math.hypot(x, y) == pytest.approx(LOOKS[role].radius)


def ring_points(assembly, bore):
    """Vertices of the top ring in the piston's frame."""
    body = assembly.body(f"top_ring {bore}")
    vertices = body.part.mesh.vertices
    return np.column_stack([vertices, np.ones(len(vertices))]) @ body.X_FA.T


def test_the_mesh_has_its_gap_where_the_paper_shows_it():
    assembly = engine("tern")
    drawn = face_axes(draw_sheet(assembly))
    half = np.degrees(assembly.spec.rings.top.gap_mm / assembly.spec.block.bore.diameter_mm)
    for site, _ in clocks_of(assembly):
        points = ring_points(assembly, site.bore)
        seen = np.degrees(np.arctan2(points[:, 1], -points[:, 0]))
        x, y = drawn[site.bore]["top"]
        off = np.abs((seen - math.degrees(math.atan2(x, y)) + 180.0) % 360.0 - 180.0)
        # The ends of the ring stand half a gap to either side; a gap elsewhere would put metal nearer than that.
        assert off.min() == pytest.approx(half, rel=0.02)


def svg_places(path):
    """Where each named gap and thrust mark lies in the file, in points; y runs down the page."""
    root = ElementTree.parse(path).getroot()
    space = "{http://www.w3.org/2000/svg}"
    found = {}
    for group in root.iter(f"{space}g"):
        name = group.get("id", "")
        if name.endswith("-gap"):
            use = next(group.iter(f"{space}use"))
            found[name] = (float(use.get("x")), float(use.get("y")))
        elif name.endswith("-thrust"):
            numbers = [
                float(n) for n in re.findall(r"-?\d+\.?\d*", next(group.iter(f"{space}path")).get("d"))
            ]
            found[name] = (float(np.mean(numbers[0::2])), float(np.mean(numbers[1::2])))
    return found


def tern_running(tmp_path, rotation):
    """Tern's file, with the rotation asked for and the firing order that her crank then gives."""
    text = (DEMOS / "tern.toml").read_text(encoding="utf-8")
    order = "[1, 8, 4, 3, 6, 5, 7, 2]" if rotation == "clockwise" else "[1, 2, 6, 3, 4, 5, 7, 8]"
    text = re.sub(r'rotation = "[a-z-]+"', f'rotation = "{rotation}"', text)
    text = re.sub(r"firing_order = \[[^]]*\]", f"firing_order = {order}", text)
    (tmp_path / "tern.toml").write_text(text, encoding="utf-8")
    return tmp_path / "tern.toml"


@pytest.mark.parametrize(("rotation", "thrust"), [("clockwise", 1), ("counter-clockwise", -1)])
def test_the_file_itself_is_not_mirrored(tmp_path, rotation, thrust):
    out = tmp_path / "clock.svg"
    asked = {"top": 90, "second": 270, "upper_rail": 0, "lower_rail": 180}
    arguments = [str(tern_running(tmp_path, rotation)), "-o", str(out)]
    for role, angle in asked.items():
        arguments += ["--set", f"rings.clock.{role}={angle} deg"]
    done = CliRunner().invoke(command, arguments, catch_exceptions=False)
    assert done.exit_code == 0, done.output
    at = svg_places(out)
    for bores in ("1-3-5-7", "2-4-6-8"):
        top, second = at[f"bores-{bores}-top-gap"], at[f"bores-{bores}-second-gap"]
        upper, lower = at[f"bores-{bores}-upper_rail-gap"], at[f"bores-{bores}-lower_rail-gap"]
        assert top[0] > upper[0] + 20
        assert second[0] < upper[0] - 20
        assert top[1] == pytest.approx(second[1], abs=0.01)
        assert upper[1] < lower[1] - 20
        # Normal rotation, clockwise from the front: the piston presses to the engine's right, on paper to the right.
        major, minor = at[f"bores-{bores}-major-thrust"], at[f"bores-{bores}-minor-thrust"]
        assert (major[0] - minor[0]) * thrust > 40
    # The left bank comes first: on the left, or above.
    left, right = at["bores-1-3-5-7-top-gap"], at["bores-2-4-6-8-top-gap"]
    assert left[0] < right[0] - 100 or left[1] < right[1] - 100


# The sheet of one bore has every scheme, those of two banks and of one the two that crowd it most.
@pytest.mark.parametrize(("name", "scheme"), [
    *(("knot", scheme) for scheme in sorted(SCHEMES)),
    *((name, scheme) for name in ("tern", "plover", "whimbrel") for scheme in ("quarters", "two_piece_oil")),
])  # fmt: skip
def test_every_scheme_on_every_engine_is_readable(scheme, name):
    assert_readable(draw_sheet(engine(name, **{"rings.scheme": scheme})))


@pytest.mark.parametrize("angles", [(90, 92, 94, 88, 90), (179, 181, 180, 179.5, 183)])
def test_gaps_on_one_spot_are_still_readable(angles):
    built = AS_DESIGNED.with_bore(
        2, rings={role: RingBuild(gap_ring_deg=angle) for role, angle in zip(ROLE_WORDS, angles, strict=True)}
    )
    assembly = engine("tern", built)
    assert_readable(draw_sheet(assembly, record="tern.record.toml"))
    alone = draw_sheet(assembly, bore=2, record="tern.record.toml")
    assert_readable(alone)
    said = " ".join(text for text, _ in boxes_of(alone)).replace("\n", " ")
    (plan,) = plans_of(assembly, 2)
    assert plan.clock.verdict.findings
    for finding in plan.clock.verdict.findings:
        assert finding.text in said


def test_a_sheet_says_what_has_to_be_said():
    words = " ".join(text for text, _ in boxes_of(draw_sheet(engine("plover"))))
    for role in ROLE_WORDS.values():
        assert role in words
    for said in (
        "FRONT",
        "LEFT (major thrust)",
        "pin axis",
        "Rings can turn in service",
        "Closest",
        "Every rule",
    ):
        assert said in words
    assert SHORT in words
    assert "Bores 1, 2, 3, 4, 5 and 6" in words
    assert "which way up" in words
    assert "initials, date" in words


def test_a_piston_turned_round_shows_its_mark_to_the_rear():
    figure = draw_sheet(engine("tern", AS_DESIGNED.with_bore(3, piston_turned=True)))
    assert any("PISTON TURNED ROUND" in text.get_text() for text in figure.texts)


def test_bores_that_share_a_plan_share_a_face():
    # Tern: the banks differ in thrust words and pockets, the bores of one bank in nothing; in line all are alike.
    assert [plan.key for plan in plans_of(engine("tern"))] == ["1-3-5-7", "2-4-6-8"]
    assert [plan.key for plan in plans_of(engine("plover"))] == ["1-2-3-4-5-6"]
    moved = AS_DESIGNED.with_bore(3, rings={"top": RingBuild(gap_ring_deg=245.0)})  # keeps every rule
    assert [plan.key for plan in plans_of(engine("tern", moved))] == ["1-5-7", "3", "2-4-6-8"]


def test_banks_lie_as_in_the_engine():
    built = AS_DESIGNED.with_bore(3, piston_turned=True).with_bore(6, piston_turned=True)
    ((rows, columns, at),) = cells(plans_of(engine("tern", built)))
    assert (rows, columns) == (2, 2)
    assert at == [(0, 0), (1, 0), (0, 1), (1, 1)]
    assert [way[:2] for way in cells(plans_of(engine("tern")))] == [(1, 2), (2, 1)]


def test_plans_in_line_run_from_front_to_rear():
    built = AS_DESIGNED
    for bore in (1, 2, 4, 6):
        built = built.with_bore(bore, rings={"top": RingBuild(gap_ring_deg=200.0 + bore)})
    plans = plans_of(engine("plover", built))
    assert [plan.key for plan in plans] == ["1", "2", "3-5", "4", "6"]
    assert cells(plans) == [(3, 2, [(0, 0), (1, 0), (2, 0), (0, 1), (1, 1)])]


@pytest.mark.parametrize(("ring_deg", "hour"), [
    (0.0, "12 o'clock"), (240.0, "8 o'clock"), (45.0, "1:30"), (359.9, "12 o'clock"), (100.0, "3:20"),
])  # fmt: skip
def test_an_angle_is_also_told_as_an_hour(ring_deg, hour):
    # A clock's hand goes 30 degrees an hour, half a degree a minute.
    assert hour_text(ring_deg) == hour


def test_gap_limits_and_way_up_stand_at_each_ring():
    words = " ".join(text for text, _ in boxes_of(draw_sheet(engine("tern"), system="in")))
    # Tern bores 4.030 in: 0.0035 to 0.0050 per inch of bore is 0.0141 to 0.0201 in; rails at least 0.015 in.
    assert "top ring 240° (8 o'clock) gap 0.0180 in (0.0141 to 0.0201 in: within)" in words
    assert "upper rail 0° (12 o'clock) gap 0.0250 in (at least 0.0150 in: within)" in words
    assert "The dot goes up, towards the crown; the bevel faces up" in words
    assert "within, as assumed" in " ".join(
        t for t, _ in boxes_of(draw_sheet(engine("tern"), assumed="1 is assumed"))
    )


def test_gaps_of_their_own_stand_in_the_boxes_of_their_bores():
    # A quarter of the least gap in one bore: the plan is the same, the number is not.
    built = AS_DESIGNED.with_bore(5, rings={"top": RingBuild(gap_mm=0.09)})
    assert [plan.key for plan in plans_of(engine("tern", built))] == ["1-3-5-7", "2-4-6-8"]
    figure = draw_sheet(engine("tern", built), system="in")
    assert_readable(figure)
    words = [text for text, _ in boxes_of(figure)]
    assert words.count("0.0180 in") == 3
    assert "0.0035 in\nTOO SMALL" in words
    assert "gap by bore, see below" in words


@pytest.mark.parametrize("name", ["tern", "dunlin", "knot"])
def test_the_angles_of_one_bore_are_eight_millimetres_high(name):
    figure = draw_sheet(engine(name), bore=1)
    assert_readable(figure)
    assert sorted(figure.get_size_inches()) == pytest.approx(sorted(PAGES_IN["A4"]))
    renderer = FigureCanvasAgg(figure).get_renderer()
    ((_, clock),) = [pair for pair in clocks_of(engine(name)) if pair[0].bore == 1]
    for angle in clock.angles_deg.values():
        texts = [t for axis in figure.axes for t in axis.texts if t.get_text() == f"{angle:.0f}°"]
        # Height of the ink of a figure, by the renderer itself, at its own dots per inch.
        _, high, below = renderer.get_text_width_height_descent(
            "0", texts[-1].get_fontproperties(), ismath=False
        )
        assert (high - below) / figure.dpi * 25.4 >= 8.0


@pytest.mark.parametrize("name", ["tern", "plover", "knot"])
def test_sheets_come_on_paper_that_every_workshop_has(name):
    assert sorted(draw_sheet(engine(name)).get_size_inches()) == pytest.approx(sorted(PAGES_IN["A4"]))


def test_labels_keep_the_order_of_the_gaps_and_never_overlap():
    callouts = [FaceLabel(f"{a}", a, 0.2) for a in (0.0, 2.0, 5.0, 88.0, 90.0, 170.0, 181.0, 355.0)]
    where = placed([*callouts, FaceLabel("thrust", 90.0, 0.4, fixed=True)])
    right = [where[key][1] for key in ("0.0", "2.0", "5.0", "88.0", "90.0", "thrust", "170.0")]
    assert all(side == 1 for side, _ in (where["0.0"], where["thrust"]))
    assert where["181.0"][0] == where["355.0"][0] == -1
    heights = [0.2] * 5 + [0.4, 0.2]
    apart = [(a + b) / 2 for a, b in pairwise(heights)]
    assert all(a - b >= least - 1e-9 for (a, b), least in zip(pairwise(right), apart, strict=True))
    assert max(right) <= REACH
    assert where["thrust"][1] == pytest.approx(0.0, abs=1e-4)


def test_widths_of_words_are_those_of_the_drawing():
    # Against the renderer's own measure of the same words.
    from matplotlib.figure import Figure

    figure = Figure(figsize=(8, 2), dpi=300)
    text = figure.text(0.1, 0.5, "second ring 120°, at least 45° wanted", fontsize=9, family=FAMILY)
    canvas = FigureCanvasAgg(figure)
    canvas.draw()
    seen = text.get_window_extent(canvas.get_renderer()).width / 300
    assert width_in(text.get_text(), 9) == pytest.approx(seen, rel=0.03)
    lines = wrapped(text.get_text(), 9, 1.0)
    assert " ".join(lines) == text.get_text()
    assert max(width_in(line, 9) for line in lines) <= 1.0


@pytest.mark.parametrize(
    ("name", "system"), [("tern", "in"), ("knot", "mm"), ("curlew", "in"), ("plover", "mm")]
)
def test_sections_are_readable(name, system):
    assert_readable(draw_grooves(engine(name), system))


@pytest.mark.parametrize(("face", "inside", "mark"), [
    ("taper_napier", "step_bottom", "word"), ("barrel_asymmetric", "bevel_top", "dot"),
    ("half_keystone", "plain", "none"), ("rectangular", "plain", "none"),
])  # fmt: skip
def test_sections_of_other_rings_are_readable(face, inside, mark):
    ring = {"rings.second.face": face, "rings.second.inside": inside, "rings.second.mark": mark}
    figure = draw_grooves(engine("curlew", **ring), "in")
    assert_readable(figure)
    said = " ".join(text for text, _ in boxes_of(figure))
    assert ("turned over: just as good" in said) == (face == "rectangular")
    assert ("DOWN" in said) == (mark != "none" or "dot DOWN" in said)


def test_sections_over_assumed_values_say_so_beside_the_verdict():
    # Turnstone's file leaves most sizes open; Tern's gives them all.
    for name, assumed in (("turnstone", "41 values are assumed"), ("tern", "")):
        words = " ".join(text for text, _ in boxes_of(draw_grooves(engine(name), "mm", assumed)))
        assert ("within, as assumed)" in words.replace("\n", " ")) is bool(assumed)


def test_sections_are_drawn_to_scale():
    # Back clearance measured on the drawing against its definition: (bore - root) / 2 less the wall of the ring.
    assembly = engine("tern")
    groove = next(groove for groove in assembly.spec.piston.grooves if groove.ring == "top")
    figure = draw_grooves(assembly, "mm")
    piston, _, ring = (patch.get_xy() for patch in figure.axes[0].patches[:3])
    root = piston[:, 0][np.argsort(np.abs(piston[:, 1]))][:3].min()
    back = assembly.spec.block.bore.diameter_mm / 2 - groove.root_mm / 2 - assembly.spec.rings.top.wall_mm
    assert ring[:, 0].min() - root == pytest.approx(back)
    assert ring[:, 1].max() == pytest.approx(assembly.spec.rings.top.height_mm)
    assert figure.axes[0].get_aspect() == 1.0


def test_vector_sheet_names_every_gap(tmp_path):
    out = tmp_path / "clock.svg"
    start = [sys.executable, "-c", "from viewer.cli import main; main()", "clock"]
    subprocess.run([*start, str(DEMOS / "dunlin.toml"), "-o", str(out)], check=True, capture_output=True)
    text = out.read_text(encoding="utf-8")
    assert text.lstrip().startswith("<?xml")
    comments = " ".join(re.findall(r"<!-- (.*?) -->", text))
    for words in ROLE_WORDS.values():
        assert words in comments
    assert "FRONT" in comments
    assert "<image" not in text


def test_other_files_are_what_their_names_say(tmp_path):
    for ending, start in ((".pdf", b"%PDF"), (".png", b"\x89PNG")):
        out = tmp_path / f"clock{ending}"
        done = CliRunner().invoke(command, [str(DEMOS / "knot.toml"), "-o", str(out)], catch_exceptions=False)
        assert done.exit_code == 0
        assert out.read_bytes().startswith(start)


def test_the_table_answers_in_the_terminal_and_with_its_exit_code():
    good = CliRunner().invoke(command, [str(DEMOS / "tern.toml"), "--bore", "2"], catch_exceptions=False)
    assert good.exit_code == 0
    for words in ("outboard", "240.0°", "top ring - lower rail", "kept", "-o clock.pdf"):
        assert words in good.output
    in_line = ["--set", "rings.clock.top=120 deg", "--set", "rings.clock.second=120 deg"]
    bad = CliRunner().invoke(command, [str(DEMOS / "tern.toml"), *in_line], catch_exceptions=False)
    assert bad.exit_code == 1
    assert "stand in line" in bad.output


def test_schemes_are_listed_with_their_source():
    listed = CliRunner().invoke(command, ["--schemes"], catch_exceptions=False)
    assert listed.exit_code == 0
    for key, scheme in SCHEMES.items():
        assert f"{key}: " in listed.output
        assert scheme.source.text in listed.output
