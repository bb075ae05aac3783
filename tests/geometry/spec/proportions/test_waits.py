"""Which answers wait for which values: never one from proportions alone, never a wait for what is written."""

import re
import tomllib

import pytest

from geometry.assembly import assemble
from geometry.checks.section import checks
from geometry.spec.described import load_described
from geometry.spec.proportions.table import usual
from geometry.spec.proportions.waits import FIGURE_NEEDS, NEEDS, waiting, waiting_figures
from tests.geometry import fleet

TWENTY = """
[engine]
name = "Twenty values"
layout = "vee"
bank_angle = "90 deg"
numbering = { left = [1, 3, 5, 7], right = [2, 4, 6, 8] }
leading_bank = "left"
speed = "5500 rpm"
[crank]
stroke = "3.48 in"
throws = "cross-plane"
[rod]
length = "5.7 in"
[piston]
compression_height = "1.56 in"
[piston.pin]
diameter = "0.927 in"
[rings.top]
gap = "18 thou"
[rings.second]
gap = "20 thou"
[block]
deck_height = "9.025 in"
[block.bore]
diameter = "4.030 in"
[gasket]
thickness = "0.040 in"
bore = "4.100 in"
[head]
chamber = "64 cc"
"""


@pytest.fixture(scope="module")
def twenty(tmp_path_factory):
    file = tmp_path_factory.mktemp("twenty") / "twenty.toml"
    file.write_text(TWENTY, encoding="utf-8")
    return load_described(file)


def sections(spec):
    assembly = assemble(spec)
    return {check.key: check.run(assembly, "in") for check in checks() if check.key != "clearances"}


def test_some_twenty_values_answer_targets_clock_displacement_compression_and_motion(twenty):
    written = [value for value in twenty.values if value.origin != "filled"]
    assert len(written) <= 20
    waits, figures = waiting(twenty), waiting_figures(twenty)
    assert set(waits) == {"clearances", "sides", "passage", "fasteners", "balance"}
    for figure in (("summary", "compression ratio"), ("bores", "deck"), ("bores", "to head"),
                   ("rings", "gap of top ring"), ("rings", "hot gap of second ring")):  # fmt: skip
        assert figure not in figures
    found = sections(twenty.spec)
    summary = found["summary"].rows[0]
    swept_cc = 8 * 3.14159265 / 4 * 4.03**2 * 3.48 * 16.387064
    assert summary["displacement_cm3"].value == pytest.approx(swept_cc, rel=1e-4)
    # by hand: clearance volume = 64 cc chamber + gasket pi/4 4.1^2 0.040 in + deck pi/4 4.03^2 0.025 in
    over_cc = 64 + 3.14159265 / 4 * (4.1**2 * 0.040 + 4.03**2 * 0.025) * 16.387064
    assert summary["compression_ratio"] == pytest.approx(1 + swept_cc / 8 / over_cc, rel=0.003)
    top = next(row for row in found["rings"].rows if row["name"] == "top")
    assert top["gap_min_mm"].value == pytest.approx(0.0035 * 4.030 * 25.4)
    assert found["bores"].rows[0]["stroke_mm"].value == pytest.approx(3.48 * 25.4)
    assert all(row["rules_kept"] for row in found["clocks"].rows)


def test_what_is_only_filled_is_waited_for(twenty):
    waits, figures = waiting(twenty), waiting_figures(twenty)
    assert waits["clearances"] == (
        "block.bore.length", "rod.bolt.spacing", "crank.counterweight.radius", "block.pan_rail.inside",
    )  # fmt: skip
    assert figures["fits", "rod oil clearance"] == (
        "crank.pin.diameter",
        "rod.big_end.bore",
        "rod.bearing.wall",
    )
    assert figures["rings", "back of top ring"] == ("rings.top.wall", "piston.grooves[].root")
    assert figures["fits", "pin to wall"] == ("piston.pin.length",)


@pytest.mark.parametrize("name", fleet.NAMES)
def test_a_whole_file_waits_for_nothing(name):
    described = load_described(fleet.FOLDER / f"{name}.toml")
    assert waiting(described) == {}
    assert waiting_figures(described) == {}


def test_about_is_enough_to_answer_from(tmp_path):
    file = tmp_path / "about.toml"
    file.write_text(
        TWENTY + '[crank.pin]\nwidth = "about 1.9 in"\nfillet = "about 0.1 in"\n', encoding="utf-8"
    )
    data = tomllib.loads(file.read_text(encoding="utf-8"))
    assert data["crank"]["pin"]
    assert waiting(load_described(file))["sides"] == ("rod.big_end.width",)


def test_the_table_names_only_keys_sections_and_figures_that_there_are():
    found = sections(fleet.spec("dunlin"))  # it has a notch, so that every section answers
    assert set(NEEDS) <= {*found, "clearances"}
    names = {(key, figure.name) for key, section in found.items() for figure in section.figures}
    one = {(section, re.sub(r"^(main .*) \d+$", r"\1 1", name)) for section, name in FIGURE_NEEDS}
    assert one <= names  # a figure of each main, up to those of the longest engine
    for keys in (*NEEDS.values(), *FIGURE_NEEDS.values()):
        assert all(usual(key) is not None and usual(key).kind != "chosen" for key in keys)


def test_a_fit_waits_for_the_part_that_was_filled_in_once_the_file_has_its_other_half(tmp_path, twenty):
    asked = [name for section, name in waiting_figures(twenty) if section == "fits"]
    assert not [
        name for name in asked if name.startswith(("main", "pin in", "pin end"))
    ]  # it has none of them
    file = tmp_path / "halves.toml"
    more = (
        '[block.main_bearing]\nbore = "2.7 in"\nwidth = "0.7 in"\n[piston.boss]\nbore = "0.9272 in"\n'
        '[piston.clips]\napart = "2.9 in"\n'
    )
    file.write_text(TWENTY + more, encoding="utf-8")
    figures = waiting_figures(load_described(file))
    assert figures["fits", "main oil clearance 3"] == ("crank.main.diameter",)
    assert figures["fits", "pin end float"] == ("piston.pin.length",)
    assert ("fits", "pin in rod") not in figures
