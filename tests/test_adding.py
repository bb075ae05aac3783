"""One new file is a new part, check or mistake everywhere: nothing else is touched, and what it lacks is said at once.

The files are written beside those of the project, as far as Python's imports can tell: the folder that they lie in is
added to the places where the package looks.
"""

import json
import sys

import pytest
from click.testing import CliRunner

import geometry.checks
import geometry.mistakes
import geometry.parts
from geometry.assembly import assemble
from geometry.checks.section import checks
from geometry.clearance.full_turn import full_turn
from geometry.clearance.words import place_words
from geometry.diagnose import candidates
from geometry.errors import PartError
from geometry.mistakes.mistake import mistakes
from geometry.parts.part import part_types
from tests.geometry import fleet
from viewer.cli import cli
from viewer.commands.still import families
from viewer.scene import ViewOptions, build_scene

KNOT = str(fleet.FOLDER / "knot.toml")
BEFORE_MM = 3.0
"""The wheel's rear face stands so far before the block, whose front face is at x = 0: that is its least clearance."""
WHEEL = f"""
from geometry.feature import Feature, Group
from geometry.parts.part import Body, Part, PartType
from geometry.parts.shapes import meshing
from geometry.parts.shapes.placing import along_x
from geometry.solids import Cylinder

def bodies(spec, layout, built):
    piece = Cylinder(40.0, 6.0, along_x(-{BEFORE_MM} - 3.0))
    feature = Feature("trigger_wheel", (piece,), "front end", group=Group.CRANK)
    part = Part("trigger_wheel", "steel", (feature,), lambda: meshing.to_mesh(meshing.piece_solid(piece)))
    return [Body("trigger_wheel", part, "C")]

PART = PartType("trigger_wheel", bodies)
"""
CHECK = """
from geometry.checks.section import Check, Column, Finding, Section, length

def run(assembly, system):
    bore = assembly.spec.block.bore.diameter_mm
    said = Finding("gauge", "look", None, "the plug gauge is not at hand", "borrow one")
    return Section("gauge", "Plug gauge", (Column("plug_mm", "plug"),), ({"plug_mm": length(bore)},), (said,))

CHECK = Check("gauge", 25, run)
"""
MISTAKE = """
from geometry.built import RingBuild
from geometry.mistakes.mistake import Mistake, Signature, Spot, Study

def study(right, wrong, bore, system):
    assert wrong.built.bore(bore).ring("top").missing
    spot = Spot(0.0, "rings", bore, (f"top_ring {bore}",), "stop", text="no ring here")
    said = ("The top groove is empty.", "Turns too easily.", "Count the rings.", "Fit the ring.")
    return Study((), *said, Signature(seen_only=True), spot, "rings")

def make(assembly, bore):
    return assembly.built.with_bore(bore, rings={"top": RingBuild(missing=True)})

MISTAKE = Mistake("top_ring_forgotten", "Top ring forgotten", "One groove is empty.", make, study)
"""


@pytest.fixture
def added(monkeypatch, tmp_path):
    """A function that puts one more file into a package, for as long as the test runs."""

    def add(package, name, text):
        (tmp_path / f"{name}.py").write_text(text, encoding="utf-8")
        monkeypatch.setattr(package, "__path__", [*package.__path__, str(tmp_path)])
        forget()

    def forget():
        for module in [m for m in sys.modules if getattr(sys.modules[m], "__file__", None)]:
            if str(sys.modules[module].__file__).startswith(str(tmp_path)):
                package, _, name = module.rpartition(".")
                delattr(sys.modules[package], name)
                del sys.modules[module]
        for registry in (part_types, checks, mistakes):
            registry.cache_clear()

    yield add
    forget()


def test_a_new_part_is_certified_listed_drawn_and_worded_by_its_one_file(added):
    added(geometry.parts, "trigger_wheel", WHEEL)
    engine = assemble(fleet.spec("knot"))

    met = [near for near in full_turn(engine).near if near.pair.b.feature == "trigger_wheel"]
    assert met
    assert met[0].pair.a.feature == "main_web"
    assert met[0].approach.min_mm == pytest.approx(BEFORE_MM, abs=0.01)
    assert met[0].approach.within_mm <= 0.01
    assert place_words(met[0].pair.b) == "trigger wheel, front end"

    scene = build_scene(engine, ViewOptions())
    (item,) = [item for item in scene.items if item.name == "trigger_wheel"]
    assert item.visible
    assert len(item.mesh.triangles) > 0
    assert (item.frame, item.look, item.group) == ("C", "steel", "trigger wheel")
    asked = ViewOptions(hidden=families(("Trigger wheel",), engine))
    (item,) = [i for i in build_scene(engine, asked).items if i.name == "trigger_wheel"]
    assert not item.visible

    answer = json.loads(CliRunner().invoke(cli, ["check", KNOT, "--json"]).output)
    rows = [row for row in answer["clearances"] if "trigger_wheel" in (row["a"], row["b"])]
    assert rows
    assert rows[0]["min_mm"] == pytest.approx(BEFORE_MM, abs=0.01)
    assert "trigger wheel, front end" in (rows[0]["place_a"], rows[0]["place_b"])
    assert rows[0]["limit_mm"] == pytest.approx(0.040 * 25.4)


@pytest.mark.parametrize(
    ("written", "instead", "lacks"),
    [
        (
            ", group=Group.CRANK",
            "",
            "feature 'trigger_wheel' has no group; give it group=Group.<one of ROD, ",
        ),
        ("Group.CRANK)", "'wheel')", "feature 'trigger_wheel' has the unknown group 'wheel'; give it group="),
        (
            "(feature,)",
            "(feature, feature)",
            "feature 'trigger_wheel' stands more than once at the place 'front",
        ),
        ("(feature,)", "()", "body 'trigger_wheel' has no features"),
        ("(piece,)", "()", "feature 'trigger_wheel' has no pieces; give it exact convex pieces"),
        ('Body("trigger_wheel"', 'Body("crank"', "body 'crank' is there already; give it a name of its own"),
        ('"C")', '"K")', "body 'trigger_wheel' rides on 'K'; it may be E, C, P1, R1, cam, V1.1, V1.2"),
    ],
)
def test_a_part_that_leaves_something_out_is_refused_at_load_in_one_line(added, written, instead, lacks):
    assert written in WHEEL
    added(geometry.parts, "trigger_wheel", WHEEL.replace(written, instead))
    with pytest.raises(PartError) as refused:
        assemble(fleet.spec("knot"))
    assert str(refused.value).startswith(f"geometry/parts/trigger_wheel.py: {lacks}")
    assert "\n" not in str(refused.value)


def test_a_new_check_stands_in_the_report_by_its_one_file(added):
    added(geometry.checks, "gauge", CHECK)
    answer = json.loads(CliRunner().invoke(cli, ["check", KNOT, "--json"]).output)
    assert answer["gauge"] == [{"plug_mm": pytest.approx(2.75 * 25.4)}]
    assert "the plug gauge is not at hand" in [finding["text"] for finding in answer["findings"]]
    assert list(answer).index("bores") < list(answer).index("gauge") < list(answer).index("clearances")


def test_a_new_mistake_is_explained_and_diagnosed_by_its_one_file(added, monkeypatch):
    added(geometry.mistakes, "top_ring_forgotten", MISTAKE)
    told = CliRunner().invoke(cli, ["explain", KNOT, "top_ring_forgotten", "--bore", "1"])
    assert "Top ring forgotten" in told.output
    assert "The top groove is empty." in told.output
    new = [mistake for mistake in mistakes() if mistake.key == "top_ring_forgotten"]
    monkeypatch.setattr(candidates, "mistakes", lambda: new)  # of all of them, to save time
    (candidate,) = candidates.candidates(fleet.assembly("knot"))
    assert candidate.signature.seen_only


@pytest.mark.parametrize(
    ("package", "every", "text", "said"),
    [
        (geometry.parts, part_types, "PART = 'slip'", "geometry.parts.slip.PART is not a PartType"),
        (geometry.checks, checks, "CHECK = 'slip'", "geometry.checks.slip.CHECK is not a Check"),
        (geometry.mistakes, mistakes, "MISTAKE = 'slip'", "geometry.mistakes.slip.MISTAKE is not a Mistake"),
        (geometry.parts, part_types, "from geometry.parts.pan import PART", "two PartTypes are called pan"),
    ],
)
def test_a_file_that_registers_the_wrong_thing_is_named(added, package, every, text, said):
    added(package, "slip", text)
    with pytest.raises(AssertionError) as refused:
        every()
    assert str(refused.value).startswith(said)
