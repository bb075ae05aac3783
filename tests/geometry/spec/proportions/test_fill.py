"""Filling in: few values make a whole engine that fits, nothing filled goes uncounted, what is written stays."""

import contextlib
import copy
import functools
import itertools
import operator

import pytest

from geometry.assembly import assemble
from geometry.checks.clearances import judged
from geometry.checks.section import checks
from geometry.clearance.full_turn import full_turn
from geometry.errors import InputError
from geometry.spec.base import FROM_FILE
from geometry.spec.described import load_described
from geometry.spec.engine import Engine
from geometry.spec.load import load_engine
from geometry.spec.proportions.fill import fill, missing_basics, missing_quantities
from tests.geometry import fleet
from tests.geometry.spec.proportions.engines import LAYOUTS, few, filled

RANGE = [
    ("single", 55.0, 0.7, 2.1), ("single", 130.0, 1.35, 1.45),
    ("inline-four", 130.0, 0.7, 1.45), ("inline-four", 55.0, 1.35, 2.1),
    ("inline-six", 55.0, 1.35, 1.45), ("inline-six", 130.0, 0.93, 1.6),
    ("vee-eight", 55.0, 0.7, 1.45), ("vee-eight", 55.0, 1.35, 2.1),
    ("vee-six", 55.0, 0.7, 1.75), ("vee-six", 130.0, 1.35, 2.1),
    ("flat-four", 55.0, 0.7, 1.45), ("flat-four", 130.0, 1.35, 2.1),
]  # fmt: skip
"""Corners of bore, stroke by bore and rod by stroke. A 60 degree vee has no room for less than about 1.0 bore from
crank axis to pin at bottom dead centre, so its short rod is a longer one; ``tests/bench/bench_filled.py`` goes through
all of them."""


def outside(spec):
    """What the checks find outside its limits."""
    assembly = assemble(spec)
    others = [check for check in checks() if check.key != "clearances"]
    found = [f.text for check in others for f in check.run(assembly, "mm").findings if f.severity != "note"]
    near = judged(assembly, full_turn(assembly))
    return found + [(c.near.approach.a, c.near.approach.b) for c in near if c.verdict != "clear"]


@pytest.mark.parametrize(("layout", "bore_mm", "stroke_by_bore", "rod_by_stroke"), RANGE)
def test_a_filled_engine_fits_together(layout, bore_mm, stroke_by_bore, rod_by_stroke):
    assert outside(filled(few(layout, bore_mm, stroke_by_bore, rod_by_stroke))) == []


@pytest.mark.parametrize("layout", LAYOUTS)
def test_all_that_is_missing_is_filled_and_counted(layout):
    data = few(layout)
    whole = fill(data)
    assert list(missing_quantities(whole.data)) == []
    spec = Engine.model_validate(whole.data, context=FROM_FILE)
    numbers = set(_numbers(spec.model_dump(by_alias=True, exclude_unset=True)))
    named = {("crank", "split")} & numbers
    told = {("crank", "stroke"), ("rod", "length"), ("block", "bore", "diameter"), ("engine", "bank_angle")}
    assert numbers - set(whole.paths) - named <= told
    assert len(set(whole.paths)) == len(whole.paths) > 75
    assert {
        "rod.beam.section",
        "rod.bolt.kind",
        "piston.crown.shape",
        "piston.grooves",
        "rings.top.face",
    } <= set(whole.chosen)


def _numbers(data, path=()):
    if isinstance(data, dict):
        for key, inner in data.items():
            yield from _numbers(inner, (*path, key))
    elif isinstance(data, list):
        for place, inner in enumerate(data):
            yield from _numbers(inner, (*path, place))
    elif isinstance(data, float):
        yield path


@pytest.mark.parametrize("name", fleet.NAMES)
def test_a_whole_file_stays_as_it_is(name):
    whole = fill(fleet.raw(name))
    assert whole.data == fleet.raw(name)
    assert (whole.paths, whole.chosen) == ([], [])


@pytest.mark.parametrize("units", ["mm", "in"])
def test_one_missing_value_is_filled_from_its_neighbours(units):
    data = {
        **fleet.raw("dunlin"),
        "rod": {k: v for k, v in fleet.raw("dunlin")["rod"].items() if k != "length"},
    }
    whole = fill(data, units)
    assert whole.paths == [("rod", "length")]
    assert whole.data["rod"]["length"].endswith(f" {units}")
    spec = Engine.model_validate(whole.data, context=FROM_FILE)
    assert spec.rod.length_mm == pytest.approx(295.25 - 62.0 - 55.0 - 0.4)


def test_of_an_array_only_what_is_missing_is_filled():
    data = few("single") | {"piston": {"grooves": [{"ring": "top", "from_crown": "9 mm"}, {"ring": "oil"}]}}
    whole = fill(data)
    assert ("piston", "grooves", 0, "from_crown") not in whole.paths
    assert ("piston", "grooves", 1, "root") in whole.paths
    spec = filled(data)
    assert spec.piston.grooves[0].from_crown_mm == 9.0
    assert spec.rings.second is None
    assert spec.rings.oil is not None


@pytest.mark.parametrize(
    ("table", "key"),
    [
        ("head", {"valves": [{"valve": "intake"}, {"valve": "exhaust"}]}),
        ("cam", {}),
        ("pan", {}),
        ("piston", {"pockets": [{"valve": "exhaust"}]}),
    ],
)
def test_a_table_that_is_begun_is_completed(table, key):
    spec = filled(few("vee-eight") | {table: key})
    assert getattr(spec, table) is not None


def test_tables_that_an_engine_can_be_without_are_left_out():
    spec = filled(few("vee-eight"))
    assert (spec.cam, spec.pan, spec.head.valves, spec.block.bore.notch) == (None, None, [], None)


def test_nuts_dishes_split_pins_and_single_throws_get_what_they_need():
    spec = filled(
        few("vee-six")
        | {
            "rod": {"bolt": {"kind": "bolt_and_nut"}},
            "piston": {"crown": {"diameter": "60 mm", "volume": "5 cc"}},
        }
    )
    assert spec.rod.bolt.nut_height_mm
    assert spec.piston.crown.shape == "dish"
    assert spec.crank.split_web_mm > 0.0
    assert filled(few("single")).crank.cheek.thickness_mm


@pytest.mark.parametrize(("bores", "layout", "throws"), [
    (1, "inline", "single"), (2, "inline", "twin-360"), (3, "inline", "three"), (4, "inline", "flat-plane"),
    (5, "inline", "five"), (6, "inline", "inline-six"), (8, "vee", "cross-plane"), (4, "flat", "boxer"),
])  # fmt: skip
def test_the_crank_is_the_usual_one_of_its_layout(bores, layout, throws):
    numbers = list(range(1, bores + 1))
    numbering = {"line": numbers} if layout == "inline" else {"left": numbers[::2], "right": numbers[1::2]}
    data = few("single")
    data["engine"] = {"layout": layout, "numbering": numbering, "bank_angle": "90 deg"}
    assert fill(data).data["crank"]["throws"] == throws


def test_what_is_filled_says_so_and_is_in_doubt(tmp_path):
    described = _described(tmp_path, "vee-eight")
    by_key = {value.key: value for value in described.values}
    assert by_key["crank.stroke"].origin == "measured"
    assert by_key["crank.pin.diameter"].origin == "filled"
    pin = by_key["crank.pin.diameter"]
    assert pin.reason.startswith("not in the file: housing bore less two shells")
    assert pin.lowest < pin.nominal < pin.highest
    assert by_key["block.crankcase.section[1][2]"].origin == "filled"
    assert "rings.top.face" in described.chosen
    assert len(described.assumed) > 75


def _described(folder, layout):
    file = folder / "few.toml"
    general = LAYOUTS[layout]
    numbering = ", ".join(f"{bank} = {numbers}" for bank, numbers in general["numbering"].items())
    bank = f'bank_angle = "{general["bank_angle"]}"\n' if "bank_angle" in general else ""
    file.write_text(
        f'[engine]\nlayout = "{general["layout"]}"\nnumbering = {{ {numbering} }}\n{bank}'
        '[crank]\nstroke = "84 mm"\n[block.bore]\ndiameter = "90 mm"\n', encoding="utf-8",
    )  # fmt: skip
    return load_described(file)


# ---- what is refused ----


def refused(tmp_path, text):
    file = tmp_path / "few.toml"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        load_engine(file)
    return caught.value.problems


def test_what_must_be_written_is_named_on_one_line(tmp_path):
    (found,) = refused(tmp_path, '[rod]\nlength = "145 mm"\n')
    assert found.what == "engine.layout, engine.numbering, block.bore.diameter and crank.stroke are missing"
    (found,) = refused(tmp_path, '[engine]\nlayout = "vee"\nnumbering = { left = [1], right = [2] }\n')
    assert found.what == "block.bore.diameter, crank.stroke and engine.bank_angle are missing"


def test_one_missing_basic_value_is_shown_with_its_example(tmp_path):
    (found,) = refused(
        tmp_path, '[engine]\nlayout = "inline"\nnumbering = { line = [1] }\n[crank]\nstroke = "84 mm"\n'
    )
    assert found.key == "block.bore.diameter"
    assert "is missing" in found.what
    assert 'diameter = "' in found.right


SINGLE = '[engine]\nlayout = "inline"\nnumbering = { line = [1] }\n[crank]\nstroke = "84 mm"\n'
BORE = '[block.bore]\ndiameter = "90 mm"\n'


def test_a_misspelt_key_is_refused_as_ever(tmp_path):
    (found,) = refused(tmp_path, f'{SINGLE}[rod]\nlenght = "150 mm"\n{BORE}')
    assert (found.key, found.line, found.right) == ("rod.lenght", 7, "did you mean length?")


def test_a_clash_with_a_filled_value_says_that_nobody_wrote_it(tmp_path):
    (found,) = refused(tmp_path, f'{SINGLE}[piston.crown]\nthickness = "34 mm"\n{BORE}')
    assert found.key == "piston.crown.thickness"
    problems = refused(tmp_path, f'{SINGLE}[piston]\ncompression_height = "9 mm"\n{BORE}')
    assert problems
    told = "not in the file and filled in by proportion: "
    filled = [problem for problem in problems if problem.key != "piston.compression_height"]
    assert filled
    assert all(problem.what.startswith(told) for problem in filled)
    assert problems[0].key == "piston.compression_height", "the one that is written, and far from the usual"


SPOILERS = [
    '"9999 mm"',
    '"0.001 mm"',
    '"-3 mm"',
    '"1e300 mm"',
    "7",
    "[]",
    "{}",
    '"about 80 mm +- 2 mm"',
    "9" * 400,
]
PLACES = [
    "crank.stroke",
    "block.bore.diameter",
    "rod.length",
    "block.deck_height",
    "rod.big_end.bore",
    "crank.pin.width",
]


@pytest.mark.parametrize(("key", "value"), list(itertools.product(PLACES, SPOILERS)))
def test_whatever_is_written_ends_in_plain_lines(tmp_path, key, value):
    """No rule of proportion may fall over a value that is nonsense: it is refused, or it is an engine."""
    general = "engine.layout = 'vee'\nengine.numbering = { left = [1], right = [2] }\nengine.bank_angle = '60 deg'\n"
    basics = {"crank.stroke": '"84 mm"', "block.bore.diameter": '"90 mm"', key: value}
    file = tmp_path / "few.toml"
    file.write_text(general + "".join(f"{k} = {v}\n" for k, v in basics.items()), encoding="utf-8")
    with contextlib.suppress(InputError):
        load_engine(file)


def test_missing_basics_are_those_of_the_layout():
    assert missing_basics({}) == ("engine.layout", "engine.numbering", "block.bore.diameter", "crank.stroke")
    assert missing_basics(few("vee-eight")) == ()


def test_values_of_the_wrong_kind_are_filled_round_and_stay_to_be_refused():
    """Every table and choice of an engine is something else once; nothing is worked out from it."""
    whole = fleet.raw("turnstone")
    for path in [*_tables(whole), *(("engine", key) for key in ("layout", "strokes", "duty", "numbering"))]:
        for wrong in ("x", 3, [[3]]):
            data = copy.deepcopy(dict(whole))
            _at(data, path[:-1])[path[-1]] = wrong
            assert _at(fill(data).data, path) == wrong, path


def test_a_wrong_table_on_the_command_line_is_one_line():
    for key, wrong in (("piston", '"x"'), ("rings", "3"), ("crank", "3"), ("head", '"x"'), ("rod", '"x"')):
        with pytest.raises(InputError) as refused:
            load_engine(fleet.FOLDER / "tern.toml", {key: wrong})
        (problem,) = refused.value.problems
        assert (problem.file, problem.key) == ("--set", key)
        assert problem.what.endswith("stands where a table is needed")


def test_a_basic_value_that_is_missing_is_not_suspected(tmp_path):
    """Knot without its bore is worked out with another's, which does not go with the rest; nobody wrote that one."""
    file = tmp_path / "knot.toml"
    text = (fleet.FOLDER / "knot.toml").read_text(encoding="utf-8")
    file.write_text(text.replace('\ndiameter = "2.750 in"', '\nameter = "2.750 in"'), encoding="utf-8")
    with pytest.raises(InputError) as refused:
        load_engine(file)
    assert [one.key for one in refused.value.problems] == ["block.bore.diameter", "block.bore.ameter"]


def _at(data, path):
    return functools.reduce(operator.getitem, path, data)


def _tables(value, path=()):
    """Paths of all tables and of lists of them."""
    if path:
        yield path
    inner = value.items() if isinstance(value, dict) else enumerate(value)
    for key, below in inner:
        if isinstance(below, dict) or (isinstance(below, list) and below and isinstance(below[0], dict)):
            yield from _tables(below, (*path, key))


def test_a_lone_throw_in_a_spaced_block_has_the_cheeks_that_are_left():
    # spacing and journals leave the cheek its thickness: nothing is assumed where it follows from what is written
    data = fleet.spec("knot").model_dump(by_alias=True, exclude_unset=True)
    data["crank"]["cheek"].pop("thickness")
    assert list(missing_quantities(data)) == [("crank", "cheek", "thickness")]
    data["block"]["bore"]["spacing"] = 200.0
    assert list(missing_quantities(data)) == []
