"""A place as a page asks for it: the order of the list, the words of the verdict, a blank for everything."""

import json
import tomllib

import pytest

from geometry.record.bench import content_at, fields_at, preview, progress
from geometry.record.catalogue import KINDS, lay_out
from geometry.record.entries import set_entries
from geometry.record.load import load_record, record_of_data
from geometry.record.place import BenchPlace, read_place
from geometry.record.todo import todo
from geometry.record.verdicts import verdicts
from geometry.record.words import read_values
from geometry.rings.clocked import rings_of
from tests.geometry import fleet
from tests.geometry.record.bench_fixtures import DEMOS, tern

HALF = tomllib.loads((DEMOS / "tern.record.toml").read_text(encoding="utf-8"))
BORE_3 = BenchPlace("bore", 3)


def every_place(engine):
    bench = lay_out(engine, record_of_data(engine, {}))
    return [place for kind in ("bore", "main", "crank") for place in bench.places(kind)]


def fields(place, data=HALF, engine=None, system="in"):
    spec = engine or tern()
    return fields_at(spec, record_of_data(spec, data), data, place, system)


def field(place, path, **more):
    return next(each for each in fields(place, **more) if each.path == path)


def test_what_is_open_comes_in_the_order_of_the_list_with_its_words_and_limits():
    listed = todo(tern(), record_of_data(tern(), HALF), system="in")
    for place in every_place(tern()):
        asked = [task for task in listed if task.place == place.words]
        shown = [each for each in fields(place) if each.state == "open"]
        assert [(e.path, e.what, e.limit, e.source, e.step, e.enter) for e in shown] == [
            (t.entry, t.what, t.limit, t.source, t.step, t.enter) for t in asked
        ]


def test_progress_counts_what_the_list_no_longer_asks_for():
    record = record_of_data(tern(), HALF)
    listed, empty = todo(tern(), record), todo(tern(), record_of_data(tern(), {}))
    for at in progress(tern(), record):
        left = sum(task.place == at.place for task in listed)
        assert at.of - at.done == left
        # One reading serves both rods of a pin, and may stand with the other one.
        assert abs(at.of - sum(task.place == at.place for task in empty)) <= 1


TYPED = [
    ("bore 3", "ring.top.gap", {"go": "10 thou", "tight": "11 thou"}),
    ("bore 3", "ring.top.gap", {"go": "16 thou", "tight": "17 thou", "depth": "3.6 in"}),
    ("bore 5", "diameter.top", {"depth": "0.5 in", "along": "4.0300 in", "across": "4.0340 in"}),
    ("bore 3", "rod.way", {"value": "turned"}),
    ("bore 3", "ring.second.angle", {"value": "230 deg", "datum": "thrust"}),
    ("main 2", "number", {"value": "3"}),
    ("crank", "end_play", {"value": "0.4 mm", "resolution": "0.01 mm"}),
]


@pytest.mark.parametrize("place, path, values", TYPED)
def test_the_words_before_saving_are_those_of_the_verdict_after_it(tmp_path, place, path, values):
    file = tmp_path / "tern.record.toml"
    file.write_text((DEMOS / "tern.record.toml").read_text(encoding="utf-8"), encoding="utf-8")
    written = read_values(tern(), place, path, values, by="EH")
    before = verdicts(tern(), load_record(file, tern()), system="in")
    said = preview(tern(), HALF, written.place, path, written.content, "in")
    set_entries(file, tern(), place, [path, *(f"{name}={value}" for name, value in values.items())], by="EH")
    after = verdicts(tern(), load_record(file, tern()), system="in")
    assert said.verdicts == tuple(v for v in after if (v.place, v.path) == (place, path))
    assert said.others == tuple(v for v in after if v.place == place and v.path != path and v not in before)
    shown = field(read_place(tern(), place), path, data=tomllib.loads(file.read_text(encoding="utf-8")))
    assert (shown.state, shown.verdicts) == ("done", said.verdicts)


def test_a_bore_that_is_measured_changes_what_its_skirt_says():
    data = {"bore": {"3": {"piston": {"skirt": {"value": "4.0270 in"}}}}}
    content = {"depth": "0.5 in", "along": "4.0250 in", "across": "4.0250 in"}
    said = preview(tern(), data, BORE_3, "diameter.top", content, "in")
    (skirt,) = said.others
    assert (skirt.path, skirt.verdict) == ("piston.skirt", "outside")  # 2 thou larger than its bore
    assert data == {"bore": {"3": {"piston": {"skirt": {"value": "4.0270 in"}}}}}


def test_taking_out_what_is_not_there_says_nothing():
    assert preview(tern(), {}, BORE_3, "deck", None).verdicts == ()


@pytest.mark.parametrize("name", fleet.NAMES)
def test_every_kind_of_reading_has_a_field_on_every_engine_that_has_the_part(name):
    engine, seen = fleet.spec(name), set()
    for place in (BenchPlace("bore", 1), BenchPlace("main", 1), BenchPlace("crank")):
        shown = fields(place, {}, engine, None)
        json.dumps([each.as_json() for each in shown], allow_nan=False)
        seen |= {(place.kind, each.path) for each in shown}
    assert seen == {
        (kind.place, kind.path) for kind in KINDS if kind.ring is None or kind.ring in rings_of(engine)
    }


def good_values(form, path, unit_at):
    """Something for every blank that is needed, as number and unit."""
    numbers = {"go": "0.25", "tight": "0.30", "along": "4.03", "across": "4.031"}
    depths = {"diameter.top": "0.50", "diameter.middle": "1.5"}
    found = {}
    for blank in form.blanks:
        if blank.kind == "quantity" and blank.name not in ("resolution", "datum"):
            number = depths.get(path, "3.1") if blank.name == "depth" else numbers.get(blank.name, "0.350")
            unit = "in" if path.startswith("diameter") else blank.units[unit_at % len(blank.units)]
            found[blank.name] = (number, unit)
        elif blank.kind == "choice":
            found[blank.name] = next(
                ((c.value, "") for c in blank.choices if c.right), (blank.choices[-1].value, "")
            )
        elif blank.kind == "text":
            found[blank.name] = ("C 4", "")
    return found


@pytest.mark.parametrize("turn", range(3))
def test_what_is_filled_in_is_read_back_in_every_unit_and_every_way(turn):
    data, typed = {}, {}
    for place in (BORE_3, BenchPlace("main", 2), BenchPlace("crank")):
        for each in fields(place, {}):
            form = each.forms[turn % len(each.forms)]
            values = good_values(form, each.path, turn)
            texts = {name: f"{number} {unit}".strip() for name, (number, unit) in values.items()}
            put_in(data, read_values(tern(), place.words, each.path, texts, by="EH"))
            typed[place, each.path] = values, form.key
    for place in (BORE_3, BenchPlace("main", 2), BenchPlace("crank")):
        for each in fields(place, data):
            assert each.filled == typed[place, each.path][0] | {"by": ("EH", "")}
            assert (each.state, each.form) == ("done", typed[place, each.path][1])
    assert len(typed) > 60


def put_in(data, written):
    for key in written.keys[:-1]:
        data = data.setdefault(key, {})
    data[written.keys[-1]] = dict(written.content)


def test_every_blank_is_called_by_words_and_says_what_goes_into_it():
    for place in (BORE_3, BenchPlace("main", 1), BenchPlace("crank")):
        for each in fields(place, {}):
            for blank in (blank for form in each.forms for blank in form.blanks):
                assert blank.hint.endswith(".")
                assert "_" not in blank.words
                assert all("_" not in choice.words for choice in blank.choices)
                assert bool(blank.units) == (blank.kind == "quantity")


def test_an_answer_is_marked_as_right_where_its_verdict_is_within_and_nowhere_else():
    marked = 0
    for place in (BenchPlace("bore", 4), BenchPlace("main", 2)):
        for each in fields(place, {}):
            (blank,) = [b for b in each.forms[0].blanks if b.name == "value"] or [None]
            for choice in blank.choices if blank else ():
                written = read_values(tern(), place.words, each.path, {"value": choice.value})
                said = preview(tern(), {}, place, each.path, written.content).verdicts
                assert choice.right == (said[0].verdict == "within"), (each.path, choice)
                marked += choice.right
    assert marked > 15


@pytest.mark.parametrize(
    "path, name, units",
    [
        ("ring.top.gap", "go", ("thou", "in", "mm")), ("ring.top.gap", "depth", ("in", "mm")),
        # A bolt stretches by thousandths; the skirt is read as a diameter, whatever it leaves to the wall.
        ("bolt.major.stretch", "value", ("thou", "in", "mm")), ("piston.skirt", "value", ("in", "mm")),
        ("bolt.major.torque", "value", ("lbf*ft", "N*m", "lbf*in")), ("ring.top.angle", "value", ("deg",)),
    ],
)  # fmt: skip
def test_units_are_those_of_the_bench_the_usual_one_first(path, name, units):
    blanks = {blank.name: blank for form in field(BORE_3, path).forms for blank in form.blanks}
    assert blanks[name].units == units
    metric = {b.name: b for form in field(BORE_3, path, system="mm").forms for b in form.blanks}[name].units
    assert metric[0] in ("mm", "N*m", "deg")
    assert set(metric) == set(units)


def test_only_what_may_be_below_zero_takes_a_sign():
    signed = {
        (each.path, blank.name)
        for each in fields(BORE_3) for form in each.forms for blank in form.blanks if blank.signed
    }  # fmt: skip
    assert ("deck", "value") in signed
    assert all(path == "deck" or path.endswith(".angle") for path, _ in signed)


def test_blades_come_first_where_blades_are_asked_for():
    assert [form.key for form in field(BORE_3, "ring.top.gap").forms] == ["blades", "one"]
    assert [form.key for form in field(BORE_3, "bearing.clearance").forms] == ["one", "blades"]


def test_a_bolt_measured_by_its_stretch_is_done_and_says_by_what():
    data = {"bore": {"3": {"bolt": {"minor": {"stretch": {"value": "5.5 thou"}}}}}}
    torque = field(BORE_3, "bolt.minor.torque", data=data)
    assert (torque.state, torque.instead) == ("instead", ("bolt.minor.stretch",))
    assert field(BORE_3, "bolt.minor.stretch", data=data).state == "done"


def test_content_is_what_was_written_word_by_word():
    data = tomllib.loads(
        '[bore.3]\ndeck = { value = "10.50thou", by = "EH", on = 2026-03-14, note = "cold" }\n'
    )
    shown = field(BORE_3, "deck", data=data)
    assert shown.content == {"value": "10.50thou", "by": "EH", "on": "2026-03-14", "note": "cold"}
    assert shown.filled["value"] == ("10.50", "thou")
    assert content_at(data, BORE_3, "ring.top.gap") is None
