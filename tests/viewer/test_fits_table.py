"""The table of fits as it is printed: rows that are alike named by their places, and repeated rows over doubt."""

import pytest

from geometry.assembly import Assembly
from geometry.built import AS_DESIGNED, built_linkage
from geometry.checks.fits import CHECK
from geometry.checks.section import Column
from geometry.doubts.answers import Doubtful
from geometry.kinematics.layout import build_layout
from geometry.spec.described import load_described
from tests.geometry import fleet
from viewer.page.sections import sections_of
from viewer.reports.doubts import OverDoubt
from viewer.reports.tables import merged

WHERE, WHAT = Column("place", "where"), Column("what", "fit")


def section(name="tern", built=AS_DESIGNED):
    spec = fleet.spec(name)
    layout = build_layout(spec)
    return CHECK.run(Assembly(spec, layout, built, built_linkage(layout, built), ()), "in")


def test_places_that_read_alike_are_named_together():
    every = [{"place": f"main {n}", "what": "oil"} for n in (1, 2, 3)]
    every += [{"place": f"bore {n}", "what": "skirt" if n != 2 else "loose skirt"} for n in (1, 2, 3)]
    every += [{"place": "crank", "what": "end play"}]
    found = [cells[0] for cells, _ in merged(every, (WHERE, WHAT), "in")]
    assert found == ["all mains", "bores 1, 3", "bore 2", "crank"]


def test_the_table_of_tern_has_a_row_for_each_fit_and_no_more():
    found = section()
    cells = [cells for cells, _ in merged(found.rows, found.columns, "in")]
    assert len(cells) == len({row["short"] for row in found.rows})
    assert {cell[0] for cell in cells} == {"all mains", "crank", "all bores"}


def test_the_page_links_bores_and_no_mains():
    built = AS_DESIGNED.with_bore(3, crush_mm=0.05).with_main(2, crush_mm=0.05)
    (data,) = sections_of([section(built=built)], "in")
    bores = {(row["cells"][0], row["cells"][1]): row["bores"] for row in data["rows"]}
    assert bores["bore 3", "big-end shell crush"] == [3]
    assert bores["main 2", "main shell crush"] == []


def over(answers=(), waiting=(), waiting_figures=()):
    by = {(one.section, one.name, one.bore): one for one in answers}
    known = load_described(fleet.FOLDER / "knot.toml")
    return OverDoubt(
        known, by, "", waiting=dict.fromkeys(waiting, ()), waiting_figures=dict.fromkeys(waiting_figures, ())
    )


def test_a_repeated_row_has_the_verdict_of_its_own_check_over_the_doubt():
    head = Doubtful("bores", "to head", 1, "length", 1.52, 0.9, 2.0, 0.2, -0.3, 0.6)
    own = Doubtful("fits", "rod oil clearance", 1, "length", 0.04, 0.03, 0.04, 0.005, 0.004, 0.006)
    (found,) = over([head, own]).settled([section("knot")], "mm")
    row = next(r for r in found.rows if r["fit"] == "quench")
    assert (row["settled"], row["severity"]) == ("OPEN", "look")
    assert found.findings == ()  # it is told where it is judged


@pytest.mark.parametrize(
    "what", [{"waiting": ["rings"]}, {"waiting_figures": [("rings", "side of top ring")]}]
)
def test_a_repeated_row_waits_where_its_own_check_does(what):
    (found,) = over(**what).settled([section("knot")], "mm")
    row = next(r for r in found.rows if r["short"] == "top ring, side")
    assert (row["value_mm"], row["verdict"], row["severity"]) == (None, None, "")
    kept = next(r for r in found.rows if r["fit"] == "deck")
    assert kept["value_mm"] is not None
