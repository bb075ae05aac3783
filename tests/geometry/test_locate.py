"""Lines of keys in a TOML text, against the independent writer tomlkit and the reader tomllib."""

import string
import tomllib

import tomlkit
from hypothesis import given
from hypothesis import strategies as st

from geometry.spec.locate import line_of, lines_of_keys, read_written, written

_KEYS = st.text(string.ascii_letters + string.digits + "_- .é\"'#[]=", min_size=1, max_size=6)
_SCALARS = st.integers(-99, 99) | st.booleans() | st.text(string.printable, max_size=12) | st.floats(-9, 9)
_VALUES = st.recursive(
    _SCALARS, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(_KEYS, inner, max_size=3),
    max_leaves=12,
)  # fmt: skip


def paths_of(value, path=()):
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for step, item in inner:
        yield (*path, step), item
        yield from paths_of(item, (*path, step))


@given(st.dictionaries(_KEYS, _VALUES, max_size=4))
def test_every_key_that_a_writer_writes_has_a_line(data):
    text = tomlkit.dumps(data)
    lines = lines_of_keys(text)
    rows = text.split("\n")
    read = tomllib.loads(text)
    assert set(lines) == {path for path, _ in paths_of(read)}
    for path, _ in paths_of(read):
        if isinstance(path[-1], str):
            row = rows[lines[path] - 1]
            assert path[-1] in row or "\\" in row


PLACES = '''\
# a comment with [brackets] and key = 1
title = "a # b = c"
a.b."c d" = 1
[shaft] # header
pin = { width = "4 in", more = [1, { x = 2 }] }
throws = [
  "0 deg", # one ]
  "90 deg",
]
text = """
[not.a.table]
x = 1 \\""" """
plain = \'\'\'
[nor.this]
\'\'\'
[[ring]]
name = 'top'
[ring.groove]
w = 2024-01-01T00:00:00Z
[[ring]]
[ring.groove]
w = -0.1e3
'''


def test_places_of_everything_that_toml_can_hold():
    lines = {written(path): line for path, line in lines_of_keys(PLACES).items()}
    assert set(lines_of_keys(PLACES)) == {path for path, _ in paths_of(tomllib.loads(PLACES))}
    expected = {
        "title": 2, 'a.b."c d"': 3, "shaft": 4, "shaft.pin.width": 5, "shaft.pin.more[2].x": 5,
        "shaft.throws[2]": 8, "shaft.plain": 13, "ring[1].name": 17, "ring[1].groove.w": 19,
        "ring[2]": 20, "ring[2].groove": 21, "ring[2].groove.w": 22,
    }  # fmt: skip
    assert {key: lines[key] for key in expected} == expected


def test_a_key_that_is_not_there_is_placed_at_its_table():
    lines = lines_of_keys(PLACES)
    assert line_of(("shaft", "pin", "gone"), lines) == 5
    assert line_of(("ring", 1, "gone", "deep"), lines) == 20
    assert line_of(("gone",), lines) is None


@given(st.text(max_size=60))
def test_scanner_never_fails_on_text_that_is_no_toml(text):
    assert isinstance(lines_of_keys(text), dict)


def test_paths_are_written_and_read():
    assert written(("a", 0, "b-c", "d e")) == 'a[1].b-c."d e"'
    assert read_written("a[1].b-c") == ("a", 1, "b-c")
    assert [read_written(text) for text in ("", "a.", "[1]", "a b", "a[x]")] == [None] * 5
