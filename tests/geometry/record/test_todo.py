"""What is still to be measured: the order of the job, the limits, and what falls off the list once recorded."""

import pytest

from geometry.record.kind import STEPS
from geometry.record.load import load_record
from geometry.record.todo import todo
from tests.geometry import fleet
from tests.geometry.record.bench_fixtures import DEMOS, tern, typed


def left(record, engine=None, **options):
    return [(task.place, task.entry) for task in todo(engine or tern(), record, **options)]


def gone(tmp_path, *lines):
    """What entering these lines takes off the list; nothing may come onto it."""
    before = left(typed(tmp_path))
    after = left(typed(tmp_path, *lines))
    assert [item for item in before if item in after] == after
    return [item for item in before if item not in after]


def test_the_steps_run_in_the_order_of_the_job_and_bores_by_number(tmp_path):
    tasks = todo(tern(), typed(tmp_path))
    assert [STEPS.index(task.step) for task in tasks] == sorted(STEPS.index(task.step) for task in tasks)
    gaps = [task.place for task in tasks if task.step == "ring gaps"]
    assert list(dict.fromkeys(gaps)) == [f"bore {number}" for number in range(1, 9)]


@pytest.mark.parametrize(
    "line, path",
    [
        ("ring.top.gap go=18thou tight=19thou", "ring.top.gap"), ("rod.way turned", "rod.way"),
        ("deck 10thou", "deck"), ("ring.top.angle 240deg", "ring.top.angle"),
        ("shell.upper.tang in_notch", "shell.upper.tang"),
        ("bolt.major.torque 45lbf*ft", "bolt.major.torque"),
        ("diameter.top depth=0.5in along=4.03in across=4.03in", "diameter.top"),
    ],
)  # fmt: skip
def test_what_is_recorded_falls_off_the_list_and_nothing_else_does(tmp_path, line, path):
    assert gone(tmp_path, f"bore 3: {line}") == [("bore 3", path)]


def test_mains_and_the_crank_fall_off_too(tmp_path):
    assert gone(tmp_path, "main 2: clearance 2thou", "crank: end_play 6thou") == [
        ("main 2", "clearance"), ("crank", "end_play"),
    ]  # fmt: skip


def test_a_bolt_measured_by_its_stretch_needs_no_torque(tmp_path):
    assert gone(tmp_path, "bore 3: bolt.minor.stretch 5.5thou") == [("bore 3", "bolt.minor.torque")]


def test_one_side_clearance_serves_both_rods_of_a_pin(tmp_path):
    asked = [place for place, path in left(typed(tmp_path)) if path == "rod.side"]
    assert asked == ["bore 1", "bore 3", "bore 5", "bore 7"]
    assert gone(tmp_path, "bore 4: rod.side go=11thou tight=12thou") == [("bore 3", "rod.side")]


def test_taking_an_entry_out_puts_it_back_on_the_list(tmp_path):
    before = left(typed(tmp_path))
    assert left(typed(tmp_path, "bore 3: rod.way turned", "bore 3: rod.way none")) == before


def test_one_bore_alone(tmp_path):
    assert {place for place, _ in left(typed(tmp_path), bore=3)} == {"bore 3"}


def test_limits_come_in_the_units_asked_for_with_their_source(tmp_path):
    (task,) = (t for t in todo(tern(), typed(tmp_path), bore=3, system="in") if t.entry == "ring.top.gap")
    # 4.030 in bore, 0.0035 to 0.0050 in per inch, common practice: 14.105 to 20.15 thou.
    assert task.limit.startswith("14.1 thou to 20.")
    assert "common practice" in task.source
    (task,) = (t for t in todo(tern(), typed(tmp_path), bore=3, system="mm") if t.entry == "ring.top.gap")
    assert "mm" in task.limit
    assert "thou" not in task.limit


@pytest.mark.parametrize("name", fleet.NAMES)
def test_only_rings_that_the_engine_has_are_asked_for(tmp_path, name):
    spec = fleet.spec(name)
    asked = {
        path.split(".")[1] for _, path in left(load_record(tmp_path / "none", spec), spec) if "ring." in path
    }
    assert ("second" in asked) == (spec.rings.second is not None)
    assert ("expander" in asked) == (spec.rings.oil is not None)


def test_the_half_filled_demo_has_both_less_to_do_and_something_left(tmp_path):
    full = set(left(load_record(tmp_path / "none", tern())))
    some = set(left(load_record(DEMOS / "tern.record.toml", tern())))
    assert some < full
    assert ("bore 1", "ring.top.gap") in full - some
    assert some


@pytest.mark.parametrize(
    "place, path, limit",
    [
        # Tangs in their notches, arrows to the front, marks up, the large chamfer at the cheek: the left bank leads,
        # so that of two rods on a pin the left one has its cheek in front and the right one behind.
        ("bore 3", "shell.upper.seat", "in the rod"), ("bore 3", "shell.lower.seat", "in the cap"),
        ("bore 3", "shell.upper.tang", "in its notch"), ("bore 3", "piston.way", "mark to the front"),
        ("bore 3", "ring.top.way", "the right side up"), ("bore 3", "cap.way", "as it was marked"),
        ("bore 3", "rod.way", "large chamfer to the front, against the cheek"),
        ("bore 4", "rod.way", "large chamfer to the rear, against the cheek"),
    ],
)  # fmt: skip
def test_the_list_says_which_way_each_part_goes_and_who_says_so(tmp_path, place, path, limit):
    task = next(t for t in todo(tern(), typed(tmp_path)) if (t.place, t.entry) == (place, path))
    assert task.limit == limit
    assert task.source
