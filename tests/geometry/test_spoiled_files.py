"""A good engine file spoiled in every way that a person or a machine spoils one: one clear line for each."""

import os
import re
import time
from pathlib import Path

import pytest

from geometry.errors import InputError
from geometry.spec.load import load_engine
from geometry.spec.locate import lines_of_keys, read_written
from tests.geometry.impossible import IMPOSSIBLE

GOOD = (Path(__file__).parents[2] / "demo_engines" / "tern.toml").read_text(encoding="utf-8")
NOT_A_BUILDERS_WORDS = re.compile(
    r"pydantic|traceback|input should|field required|extra inputs|validation error|value error|nonetype|"
    r"\bdict\b|\btuple\b|\bstr\b|\bint\b|\bfloat\b|literal|union|exception|errno",
    re.IGNORECASE,
)

# what is written in the file (TOML by key; None takes the key out; a header stands for another header),
# key path of the message, part of what is wrong, part of the remedy
SPOILED = {
    # text where another kind of value stands, and the other way round
    "bare number": ({"crank.stroke": "3.35"}, "crank.stroke", "has no unit", '"3.35 in"'),
    "bare whole number": ({"head.chamber": "62"}, "head.chamber", "has no unit", '"62 cc"'),
    "number in text": ({"crank.stroke": "'3.350'"}, "crank.stroke", "has no unit", 'example "3.350 in"'),
    "true": ({"crank.stroke": "true"}, "crank.stroke", "true or false stands", '"4.030 in"'),
    "list": ({"crank.stroke": "['3 in']"}, "crank.stroke", "a list stands", '"4.030 in"'),
    "table": ({"crank.stroke": "{ a = 1 }"}, "crank.stroke", "a table stands", '"4.030 in"'),
    "date": ({"crank.stroke": "2020-02-02"}, "crank.stroke", "a date or time stands", '"4.030 in"'),
    "empty text": ({"crank.stroke": "''"}, "crank.stroke", "text is empty", '"4.030 in"'),
    "words": ({"crank.stroke": "'long'"}, "crank.stroke", "does not begin with a number", '"4.030 in"'),
    "name is a number": ({"engine.name": "8"}, "engine.name", "a number stands", '"Tern"'),
    "name is empty": ({"engine.name": "''"}, "engine.name", "0 letters", "at least 1"),
    "name is endless": ({"engine.name": f"'{'x' * 500}'"}, "engine.name", "500 letters", "at most 80"),
    "table's name is wrong": ({"[gasket]": "[gaskets]"}, "gaskets", "not a known key", "did you mean gasket?"),
    "table is a list": ({"[gasket]": "[[gasket]]"}, "gasket", "a list stands where a table", "[gasket]"),
    "list is a table": ({"crank.throws": "{ a = 1 }"}, "crank.throws", "not one of the choices", "or a list"),
    "choice is a list": ({"piston.front_mark": "[]"}, "piston.front_mark", "not one of", '"arrow"'),
    "firing order as text": (
        {"engine.firing_order": "'18436572'"}, "engine.firing_order", "text stands where a list", "[ and ]"),
    "firing order in quotes": (
        {"engine.firing_order": "[1, '8', 4]"}, "engine.firing_order[2]", "text", "8 without quotation marks"),
    "firing order in halves": (
        {"engine.firing_order": "[1, 8.5, 4]"}, "engine.firing_order[2]", "8.5 is not", "whole number"),
    # units
    "wrong dimension": ({"crank.stroke": "'3 kg'"}, "crank.stroke", "is a mass, not a length", '"4.030 in"'),
    "length for an angle": (
        {"engine.bank_angle": "'90 mm'"}, "engine.bank_angle", "not an angle", '"90 deg"'),
    "pound without a lever": (
        {"rod.bolt.torque": "'45 lb'"}, "rod.bolt.torque", "is a mass, not a torque", '"45 lbf*ft"'),
    "force for torque": (
        {"rod.bolt.torque": "'45 lbf'"}, "rod.bolt.torque", "is a force, not a torque", '"45 lbf*ft"'),
    "unknown unit": ({"crank.stroke": "'3 cubits'"}, "crank.stroke", "not a unit known here", '"4.030 in"'),
    "capitals": ({"crank.stroke": "'3.350 IN'"}, "crank.stroke", "not a unit known here", '"3.350 in"'),
    "decimal comma": ({"crank.stroke": "'3,350 in'"}, "crank.stroke", "one plain number", "one decimal point"),
    "thousands": ({"engine.speed": "'5,000 rpm'"}, "engine.speed", "one plain number", "between them"),
    "mixed fraction": ({"rod.bolt.diameter": "'1 3/8 in'"}, "rod.bolt.diameter", "a fraction", '"1.375 in"'),
    "by zero": ({"rod.bolt.diameter": "'3/0 in'"}, "rod.bolt.diameter", "divides by zero", '"4.030 in"'),
    "below absolute zero": (
        {"[rings.top]": "[rings.heat]\nring = '-300 degC'\nbore = '90 degC'\n[rings.top]"},
        "rings.heat.ring", "too far below zero", "-273.15"),
    # no finite number, no real size
    "not a number": ({"crank.stroke": "'nan in'"}, "crank.stroke", "finite number", '"4.030 in"'),
    "infinity": ({"crank.stroke": "'inf in'"}, "crank.stroke", "finite number", '"4.030 in"'),
    "bare not a number": ({"crank.stroke": "nan"}, "crank.stroke", "nan is not a finite", '"4.030 in"'),
    "bare infinity": ({"crank.stroke": "-inf"}, "crank.stroke", "-inf is not a finite", '"4.030 in"'),
    "beyond floats": ({"crank.stroke": "'1e999 in'"}, "crank.stroke", "too large", '"4.030 in"'),
    "a number of 400 digits": ({"crank.stroke": "9" * 400}, "crank.stroke", "400 digits", '"4.030 in"'),
    "a ratio of 400 digits": ({"cam.ratio": "9" * 400}, "cam.ratio", "400 digits", "ordinary number"),
    "ratio not a number": ({"cam.ratio": "nan"}, "cam.ratio", "nan is not a finite", "ordinary number"),
    "ratio zero": ({"cam.ratio": "0"}, "cam.ratio", "too small", "more than 0"),
    "negative": ({"crank.stroke": "'-3 in'"}, "crank.stroke", "is below zero", "a length above zero"),
    "zero": ({"crank.stroke": "'0 in'"}, "crank.stroke", "is zero", "a length above zero"),
    "huge": ({"block.bore.diameter": "'4030 in'"}, "block.bore.diameter", "too large", "at most 10000 mm"),
    "negative torque": ({"rod.bolt.torque": "'-45 N*m'"}, "rod.bolt.torque", "is below zero", "above zero"),
    "wide open vee": ({"engine.bank_angle": "'270 deg'"}, "engine.bank_angle", "too large", "at most 180 deg"),
    "whole counterweight": (
        {"crank.counterweight.spread": "'1 turn'"}, "crank.counterweight.spread", "too large", "180 deg"),
    # keys and choices
    "unknown key": ({"crank.stroek": "'3 in'"}, "crank.stroek", "not a known key", "did you mean stroke?"),
    "missing key": ({"crank.stroke": None}, "crank.stroke", "is missing", "under [crank]"),
    "unknown table in a table": ({"[rod.beam]": "[rod.blade]"}, "rod.blade", "not a known key", "known here are"),
    "key with its unit": ({"crank.stroke_mm": "'3 in'"}, "crank.stroke_mm", "not a known key", "stroke?"),
    "key of another table": (
        {"engine.deck_height": "'9 in'"}, "engine.deck_height", "not a known key", "belongs in [block]"),
    "unknown table": ({"[gasket]": "[turbo]\n[gasket]"}, "turbo", "not a known key", "known here are block"),
    "unknown layout": ({"engine.layout": "'vees'"}, "engine.layout", "not one of", 'mean "vee"?'),
    "unknown throws": ({"crank.throws": "'crossplane'"}, "crank.throws", "not one of", 'mean "cross-plane"?'),
    "unknown ring": ({"piston.grooves[1].ring": "'first'"}, "piston.grooves[1].ring", "not one of", '"second"'),
    "unknown rotation": ({"engine.rotation": "'forward'"}, "engine.rotation", "not one of", "clockwise"),
    "three strokes": ({"engine.strokes": "3"}, "engine.strokes", "3 is not one of", "2, 4"),
    "no grooves": ({"piston.grooves[1].ring": None}, "piston.grooves[1].ring", "is missing", '"top"'),
    "short point": (
        {"block.crankcase.section": "[['4 in'], ['4 in', '1 in']]"},
        "block.crankcase.section[1]", "1 value", "at least 2"),
    "bare point": (
        {"block.crankcase.section": "[['4 in', -2], ['4 in', '1 in']]"},
        "block.crankcase.section[1][2]", "the bare number -2", '"-2 in"'),
    "no section": ({"block.crankcase.section": "[]"}, "block.crankcase.section", "0 values", "at least 2"),
    # parts that do not go together
    "rod shorter than half the stroke": (
        {"rod.length": "'1.6 in'"}, "rod.length", "shorter than half the stroke", "the stroke"),
    "rod of a ship": ({"rod.length": "'60 in'"}, "rod.length", "six times the stroke", "1.3 to 2.5"),
    "ring higher than its groove": (
        {"rings.top.height": "'0.2 in'"}, "piston.grooves[1].height", "higher than its groove", "rings.top.height"),
    "groove outside the piston": (
        {"piston.grooves[3].root": "'5 in'"}, "piston.grooves[3].root", "outside the piston", "smaller"),
    "grooves in each other": (
        {"piston.grooves[2].from_crown": "'0.01 in'"}, "piston.grooves[2].from_crown", "above", "land"),
    "two top grooves": ({"piston.grooves[2].ring": "'top'"}, "piston.grooves", "hold the same ring", "one"),
    "bores in each other": ({"block.bore.spacing": "'3 in'"}, "block.bore.spacing", "bores overlap", "greater"),
    "bore down to the crank": ({"block.bore.length": "'20 in'"}, "block.bore.length", "crank axis", "shorter"),
    "pin wider than the bore": (
        {"piston.pin.length": "'6 in'"}, "piston.pin.length", "longer than the bore", "shorter"),
    "shells too thick": ({"rod.bearing.wall": "'0.2 in'"}, "rod.bearing.wall", "no clearance", "rod.big_end.bore"),
    "bolts through the bearing": (
        {"rod.bolt.spacing": "'1 in'"}, "rod.bolt.spacing", "through the big-end bore", "greater"),
    "cap inside the bearing": ({"rod.cap.height": "'0.5 in'"}, "rod.cap.height", "inside", "greater"),
    "small end wider than the bosses": (
        {"piston.boss.gap": "'0.5 in'"}, "piston.boss.gap", "does not fit", "rod.small_end.width"),
    "gasket over the bore": ({"gasket.bore": "'3 in'"}, "gasket.bore", "smaller", "block.bore.diameter"),
    "section off the rail": (
        {"block.crankcase.section": "[['4 in', '1 in'], ['4 in', '2 in']]"},
        "block.crankcase.section", "does not start at the pan rail", "first point"),
    "fillet as wide as the pin": (
        {"crank.pin.fillet": "'1.5 in'"}, "crank.pin.fillet", "half the journal's width", "under half"),
    # bores and their numbers
    "firing order lacks a bore": (
        {"engine.firing_order": "[1, 8, 4, 3, 6, 5, 7]"}, "engine.firing_order", "bore 2 is missing", "once"),
    "firing order has a stranger": (
        {"engine.firing_order": "[1, 8, 4, 3, 6, 5, 7, 2, 9]"}, "engine.firing_order", "no bore 9", "once"),
    "firing order has one twice": (
        {"engine.firing_order": "[1, 8, 4, 3, 6, 5, 7, 2, 2]"}, "engine.firing_order", "twice", "once"),
    "numbering of an inline engine": (
        {"engine.numbering": "{ line = [1, 2, 3, 4] }"}, "engine.numbering", "does not match", "left = [...]"),
    "one number twice": (
        {"engine.numbering": "{ left = [1, 3], right = [1, 4] }"}, "engine.numbering", "stands twice", "once"),
    "banks of two lengths": (
        {"engine.numbering": "{ left = [1, 3], right = [2] }"}, "engine.numbering", "differ", "as many"),
    "bore zero": (
        {"engine.numbering": "{ left = [0], right = [2] }"}, "engine.numbering", "between 1 and 99", "once"),
    "vee without an angle": ({"engine.bank_angle": None}, "engine.bank_angle", "needs", '"90 deg"'),
    **IMPOSSIBLE,
}  # fmt: skip


def spoiled(text, changes):
    """The text with other values at some keys, each on a line of its own."""
    for key, value in changes.items():
        if key.startswith("["):
            assert f"\n{key}\n" in text
            text = text.replace(f"\n{key}\n", f"\n{value}\n", 1)
            continue
        path = tuple(step - 1 if isinstance(step, int) else step for step in read_written(key))
        lines, rows = lines_of_keys(text), text.split("\n")
        row = [] if value is None else [f"{path[-1]} = {value}"]
        if path in lines:
            rows[lines[path] - 1 : lines[path]] = row
        else:
            rows[lines[path[:-1]] : lines[path[:-1]]] = row
        text = "\n".join(rows)
    return text


# the file itself: content, part of what is wrong, part of the remedy
BROKEN = {
    "no quotation marks": (spoiled(GOOD, {"crank.stroke": "3.5 in"}), "without quotation", '= "3.5 in"'),
    "half a quotation mark": (spoiled(GOOD, {"crank.stroke": '"3.5 in'}), "mark is missing", '"88 mm"'),
    "no value": (spoiled(GOOD, {"crank.stroke": ""}), "the value cannot be read", '"88 mm"'),
    "no equals sign": (GOOD.replace("\nstroke =", "\nstroke"), 'without "="', "key = value"),
    "key twice": (GOOD.replace("\nstroke =", "\nstroke = 1\nstroke =", 1), "stands twice", "keep one"),
    "table twice": (GOOD + "\n[crank]\n", "stands twice", "one header"),
    "open header": (GOOD.replace("\n[crank]", "\n[crank"), "header is not closed", "[crank]"),
    "open list": (spoiled(GOOD, {"engine.firing_order": "[1, 2"}), "list is not closed", "]"),
    "open table": (spoiled(GOOD, {"engine.numbering": "{ left = [1]"}), "not closed on its line", "}"),
    "another language": ('{"engine": {"name": "Tern"}}', "", "key = value"),
    "prose": ("The stroke is three and a half inches.\n", "", "key = value"),
    "empty": ("", "is empty", "fullturn new"),
    "nothing but a comment": ("# Tern\n", "is empty", "fullturn new"),
    "picture": (b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", "not UTF-8", "UTF-8"),
    "zeros": (b"\0" * 100, "binary", "plain text"),
    "another encoding": (GOOD.replace("Tern", "Mève").encode("latin-1"), "not UTF-8", "UTF-8"),
    "two bytes a letter": (GOOD.encode("utf-16"), "UTF-16", "UTF-8"),
    "half a megabyte of brackets": ("a = " + "[" * 500_000, "nested too deep", "32"),
    "half a megabyte of dots": ("a" + ".a" * 250_000 + " = 1", "too many parts", "32"),
    "a list without end": ("a = [" + "1, " * 100_000 + "]", "100000 items", "4096"),
}


def refusal_of(path):
    """The problems of a file, which must come within a second of work, in plain lines that name the file."""
    started = time.process_time()
    with pytest.raises(InputError) as caught:
        load_engine(path)
    assert time.process_time() - started < 1.0
    for problem in caught.value.problems:
        line = str(problem)
        assert line.startswith(os.fspath(path))
        assert line.isprintable()
        assert problem.right, line
        assert not NOT_A_BUILDERS_WORDS.search(line.removeprefix(os.fspath(path))), line
    return caught.value.problems


def test_the_good_file_is_good(tmp_path):
    file = tmp_path / "tern.toml"
    file.write_text(GOOD, encoding="utf-8")
    assert load_engine(file).engine.name == "Tern"


def test_there_are_enough_of_them():
    assert len(SPOILED) + len(BROKEN) >= 60


@pytest.mark.parametrize("case", sorted(SPOILED))
def test_spoiled_value(tmp_path, case):
    changes, key, what, right = SPOILED[case]
    file = tmp_path / "tern.toml"
    text = spoiled(GOOD, changes)
    file.write_text(text, encoding="utf-8")
    found = [problem for problem in refusal_of(file) if problem.key == key]
    assert len(found) == 1
    assert what in found[0].what
    assert right in found[0].right
    if found[0].line is None:
        assert "." not in key, "only a whole missing table has no line"
    else:
        row = text.split("\n")[found[0].line - 1]
        assert any(step in row for step in re.findall(r"[a-z_]+", key))


@pytest.mark.parametrize("case", sorted(BROKEN))
def test_broken_file(tmp_path, case):
    content, what, right = BROKEN[case]
    file = tmp_path / "tern.toml"
    file.write_bytes(content if isinstance(content, bytes) else content.encode())
    (found,) = refusal_of(file)
    assert what in found.what
    assert right in found.right


def test_all_mistakes_of_one_file_are_named_together(tmp_path):
    chosen = ["bare number", "unknown layout", "wide open vee", "bare whole number", "negative torque"]
    text = GOOD
    for case in chosen:
        text = spoiled(text, SPOILED[case][0])
    file = tmp_path / "tern.toml"
    file.write_text(text, encoding="utf-8")
    found = refusal_of(file)
    assert {problem.key for problem in found} == {SPOILED[case][1] for case in chosen}
    assert [problem.line for problem in found] == sorted(problem.line for problem in found)


def test_fifty_megabytes(tmp_path):
    file = tmp_path / "tern.toml"
    with file.open("wb") as opened:
        opened.truncate(50_000_000)
    assert "50.0 MB" in refusal_of(file)[0].what


def test_no_file(tmp_path):
    assert "no such file" in refusal_of(tmp_path / "tern.toml")[0].what


def test_a_directory(tmp_path):
    assert "is a directory" in refusal_of(tmp_path)[0].what


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
def test_a_pipe_that_nobody_writes_to(tmp_path):
    os.mkfifo(tmp_path / "tern.toml")
    assert "is a device or pipe" in refusal_of(tmp_path / "tern.toml")[0].what


@pytest.mark.skipif(not os.path.exists("/proc/self/pagemap"), reason="no files of a kernel here")
@pytest.mark.parametrize(
    "place", ["/dev/zero", "/dev/full", "/proc/kmsg", "/proc/self/pagemap", "/proc/self/mem"]
)
def test_what_the_kernel_calls_a_file_is_not_waited_for(place):
    """``/proc/kmsg`` waits for the next message of the kernel, ``/dev/zero`` never ends."""
    assert re.search("is a device|is empty|may not be read", refusal_of(place)[0].what)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
def test_a_file_that_turns_into_a_pipe_between_two_looks(tmp_path, monkeypatch):
    file, pipe = tmp_path / "tern.toml", tmp_path / "pipe"
    file.write_text(GOOD, encoding="utf-8")
    os.mkfifo(pipe)
    looked = os.stat(file)
    monkeypatch.setattr(os, "stat", lambda *_, **__: looked)
    assert "is a device or pipe" in refusal_of(pipe)[0].what


@pytest.mark.skipif(os.name == "nt", reason="symbolic links need a privilege on Windows")
def test_a_circle_of_links(tmp_path):
    (tmp_path / "tern.toml").symlink_to(tmp_path / "tern2.toml")
    (tmp_path / "tern2.toml").symlink_to(tmp_path / "tern.toml")
    assert "circle" in refusal_of(tmp_path / "tern.toml")[0].what


@pytest.mark.skipif(
    os.name == "nt" or getattr(os, "geteuid", lambda: 1)() == 0, reason="root may read everything"
)
def test_no_permission(tmp_path):
    file = tmp_path / "tern.toml"
    file.write_text(GOOD, encoding="utf-8")
    file.chmod(0)
    assert "may not be read" in refusal_of(file)[0].what


@pytest.mark.parametrize("row", range(GOOD.count("\n")))
def test_a_line_cut_in_half_never_ends_in_a_traceback(tmp_path, row):
    """Either the rest is still a good file or every problem is a plain line."""
    lines = GOOD.split("\n")
    lines[row] = lines[row][: len(lines[row]) // 2]
    file = tmp_path / "tern.toml"
    file.write_text("\n".join(lines), encoding="utf-8")
    try:
        load_engine(file)
    except InputError:
        refusal_of(file)
