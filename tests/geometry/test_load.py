"""From a file to a model or to one clear line for each mistake: reading, placing, wording, overriding."""

import os
import time
from typing import Annotated, Literal

import pytest
from pydantic import Field, model_validator

from geometry.errors import GeometryError, InputError, Problem
from geometry.spec.base import (
    Angle,
    Broken,
    Count,
    Length,
    PositiveLength,
    PositiveRatio,
    Refused,
    SpecModel,
    refuse,
)
from geometry.spec.load import (
    apply_overrides,
    engine_data_system,
    parse_toml,
    read_text,
    read_toml,
    validate_model,
)
from geometry.spec.locate import lines_of_keys


class Journal(SpecModel):
    width_mm: PositiveLength = Field(examples=["1.900 in"])
    fillet_mm: Annotated[PositiveLength, Field(le=10)] = 2.0


class Crown(SpecModel):
    shape: Literal["flat", "dish"]
    depth_mm: PositiveLength
    volume: float = 0.0


class Groove(SpecModel):
    ring: Literal["top", "second", "oil"]
    root_mm: Length = 0.0


class Shaft(SpecModel):
    stroke_mm: PositiveLength = Field(examples=["3.480 in"])
    pin: Journal
    throws: Literal["flat-plane", "cross-plane"] | list[Angle] = "flat-plane"
    grooves: list[Groove] = Field(default=[], max_length=3)
    crown: Crown | None = None
    order: list[int] = Field(default=[])
    point: Annotated[list[Length], Field(min_length=2, max_length=2)] = Field(default=[0.0, 0.0])
    name: Annotated[str, Field(max_length=5)] = "x"
    marked: bool = False
    ratio: PositiveRatio = 0.5
    bores: Count = 1

    @model_validator(mode="after")
    def _fits(self):
        if self.pin.width_mm > self.stroke_mm:
            refuse("pin.width", "the pin is wider than the stroke", "a narrower pin")
        if len(self.order) == 4:
            refuse("shaft.order[3]", "too many")
        if len(self.order) == 5:
            raise Refused([Broken("shaft.order[3]", "too many"), Broken("pin.width", "also this", "that")])
        if self.order == [1]:
            raise GeometryError("lone-bore", "order", "one bore has no order", "leave it out")
        if self.order == [2]:
            raise ValueError("no key, no remedy")
        return self


class File(SpecModel):
    shaft: Shaft
    other: dict[str, list[Length]] = Field(default={})


GOOD = """\
[shaft]
stroke = "88 mm"
pin = { width = "40 mm" }
"""


def problems(text):
    with pytest.raises(InputError) as caught:
        validate_model(File, parse_toml(text, "e.toml"), "e.toml", text)
    return caught.value.problems


def test_a_good_file_is_read():
    made = validate_model(File, parse_toml(GOOD, "e.toml"), "e.toml", GOOD)
    assert (made.shaft.stroke_mm, made.shaft.pin.width_mm) == (88.0, 40.0)


@pytest.mark.parametrize(
    ("extra", "line", "key", "what", "right"),
    [
        ('stroek = "1 mm"', 4, "shaft.stroek", "not a known key", "did you mean stroke?"),
        ('stroke_mm = "1 mm"', 4, "shaft.stroke_mm", "not a known key", "did you mean stroke?"),
        ('width = "1 mm"', 4, "shaft.width", "not a known key", "it belongs in [shaft.pin]"),
        ("zzz = 1", 4, "shaft.zzz", "not a known key", "known here are bores, crown, grooves"),
        ('"odd key" = 1', 4, 'shaft."odd key"', "not a known key", "known here are"),
        ('throws = "cros-plane"', 4, "shaft.throws", "not one of the choices", 'mean "cross-plane"?'),
        ("throws = 4", 4, "shaft.throws", "not one of the choices", "or a list"),
        ('throws = [\n"0 deg",\n90]', 6, "shaft.throws[2]", "bare number 90", '"90 deg"'),
        ('throws = ["0 deg", "4 mm"]', 4, "shaft.throws[2]", "is a length, not an angle", '"90 deg"'),
        ("[[shaft.grooves]]\nring = 'topp'", 5, "shaft.grooves[1].ring", "choices", 'mean "top"?'),
        ("[[shaft.grooves]]\nring='oil'\n[[shaft.grooves]]\nroot='1 mm'", 6, "shaft.grooves[2].ring",
         "is missing", 'add ring = "top" or "second" or "oil" in shaft.grooves[2]'),
        ("grooves = 3", 4, "shaft.grooves", "a number stands where a list", "[ and ]"),
        ("crown = 'flat'", 4, "shaft.crown", "where a table is needed", "[shaft.crown] with shape"),
        ("crown = { shape = 'dome', depth = '1 mm' }", 4, "shaft.crown.shape", '"dome" is not one', '"flat", "dish"'),
        ("[shaft.crown]\nshape = 'dish'", 4, "shaft.crown.depth", "is missing", 'depth = "102.36 mm"'),
        ("crown = {shape='flat', depth='1 mm', volume=nan}", 4, "shaft.crown.volume", "is not a finite", "ordinary"),
        ("order = [1, 2.0]", 4, "shaft.order[2]", "2.0 is not written as a whole number", "write 2"),
        ("order = [1, 2.5]", 4, "shaft.order[2]", "2.5 is not", "write a whole number"),
        ("order = ['1']", 4, "shaft.order[1]", "text stands where a number", "1 without quotation marks"),
        ("order = ['one']", 4, "shaft.order[1]", "text stands where a number", "plain number"),
        ("point = ['1 mm']", 4, "shaft.point", "the list has 1 value", "at least 2"),
        ("point = ['1 mm', '1 mm', '2 mm']", 4, "shaft.point", "the list has 3 values", "at most 2"),
        ("name = 'abcdef'", 4, "shaft.name", "the text has 6 letters", "at most 5"),
        ("name = 3", 4, "shaft.name", "a number stands where text", "text"),
        ("marked = 1", 4, "shaft.marked", "a number stands where true or false", "write true"),
        ("ratio = 0", 4, "shaft.ratio", "0 is too small", "more than 0"),
        ("ratio = inf", 4, "shaft.ratio", "inf is not a finite number", "ordinary number"),
        ("ratio = '0.5'", 4, "shaft.ratio", "text stands where a number", "write 0.5 without"),
        ("ratio = 2020-01-01", 4, "shaft.ratio", "a date or time stands where", "write 1.0"),
        ("bores = 1001", 4, "shaft.bores", "1001 is too large", "at most 1000"),
        ("[other]\na = ['1 kg']", 5, "other.a[1]", "is a mass, not a length", "mm"),
        ("order = [1, 2, 3, 4]", 4, "shaft.order[4]", "too many", ""),
        ("order = [1]", 4, "shaft.order", "one bore has no order", "leave it out"),
        ("order = [2]", 1, "shaft", "no key, no remedy", ""),
    ],
)  # fmt: skip
def test_one_mistake_one_line(extra, line, key, what, right):
    found = problems(GOOD + extra + "\n")[0]
    assert (found.line, found.key) == (line, key)
    assert what in found.what
    assert right in found.right
    assert str(found).startswith(f"e.toml:{line}: {key}: ")
    assert "\n" not in str(found)


def test_limit_is_shown_in_the_units_of_the_writer():
    text = GOOD.replace("{ width", "{ fillet = '1 in', width")
    assert "write at most 0.394 in" in problems(text)[0].right
    assert "write at most 10.00 mm" in problems(text.replace("1 in", "99 mm"))[0].right


def test_every_mistake_of_a_file_is_named_at_once_and_in_order():
    text = '[shaft]\nstroek = "88 mm"\nmarked = 1\npin = { wdth = 4 }\n'
    found = problems(text)
    assert [problem.key for problem in found] == [
        "shaft.stroke", "shaft.stroek", "shaft.marked", "shaft.pin.width", "shaft.pin.wdth",
    ]  # fmt: skip
    assert [problem.line for problem in found] == [1, 2, 3, 4, 4]


def test_a_missing_table_is_named_with_what_belongs_in_it():
    (found,) = problems("[other]\n")
    assert str(found) == "e.toml: shaft: is missing; add a table [shaft] with stroke, pin"


def test_a_validator_points_at_its_key():
    (found,) = problems(GOOD.replace("40 mm", "90 mm"))
    assert str(found) == (
        "e.toml:3: shaft.pin.width: the pin is wider than the stroke; right: a narrower pin"
    )


def test_one_validator_may_name_several_keys():
    first, second = problems(GOOD + "order = [1, 2, 3, 4, 5]\n")
    assert (first.key, first.what, first.right) == ("shaft.pin.width", "also this", "right: that")
    assert (second.key, second.what, second.right) == ("shaft.order[4]", "too many", "")


def test_a_long_list_of_mistakes_is_cut_and_counted():
    found = problems(GOOD + f"order = [{'1.5,' * 600}]\nmarked = 1\n")
    assert "shaft.marked" in [problem.key for problem in found]
    assert len(found) < 15
    assert "more such" in found[-1].what


@pytest.mark.parametrize(
    ("content", "line", "what", "right"),
    [
        (b"", None, "is empty", "fullturn new"),
        (b"# only a comment\n\n", None, "is empty", "fullturn new"),
        (b"\x89PNG\r\n\x1a\n\x00\x00", 1, "is not UTF-8 text", "UTF-8"),
        (b"a = 1\nb = '\xe9'\n", 2, "is not UTF-8 text", "UTF-8"),
        (b"a = 1\0\n", None, "is a binary file", "plain text"),
        ("a = 1".encode("utf-16"), None, "is saved as UTF-16", "UTF-8"),
        (b"a = 1\nstroke = 3.350 in # x\n", 2, "without quotation marks", 'write stroke = "3.350 in"'),
        (b"a = 1\nbolt = 7/16 in\n", 2, "without quotation marks", 'write bolt = "7/16 in"'),
        (b'a = 1\nstroke = "88 mm\n', 2, "a quotation mark is missing", "quotation marks"),
        (b"a = 1\na = 2\n", 2, "this key stands twice", "keep one"),
        (b"[a]\nb = 1\n[a]\nc = 2\n", 3, "this table stands twice", "under one header"),
        (b"[a\nb = 1\n", 1, "header is not closed", "[crank]"),
        (b"stroke 88\n", 1, 'without "="', "key = value"),
        (b"a = \n", 1, "cannot be read", "quotation marks"),
        (b"a = [1, 2\nb = 3\n", None, "list is not closed", "]"),
        (b"just some words\n", 1, 'without "="', "key = value"),
        (b"a = 1 b = 2\n", 1, "something stands after the value", "quotation marks"),
        (b"a = " + b"[" * 5000, None, "nested too deep", "32"),
        (b"a" + b".a" * 3000 + b" = 1", 1, "too many parts", "32"),
        (b"a = " + b"{a=" * 40 + b"1" + b"}" * 40, None, "nested too deep", "32"),
        (b"a = [" + b"1," * 5000 + b"]", None, "a has 5000 items", "4096"),
        (b"a = [" + (b"[" + b"1," * 4000 + b"],") * 6 + b"]", None, "more than 20000 values", "one engine"),
        (b"a = " + b"1" * 5000, None, "too long to read", "digits"),
    ],
)  # fmt: skip
def test_what_is_no_toml_is_said_plainly(tmp_path, content, line, what, right):
    file = tmp_path / "engine.toml"
    file.write_bytes(content)
    started = time.perf_counter()
    with pytest.raises(InputError) as caught:
        read_toml(file)
    assert time.perf_counter() - started < 1.0
    (found,) = caught.value.problems
    assert what in found.what
    assert right in found.right
    assert "\n" not in str(found)
    if line is not None:
        assert found.line == line


def test_byte_order_mark_and_windows_line_ends_are_no_mistake(tmp_path):
    file = tmp_path / "engine.toml"
    file.write_bytes(b"\xef\xbb\xbfa = 1\r\n[b]\r\nc = 2\r\n")
    assert read_toml(file) == {"a": 1, "b": {"c": 2}}
    assert lines_of_keys(read_text(file))["b", "c"] == 3


def _only_problem(path):
    with pytest.raises(InputError) as caught:
        read_toml(path)
    (found,) = caught.value.problems
    assert found.file == os.fspath(path)
    return found.what


def test_what_is_no_file(tmp_path):
    assert _only_problem(tmp_path / "none.toml") == "there is no such file"
    assert _only_problem(tmp_path) == "is a directory"
    assert _only_problem(str(tmp_path / ("x" * 5000))) in ("the name is too long", "there is no such file")
    assert _only_problem("a\0b") == "cannot be opened"


def test_a_path_through_a_file(tmp_path):
    (tmp_path / "file").write_text("a = 1")
    assert _only_problem(tmp_path / "file" / "engine.toml") == "there is no such file"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
def test_a_pipe_does_not_hang(tmp_path):
    os.mkfifo(tmp_path / "pipe")
    assert "not a file" in _only_problem(tmp_path / "pipe")


@pytest.mark.skipif(os.name == "nt", reason="symbolic links need a privilege on Windows")
def test_a_circle_of_links(tmp_path):
    (tmp_path / "a").symlink_to(tmp_path / "b")
    (tmp_path / "b").symlink_to(tmp_path / "a")
    assert "leads round in a circle" in _only_problem(tmp_path / "a")


@pytest.mark.skipif(
    os.name == "nt" or getattr(os, "geteuid", lambda: 1)() == 0, reason="root may read everything"
)
def test_a_file_without_permission(tmp_path):
    file = tmp_path / "engine.toml"
    file.write_text("a = 1")
    file.chmod(0)
    assert _only_problem(file) == "may not be read"


def test_a_refusal_by_the_operating_system_is_said_plainly(tmp_path, monkeypatch):
    def refused(*_, **__):
        raise PermissionError(13, "Permission denied")

    file = tmp_path / "engine.toml"
    file.write_text("a = 1")
    monkeypatch.setattr("geometry.files.os.open", refused)
    assert _only_problem(file) == "may not be read"


def test_fifty_megabytes_are_refused_by_size_without_reading(tmp_path, monkeypatch):
    file = tmp_path / "engine.toml"
    with file.open("wb") as opened:
        opened.truncate(50_000_000)
    monkeypatch.setattr("pathlib.Path.open", None)
    assert _only_problem(file) == "is 50.0 MB large"


# Values from the command line


def overridden(**pairs):
    data = parse_toml(GOOD + "grooves = [{ ring = 'top' }]\n", "e.toml")
    apply_overrides(File, data, {key.replace("__", "."): value for key, value in pairs.items()})
    return data["shaft"]


def test_overrides_are_toml_values_or_else_text():
    shaft = overridden(
        shaft__stroke="90 mm", shaft__ratio="0.25", shaft__marked="true", shaft__order="[1, 2]",
        shaft__name='"1"', shaft__pin__fillet="1\nx = 2",
    )  # fmt: skip
    assert shaft["stroke"] == "90 mm"
    assert (shaft["ratio"], shaft["marked"], shaft["order"], shaft["name"]) == (0.25, True, [1, 2], "1")
    assert shaft["pin"] == {"width": "40 mm", "fillet": "1\nx = 2"}


def test_overrides_make_tables_and_reach_into_lists():
    data = parse_toml(GOOD + "grooves = [{ ring = 'top' }]\n", "e.toml")
    apply_overrides(File, data, {"shaft.grooves[1].ring": "oil", "shaft.crown.shape": "flat"})
    assert data["shaft"]["grooves"] == [{"ring": "oil"}]
    assert data["shaft"]["crown"] == {"shape": "flat"}


@pytest.mark.parametrize(
    ("key", "what", "right"),
    [
        ("shaft.stroek", "stroek is not a known key", "did you mean stroke?"),
        ("shft.stroke", "shft is not a known key", "did you mean shaft?"),
        ("shaft.grooves[2].ring", "the list has 1 items", "from [1]"),
        ("shaft.grooves[0].ring", "there is no item 0", "the first item of a list is [1]"),
        ("shaft.stroke.x", "x is not a known key", "remove it"),
        ("shaft.throws[1]", "is not in the file", "set the whole"),
        ("shaft..x", "is not a key", "crank.stroke"),
        ("", "is not a key", "crank.stroke"),
    ],
)
def test_overrides_that_lead_nowhere(key, what, right):
    data = parse_toml(GOOD + "grooves = [{ ring = 'top' }]\n", "e.toml")
    with pytest.raises(InputError) as caught:
        apply_overrides(File, data, {key: "1"})
    (found,) = caught.value.problems
    assert found.file == "--set"
    assert what in found.what
    assert right in found.right


@pytest.mark.parametrize(
    ("data", "system"),
    [
        ({"engine": {"units": "in"}, "a": "3 mm"}, "in"),
        ({"engine": {"units": "mm"}, "a": "3 in"}, "mm"),
        ({"engine": {"units": 3}, "a": {"b": [["3 in", "2 thou"], "3 mm"]}}, "in"),
        ({"engine": 3, "a": ["3 mm", "4 cm", "3 in"]}, "mm"),
        ({"a": ["45 lbf*ft", "90 deg", "Tern"]}, "mm"),
        ({}, "mm"),
    ],
)
def test_units_that_a_file_is_written_in(data, system):
    assert engine_data_system(data) == system


def test_errors_read_well():
    problem = Problem("engine.toml", 14, "crank.stroke", "is missing", 'add stroke = "88 mm"')
    assert str(problem) == 'engine.toml:14: crank.stroke: is missing; add stroke = "88 mm"'
    assert str(Problem("", None, "", "what")) == "what"
    assert str(InputError([problem, problem])).count("\n") == 1
    assert str(GeometryError("code", "rod.length", "too short", "a longer rod")) == (
        "rod.length: too short; a longer rod"
    )
