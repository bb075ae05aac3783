"""What rests on assumed values says so: in its first line, under a key in JSON, in the caption of a picture."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from geometry.assembly import assemble
from geometry.diagnose.ranking import Diagnosis
from geometry.spec.described import load_described
from viewer.cli import cli
from viewer.job import assumed_line, read_job
from viewer.paper.clock.grooves import draw_grooves
from viewer.paper.clock.sheet import draw_sheet
from viewer.reports.diagnosis import print_diagnosis
from viewer.reports.mistake import RESTS
from viewer.scene import ViewOptions, build_scene

DEMOS = Path(__file__).parents[2] / "demo_engines"
KNOT = str(DEMOS / "knot.toml")
ABOUT = ("--set", "rod.length=about 4.75 in")
COUNT = len(load_described(KNOT).values)
LINE = f"1 of {COUNT} values is assumed"


@pytest.fixture(scope="module")
def engine(tmp_path_factory):
    """Knot with its rod's length and its piston's height as they are about."""
    file = tmp_path_factory.mktemp("about") / "knot.toml"
    text = Path(KNOT).read_text(encoding="utf-8")
    for measured in ('length = "4.750 in"', 'compression_height = "1.600 in"'):
        key, value = measured.split(" = ")
        assert text.count(measured) == 1
        text = text.replace(measured, f'{key} = "about {value[1:]}')
    file.write_text(text, encoding="utf-8")
    return file


def said(*words):
    found = CliRunner().invoke(cli, [str(word) for word in words])
    assert found.exception is None or isinstance(found.exception, SystemExit), found.exception
    assert found.exit_code in (0, 1), found.output
    return found.stdout


COMMANDS = [
    ("explain", KNOT, "rod_turned"),
    ("explain", KNOT, "--list"),
    ("clock", KNOT),
    ("check", KNOT, "--limits"),
]


@pytest.mark.parametrize("words", COMMANDS)
def test_the_first_line_counts_them(words):
    assert said(*words, *ABOUT).splitlines()[0] == LINE
    assert "assumed" not in said(*words).splitlines()[0]


UNDER_KEY = {"values": 1, "of": COUNT, "measured": 0, "text": LINE}


@pytest.mark.parametrize("words", [command for command in COMMANDS if command[0] == "explain"])
def test_a_program_finds_them_under_a_key(words):
    assert json.loads(said(*words, *ABOUT, "--json"))["assumed"] == UNDER_KEY
    assert "assumed" not in json.loads(said(*words, "--json"))


def test_a_diagnosis_says_it_first_and_qualifies_itself(capsys):
    told = json.loads(said("diagnose", KNOT, "--felt", "bound; after bore 1", *ABOUT, "--json"))
    assert told["assumed"] == UNDER_KEY
    nothing = Diagnosis((), (), 1.0, ())
    print_diagnosis("Knot", nothing, 5, LINE)
    out = capsys.readouterr().out
    assert out.splitlines()[0] == LINE
    assert RESTS in " ".join(out.split())
    print_diagnosis("Knot", nothing, 5)
    assert "assumed" not in capsys.readouterr().out


def test_a_curve_says_it_in_a_remark_of_its_own():
    curve = ("check", KNOT, "--curve", "piston_crown : head_face")
    first, second = said(*curve, *ABOUT).splitlines()[:2]
    assert first == f"# {LINE}"
    assert said(*curve).splitlines()[0] == second


def test_explain_calls_nothing_clear_or_within_without_a_word_more(engine):
    """Pistons of another height: Knot's valves clear them or not by the assumed height."""
    plain, about = (said("explain", file, "wrong_compression_height") for file in (KNOT, engine))
    good = [line for line in plain.splitlines() if " clear " in f"{line} " or " within " in f"{line} "]
    assert good, "the mistake has nothing good to tell, so that this proves nothing"
    assert "as assumed" not in plain
    assert ", as assumed" in about
    for word in ("clear", "within"):
        assert about.count(f"{word}, as assumed") >= sum(
            f"  {word} " in f"{line} " for line in plain.splitlines()
        )
    assert "All of this rests on the assumed values" in about
    assert "All of this rests" not in plain


def test_a_record_counts_what_it_has_measured(engine, tmp_path):
    record = tmp_path / "bench.record.toml"
    said("record", engine, "set", "bore 1", "rod.length", "4.7502in", "--record", record)
    text = f"1 of {COUNT} values is assumed (1 more was, and is measured in the record)"
    for action in ("show", "todo", "verdict"):
        assert said("record", engine, action, "--record", record).splitlines()[0] == text
    told = json.loads(said("record", engine, "verdict", "--record", record, "--json"))
    assert told["assumed"] == {"values": 1, "of": COUNT, "measured": 1, "text": text}
    assert "within, as assumed" in said("record", engine, "verdict", "--record", record)
    assert said("clock", engine, "--built", record).splitlines()[0] == text
    said("record", engine, "set", "bore 1", "deck", "15thou", "--record", record)
    job = read_job(engine, built=record)
    assert job.assumed == f"none of {COUNT} values is assumed (2 more were, and are measured in the record)"
    assert job.rests_on == ""


def test_a_record_of_a_measured_engine_says_nothing_of_it(tmp_path):
    record = tmp_path / "bench.record.toml"
    said("record", KNOT, "set", "bore 1", "rod.length", "4.7502in", "--record", record)
    for action in ("show", "verdict"):
        assert "assumed" not in said("record", KNOT, action, "--record", record)


def test_one_value_is_and_several_are():
    several = load_described(KNOT, {"rod.length": "about 4.75 in", "crank.stroke": "about 2.5 in"})
    assert assumed_line(several) == f"2 of {COUNT} values are assumed"
    assert assumed_line(load_described(KNOT)) == ""


# paper and pictures


@pytest.fixture(scope="module")
def knot_about():
    return assemble(load_described(KNOT, {"rod.length": "about 4.75 in"}).spec)


@pytest.mark.parametrize("draw", [lambda engine, words: draw_sheet(engine, assumed=words),
                                  lambda engine, words: draw_grooves(engine, "in", words)])  # fmt: skip
def test_a_sheet_says_it_at_its_foot_below_all_that_is_drawn(knot_about, draw):
    figure = draw(knot_about, LINE)
    (told,) = [text for text in figure.texts if LINE in text.get_text() or "1 of" in text.get_text()]
    lowest = min(axis.get_position().y0 for axis in figure.axes if axis.get_position().height < 0.9)
    assert told.get_position()[1] < lowest
    assert not any(
        "assumed" in text.get_text() for text in draw(knot_about, "").texts if "of " in text.get_text()[:6]
    )


def test_a_picture_says_it_beside_the_angle_at_every_angle(knot_about):
    from viewer.scene import move

    scene = build_scene(knot_about, ViewOptions(assumed=LINE))
    assert scene.caption[1].endswith(f"bore 1; {LINE}")
    assert move(scene, knot_about, 90.0).caption[1].endswith(f"; {LINE}")
    assert "assumed" not in " ".join(build_scene(knot_about, ViewOptions()).caption)


def test_a_still_and_an_envelope_print_it(engine, tmp_path):
    line = f"2 of {COUNT} values are assumed"
    assert said("still", engine, "-o", tmp_path / "still.png", "--size", "200x160").splitlines() == [line]
    out = said("envelope", engine, "--body", "piston_pin 1", "-o", tmp_path / "pin.stl", "--excess", "2 mm")
    assert out.splitlines()[0] == line
    assert said("still", KNOT, "-o", tmp_path / "plain.png", "--size", "200x160") == ""


def test_the_picture_of_a_mistake_says_it_at_its_foot(engine, tmp_path, monkeypatch):
    from viewer.explained import sheet

    feet = []
    monkeypatch.setattr(
        sheet, "foot", lambda figure, said, *place: feet.append([part for part in said if part])
    )
    for file in (engine, KNOT):
        said("explain", file, "piston_turned", "-o", tmp_path / "picture.png")
    assert feet[0] == [*feet[1], f"2 of {COUNT} values are assumed"]
