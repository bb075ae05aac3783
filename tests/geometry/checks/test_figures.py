"""Figures of every check: the same number as the row shows, and outside exactly where the check says so itself."""

import pytest

from geometry.assembly import assemble
from geometry.built import AS_DESIGNED
from geometry.checks.section import Amount, Figure, checks
from geometry.spec.load import load_engine
from tests.geometry.checks.test_passage import WIDE, changed
from tests.geometry.fleet import FOLDER, NAMES, assembly

CHEAP = [check for check in checks() if check.figures is not None]
GRAVE = ["", "look", "stop"]


def engine(name, changes, built=AS_DESIGNED):
    return assemble(load_engine(FOLDER / f"{name}.toml", changes), built)


def held(section):
    """Worst severity of the figures of each row, by the row's place."""
    found = dict.fromkeys(range(len(section.rows)), "")
    for figure in (*section.figures, *(figure for _, figure in section.repeats)):
        for margin, grave in figure.margins:
            if margin < 0.0:
                found[figure.row] = max(found[figure.row], grave, key=GRAVE.index)
    return found


def said(section):
    """Worst severity that the section itself gives each row: in the row, else by a finding of its bore and ring."""
    found = {}
    for place, row in enumerate(section.rows):
        if "severity" in row:
            own = [row["severity"]]
        else:
            ring = row.get("ring", "")
            own = [f.severity for f in section.findings if f.bore == row.get("bore") and ring in f.text]
        found[place] = max((grave for grave in own if grave in GRAVE), key=GRAVE.index, default="")
    return found


def agrees(section):
    for figure in section.figures:
        row = section.rows[figure.row]
        assert figure.bore == row.get("bore") or figure.bore is None
        cell = row[figure.column]
        shown = cell.value if isinstance(cell, Amount) else cell
        assert shown == pytest.approx(figure.value, abs=5.1e-4 if figure.dimension == "ratio" else 1e-9)
        assert not isinstance(cell, Amount) or cell.dimension == figure.dimension
        assert figure.source or figure.margin is None
    assert held(section) == said(section)
    for finding in section.findings:
        if finding.severity != "note" and not finding.id.startswith(("clock_", "fit_readings_differ")):
            of = [f for f in section.figures if (f.name, f.bore) == (finding.figure, finding.bore)]
            assert [left < 0.0 for left in (f.margin for f in of)] == [True], finding
    named = [(figure.name, figure.bore) for figure in section.figures]
    assert len(set(named)) == len(named)


@pytest.mark.parametrize("name", NAMES)
def test_a_figure_of_a_demo_engine_is_outside_exactly_where_its_check_says_so(name):
    for check in CHEAP:
        section = check.run(assembly(name), "in")
        assert section.figures or not section.rows
        agrees(section)
        assert check.figures(assembly(name), None) == section.figures
        one = check.figures(assembly(name), [2])
        assert one == tuple(f for f in section.figures if f.bore in (2, None))


@pytest.mark.parametrize(
    "key, name, changes, expected",
    [
        ("bores", "to head", {"gasket.thickness": "0.020 in"}, "stop"),
        ("bores", "to head", {"gasket.thickness": "0.070 in"}, ""),  # a note decides nothing
        ("summary", "compression ratio", {"head.chamber": "30 cc"}, "look"),
        ("summary", "compression ratio", {"head.chamber": "130 cc"}, "look"),
        ("sides", "side clearance", {"crank.pin.width": "1.862 in"}, "stop"),
        ("sides", "rod edge to fillet", {"rod.chamfer.cheek": "0.050 in"}, "stop"),
        ("sides", "shell edge to fillet", {"rod.bearing.width": "0.900 in"}, "stop"),
        ("fits", "rod oil clearance", {"crank.pin.diameter": "2.0515 in"}, "stop"),
        ("fits", "rod oil clearance", {"crank.pin.diameter": "2.0490 in"}, "look"),
        ("fits", "skirt clearance", {"piston.skirt.clearance": "0.0005 in"}, "stop"),
        ("fits", "skirt clearance", {"piston.skirt.clearance": "0.0080 in"}, "look"),
        ("fits", "pin to wall", {"piston.pin.length": "3.85 in"}, "stop"),
        ("fasteners", "torque", {"rod.bolt.torque": "6 N*m"}, "stop"),
        ("fasteners", "joint opens at", {"rod.bolt.stretch": "0.0003 in"}, "stop"),
        ("fasteners", "stretch", {"rod.bolt.stretch": "0.0003 in"}, "stop"),
        ("fasteners", "stretch", {"rod.bolt.stretch": "0.0025 in"}, "look"),
        ("fasteners", "stretch", {"rod.bolt.stretch": "0.0041 in"}, "look"),
        ("fasteners", "stretch", {"rod.bolt.stretch": "0.0060 in"}, "stop"),
        ("fasteners", "thread strips at", {"rod.bolt.engaged": "0.150 in"}, "stop"),
        ("fasteners", "main thread strips at", {"block.main_cap.bolt.engaged": "0.44 in"}, "look"),
        ("fasteners", "main thread strips at", {"block.main_cap.bolt.engaged": "0.30 in"}, "stop"),
        ("fasteners", "head pressure under the head", {"head.bolt.face": "0.56 in"}, "look"),
        ("fasteners", "head torque", {"head.bolt.torque": "90 lbf*ft"}, "stop"),
        ("fasteners", "torque", {"rod.bolt.torque": "40 N*m"}, "look"),
        ("fasteners", "torque", {"rod.bolt.torque": "80 N*m"}, "look"),
        ("fasteners", "torque", {"rod.bolt.torque": "160 N*m"}, "stop"),
        ("rings", "gap of top ring", {"rings.top.gap": "0.012 in"}, "stop"),
        ("rings", "gap of second ring", {"rings.second.gap": "0.030 in"}, "look"),
        ("rings", "hot gap of top ring", {"rings.top.gap": "0.005 in"}, "stop"),
        ("rings", "side of top ring", {"rings.top.height": "0.0610 in"}, "stop"),
        ("rings", "side of top ring", {"rings.top.height": "0.0550 in"}, "look"),
        ("rings", "back of top ring", {"rings.top.wall": "0.215 in"}, "stop"),
        ("rings", "back of top ring at the wall", {"rings.top.wall": "0.189 in"}, "look"),
        ("rings", "top ring above TDC", {"block.deck_height": "8.70 in"}, "stop"),
        ("rings", "lower rail below BDC", {"block.bore.length": "4.0 in"}, "stop"),
    ],
)  # fmt: skip
def test_a_figure_leaves_its_limit_where_the_check_says_so(key, name, changes, expected):
    check = next(check for check in CHEAP if check.key == key)
    section = check.run(engine("tern", changes), "in")
    agrees(section)
    margins = next(f for f in section.figures if f.name == name).margins
    worst = max((grave for left, grave in margins if left < 0.0), key=GRAVE.index, default="")
    assert worst == expected


def test_a_bolt_left_loose_opens_at_any_speed():
    built = AS_DESIGNED.with_bore(3, bolts_loose=True)
    check = next(check for check in CHEAP if check.key == "fasteners")
    section = check.run(engine("tern", {}, built), "in")
    agrees(section)
    assert [f.name for f in section.figures if f.bore == 3] == ["joint opens at"]


@pytest.mark.parametrize("name", ["knot"])
def test_every_certified_clearance_is_a_figure(name):
    section = next(check for check in checks() if check.key == "clearances").run(assembly(name), "in")
    assert len(section.figures) == len(section.rows) > 0
    agrees(section)


def test_a_certified_figure_counts_with_its_half_width_and_a_limit_met_exactly_is_kept():
    def left(value, least, most=None, within=0.0, below="stop"):
        return Figure("x", None, value, least, most, "length", 0, "x", "by hand", below, within=within).margin

    assert left(1.0, 0.9, within=0.2) == pytest.approx(-0.1)
    assert left(1.0, 0.9, 1.05) == pytest.approx(0.05)
    assert left(0.3, 0.1 + 0.2) == 0.0
    assert left(1.0, 0.9, 0.95) == pytest.approx(-0.05)
    assert left(0.5, 0.9, below="note") is None


@pytest.mark.parametrize("share, outside", [(0.999, True), (1.001, False)])
def test_the_joint_opens_at_its_least_speed_where_the_torque_no_longer_holds_it(share, outside):
    # A faster engine, so that the joint and not the bolt's proof load asks for torque.
    check = next(check for check in CHEAP if check.key == "fasteners")
    quick = engine("knot", {"engine.speed": "9000 rpm"})
    holds = check.run(quick, "mm").rows[0]["holds_nm"].value
    torque = {"engine.speed": "9000 rpm", "rod.bolt.torque": f"{share * holds:.9f} N*m"}
    section = check.run(engine("knot", torque), "mm")
    agrees(section)
    opens = next(f for f in section.figures if f.name == "joint opens at")
    assert (opens.margin < 0.0) == outside


@pytest.mark.parametrize("web, grave", [("20 mm", "look"), ("20.2 mm", "stop")])
def test_a_rod_too_wide_for_its_bore_is_as_grave_as_the_way_from_below_is_narrow(web, grave):
    found = changed("dunlin", rod=WIDE, block={"web": web})
    section = next(check for check in CHEAP if check.key == "passage").run(found, "mm")
    agrees(section)
    assert {held(section)[row] for row in range(len(section.rows))} == {grave}
