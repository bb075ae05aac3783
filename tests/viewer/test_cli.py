"""The command line as a person meets it: exit codes, one clear line for each thing wrong, never a traceback."""

import json
import os
from pathlib import Path

import pytest

from tests.geometry.test_spoiled_files import BROKEN, GOOD, NOT_A_BUILDERS_WORDS, SPOILED, spoiled
from viewer.commands import SUMMARIES

DEMOS = Path(__file__).parents[2] / "demo_engines"
TERN, KNOT = (str(DEMOS / f"{name}.toml") for name in ("tern", "knot"))


def refused(call, *words):
    """The lines of a refusal, once what every refusal has in common is true of it."""
    code, out, err = call(*words)
    assert (code, out) == (2, ""), err
    assert err, "refused without a word"
    for line in err:
        assert line.isprintable()
        assert "Traceback" not in line
        assert ": " in line or "; " in line
    return err


# engine files


@pytest.mark.parametrize("case", sorted(SPOILED))
def test_a_spoiled_value_ends_in_plain_lines(call, tmp_path, case):
    changes, key, what, _ = SPOILED[case]
    file = tmp_path / "tern.toml"
    file.write_text(spoiled(GOOD, changes), encoding="utf-8")
    lines = refused(call, "check", file)
    assert all(line.startswith(str(file)) for line in lines)
    assert any(f": {key}: " in line and what in line for line in lines)
    assert not any(NOT_A_BUILDERS_WORDS.search(line.removeprefix(str(file))) for line in lines)


@pytest.mark.parametrize("case", sorted(BROKEN))
def test_a_broken_file_ends_in_one_line(call, tmp_path, case):
    content, what, _ = BROKEN[case]
    file = tmp_path / "tern.toml"
    file.write_bytes(content if isinstance(content, bytes) else content.encode())
    (line,) = refused(call, "check", file)
    assert what in line


@pytest.mark.parametrize(
    "change, said",
    [
        ({"crank.throws": "'three'"}, "crank.throws: 'three' is not a crank with 4 throws"),
        ({"rings.scheme": "'halves'"}, 'rings.scheme: no clocking scheme is called "halves"'),
        ({"engine.firing_order": "[1, 2, 3, 4, 5, 6, 7, 8]"}, "engine.firing_order: the throws cannot fire"),
        ({"crank.pin.width": "'3.5 in'"}, "crank.pin.width: crankpin and main journal leave"),
        (
            {
                "piston.crown.shape": "'dish'",
                "piston.crown.diameter": "'3 in'",
                "piston.crown.volume": "'500 cc'",
            },
            "piston.crown.volume: with its pockets this dish holds between",
        ),
        (
            {"piston.boss.gap": "'2.79 in'", "piston.boss.outside": "'3.5 in'"},
            "piston.boss.gap: the gap between",
        ),
        ({"crank.counterweight.cheeks": "[9]"}, "crank.counterweight.cheeks: this crank has cheeks 1 to 8"),
        ({"rod.beam.width_big": "'3 in'"}, "rod.beam.width_big: the blade is"),
    ],
)
def test_parts_that_cannot_be_put_together_are_laid_at_their_line(call, tmp_path, change, said):
    file = tmp_path / "tern.toml"
    text = spoiled(GOOD, change)
    file.write_text(text, encoding="utf-8")
    (line,) = refused(call, "check", file)
    assert said in line
    row = int(line.removeprefix(f"{file}:").partition(":")[0])
    key = said.partition(":")[0].rpartition(".")[2]
    assert text.split("\n")[row - 1].startswith(key)


def test_a_file_with_a_line_break_in_its_name_still_takes_one_line(call, tmp_path):
    (line,) = refused(call, "check", tmp_path / "two\nlines.toml")
    assert "two\\nlines.toml" in line


@pytest.mark.skipif(os.name == "nt", reason="Windows has no names that are not text")
def test_a_file_whose_name_is_no_text(call, tmp_path):
    (line,) = refused(call, "check", os.fsdecode(os.fsencode(tmp_path) + b"/te\xffrn.toml"))
    assert "no such file" in line


# --set


@pytest.mark.parametrize(
    "setting, said",
    [
        ("crank.stroke", "--set: crank.stroke: is not KEY=VALUE"),
        ("=3 in", "--set: =3 in: is not KEY=VALUE"),
        ("crank.stroke=", "--set: crank.stroke=: is not KEY=VALUE"),
        ("crank.stroek=3 in", "--set: crank.stroek: stroek is not a known key; did you mean stroke?"),
        ("crank.stroke=3", "--set: crank.stroke: the bare number 3 has no unit"),
        ("crank.stroke=3 kg", "--set: crank.stroke: "),
        ("crank..stroke=3 in", "--set: crank..stroke: is not a key"),
        ("piston.grooves[9].root=3 in", "--set: piston.grooves[9].root: the list has 3 items"),
        ("piston.grooves[0].root=3 in", "--set: piston.grooves[0].root: there is no item 0"),
        ("crank.stroke[1]=3 in", "--set: crank.stroke[1]"),
        ("crank.throws=three", "--set: crank.throws: 'three' is not a crank with 4 throws"),
        ("cam=nothing", "--set: cam: text stands where a table is needed"),
    ],
)
def test_a_setting_that_cannot_be(call, setting, said):
    (line,) = refused(call, "check", TERN, "--set", setting)
    assert line.startswith(said)


def test_every_wrong_setting_is_named(call):
    wrong = ("--set", "crank.stroek=3 in", "--set", "rod.lenght=6 in")
    assert [line.split(": ")[1] for line in refused(call, "check", TERN, *wrong)] == [
        "crank.stroek",
        "rod.lenght",
    ]


def test_a_setting_changes_the_answer_and_not_the_file(call, tmp_path):
    file = tmp_path / "knot.toml"
    content = Path(KNOT).read_text(encoding="utf-8")
    file.write_text(content, encoding="utf-8")
    designed = json.loads(call("check", file, "--json")[1])
    changed = json.loads(call("check", file, "--json", "--set", "gasket.thickness=0.060 in")[1])
    assert designed["summary"] != changed["summary"]
    assert file.read_text(encoding="utf-8") == content


# exit codes and JSON


def one_object(out):
    """The one JSON object that is all of an output; no word of it may be NaN or infinity."""

    def refuse(word):
        raise AssertionError(f"{word} is no JSON")

    found = json.loads(out, parse_constant=refuse)
    assert isinstance(found, dict)
    return found


@pytest.mark.parametrize(
    "words",
    [
        ("check", KNOT, "--built", DEMOS / "knot.record.toml"),
        ("record", TERN, "show"),
        ("record", TERN, "todo"),
        ("record", TERN, "verdict"),
        ("explain", KNOT),
        ("explain", KNOT, "--list"),
        ("explain", KNOT, "bolt_too_long"),
        ("diagnose", KNOT, "--tight", "75"),
    ],
    ids=lambda words: " ".join(Path(word).name for word in words),
)
def test_json_is_one_object_and_nothing_else(call, words):
    code, out, err = call(*words, "--json")
    assert code in (0, 1)
    assert err == []
    assert one_object(out)["engine"] in ("Knot", "Tern")


@pytest.mark.parametrize("gasket, code", [("0.045 in", 0), ("0.020 in", 1)])
def test_exit_code_0_within_limits_and_1_outside(call, gasket, code):
    found, out, err = call("check", KNOT, "--json", "--set", f"gasket.thickness={gasket}")
    assert (found, err) == (code, [])
    assert any(finding["severity"] == "stop" for finding in one_object(out)["findings"]) == bool(code)


@pytest.mark.parametrize("command", sorted(SUMMARIES))
def test_every_command_has_help(call, command):
    code, out, err = call(command, "--help")
    assert (code, err) == (0, [])
    assert out.startswith(f"Usage: fullturn {command}")


def test_the_list_of_commands_and_the_version(call):
    code, out, _ = call("--help")
    assert code == 0
    assert all(command in out for command in SUMMARIES)
    code, out, _ = call("--version")
    assert (code, out[:9]) == (0, "fullturn,")


# called wrongly


@pytest.mark.parametrize(
    "words, said",
    [
        (("chek", TERN), "fullturn: no such command 'chek'. Did you mean check?"),
        (("xyzzy",), "fullturn: no such command 'xyzzy'"),
        (("--loud", "check", TERN), "fullturn: no such option '--loud'"),
        (("check",), "fullturn check: missing argument 'ENGINE'"),
        (("check", TERN, "--jsn"), "fullturn check: no such option '--jsn'. (Did you mean"),
        (("check", TERN, TERN), "fullturn check: got unexpected extra argument"),
        (("check", TERN, "--units", "ft"), "fullturn check: invalid value for '--units'"),
        (("check", TERN, "--json", "--limits"), "fullturn check: --limits and --json do not go together"),
        (("check", TERN, "--pairs", "--sweep", "a=1..2:3"), "fullturn check: --pairs and --sweep do not go"),
        (("check", TERN, "-o", "x.csv"), "fullturn check: -o is the file for --curve"),
        (("still", KNOT, "-o", "x.png", "--crank", "nan"), "fullturn still: invalid value for '--crank'"),
        (("still", KNOT, "-o", "x.png", "--crank", "top"), "fullturn still: invalid value for '--crank'"),
        (("still", KNOT), "fullturn still: missing option '-o'"),
        (("film", KNOT, "-o", "x.gif", "--from", "nan"), "fullturn film: invalid value for '--from'"),
        (("film", KNOT, "-o", "x.gif", "--seconds", "nan"), "fullturn film: invalid value for '--seconds'"),
        (("film", KNOT, "-o", "x.gif", "--turns", "0"), "fullturn film: invalid value for '--turns'"),
        (("diagnose", KNOT, "--tight", "1e999"), "fullturn diagnose: invalid value for '--tight'"),
        (("diagnose", KNOT, "--click", "inf"), "fullturn diagnose: invalid value for '--click'"),
        (("new", "x.toml", "--layout", "star"), "fullturn new: invalid value for '--layout'"),
        (("clock", KNOT, "--sections"), "fullturn clock: --sections draws a picture"),
        (("envelope", KNOT), "fullturn envelope: missing option"),
        (("record", TERN, "burn"), "fullturn record: invalid value"),
    ],
)
def test_a_command_that_is_called_wrongly(call, words, said):
    (line,) = refused(call, *words)
    assert line.startswith(said)
    assert line.endswith("--help says how to call it")


def test_no_words_at_all_show_the_commands(call):
    code, _, err = call()
    assert code == 2
    assert err[0].startswith("Usage: fullturn")


@pytest.mark.parametrize("command", sorted(set(SUMMARIES) - {"new", "schema"}))
def test_every_command_refuses_an_engine_file_that_is_not_there(call, monkeypatch, tmp_path, command):
    monkeypatch.setenv("DISPLAY", ":99")
    more = {
        "still": ("-o", "x.png"),
        "film": ("-o", "x.gif"),
        "glb": ("-o", "x.glb"),
        "page": ("-o", "x.html"),
        "sheet": ("-o", "x.pdf"),
        "envelope": ("--body", "crank", "-o", "x.stl"),
        "diagnose": ("--bound",),
        "match": ("parts.csv",),
    }
    (line,) = refused(call, command, tmp_path / "none.toml", *more.get(command, ()))
    assert line.startswith(f"{tmp_path / 'none.toml'}: there is no such file")


@pytest.mark.parametrize(
    "words",
    [
        ("still", KNOT, "-o", "x.png", "--bore", "9"),
        ("film", KNOT, "-o", "x.gif", "--bore", "9"),
        ("clock", KNOT, "--bore", "9"),
        ("explain", KNOT, "rod_pushed_down", "--bore", "9"),
        ("diagnose", KNOT, "--bound", "--after-bore", "9"),
        ("diagnose", KNOT, "--bound", "--no-side-play", "9"),
        ("diagnose", KNOT, "--bound", "--looked", "below:9"),
        ("record", KNOT, "set", "bore", "9", "rod.way", "turned"),
        ("record", KNOT, "todo", "--bore", "9"),
    ],
    ids=lambda words: " ".join(word for word in words if word != KNOT),
)
def test_a_bore_that_is_not_there(call, words):
    (line,) = refused(call, *words)
    assert "there is no bore 9" in line


@pytest.mark.parametrize(
    "words, said",
    [
        (("diagnose", KNOT, "--bound", "--looked", "main_marks:9"), "no main bearing 9"),
        (("diagnose", KNOT, "--bound", "--after-main", "9"), "no main bearing 9"),
        (("diagnose", KNOT, "--felt", "green"), "green: is not understood"),
        (("diagnose", KNOT), "nothing was said"),
        (("explain", KNOT, "rod_trned"), 'did you mean "rod_turned"?'),
        (("explain", KNOT, "rod_turned", "--main", "1"), "write --bore 1"),
        (("check", KNOT, "--built", "none.toml"), "none.toml: there is no such record"),
        (("check", KNOT, "--curve", "rod"), "does not name two places"),
        (("check", KNOT, "--curve", "rod cap : moon"), "--curve: moon: no place is called so"),
        (("check", KNOT, "--sweep", "crank.stroke"), "is not a sweep"),
        (("check", KNOT, "--sweep", "crank.stroke=1..2:3"), '"1" has no unit'),
        (
            ("check", KNOT, "--sweep", "crank.stroek=1mm..2mm:3"),
            "--sweep: crank.stroek: stroek is not a known key",
        ),
        (("envelope", KNOT, "--body", "wheel", "-o", "x.stl"), "wheel: is not a moving part"),
        (("envelope", KNOT, "--body", "crank", "-o", "x.doc"), "x.doc: cannot be written as a mesh"),
        (("still", KNOT, "-o", "x.doc"), "x.doc: cannot be written as a picture"),
        (("film", KNOT, "-o", "x.doc"), "x.doc: cannot be written as a film"),
        (("still", KNOT, "-o", "x.png", "--view", "sideways"), "no view 'sideways'"),
        (("clock", KNOT, "-o", "x.doc"), "x.doc: cannot be written as a picture"),
        (("record", KNOT, "set", "bore", "1", "rod.way", "sideways"), "not one of the choices"),
        (("record", KNOT, "--record", KNOT), "it belongs in [record]"),
    ],
)
def test_what_the_engine_does_not_have(call, monkeypatch, tmp_path, words, said):
    monkeypatch.chdir(tmp_path)
    assert said in refused(call, *words)[0]
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    "words",
    [
        ("new",),
        ("still", KNOT, "-o"),
        ("film", KNOT, "-o"),
        ("clock", KNOT, "-o"),
        ("explain", KNOT, "bolt_too_long", "-o"),
        ("envelope", KNOT, "--body", "piston_pin 1", "-o"),
        ("check", KNOT, "--curve", "cheek : crankcase_wall", "-o"),
        ("record", KNOT, "set", "bore", "1", "rod.way", "correct", "--record"),
    ],
    ids=lambda words: words[0],
)
def test_a_place_that_cannot_be_written(call, tmp_path, words):
    ending = {
        "new": "toml",
        "record": "toml",
        "envelope": "stl",
        "check": "csv",
        "clock": "svg",
        "film": "gif",
    }.get(words[0], "png")
    place = tmp_path / "none" / f"x.{ending}"
    (line,) = refused(call, *words, place)
    assert line.startswith(f"{place}: ")
    assert "cannot be written" in line or "does not exist" in line


@pytest.mark.skipif(
    os.name == "nt" or getattr(os, "geteuid", lambda: 1)() == 0, reason="root may write everywhere"
)
@pytest.mark.parametrize("words", [("new",), ("envelope", KNOT, "--body", "piston_pin 1", "-o")])
def test_a_directory_without_permission(call, tmp_path, words):
    (tmp_path / "locked").mkdir(mode=0o500)
    assert "cannot be written" in refused(call, *words, tmp_path / "locked" / "x.stl")[0]
