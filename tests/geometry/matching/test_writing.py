"""The outcome written down: tables for the engine file that give the same clearances, and entries of the record."""

from datetime import date

import pytest

from geometry.assembly import assemble
from geometry.checks.fits import fits
from geometry.kinematics.layout import build_layout
from geometry.matching.fragment import fragment
from geometry.matching.outcome import outcome_of
from geometry.matching.recorded import entries_of
from geometry.matching.solve import best
from geometry.record.catalogue import lay_out
from geometry.record.entries import save_entries
from geometry.record.load import load_record
from geometry.record.overlay import overlay
from geometry.record.place import BenchPlace
from geometry.record.store import previous_path
from geometry.record.verdicts import entries_shown, verdicts
from geometry.rings.fitted import bore_rings
from geometry.spec.load import load_engine
from geometry.stack import stack_of
from tests.geometry.fleet import FOLDER, spec
from tests.geometry.matching.shelves import INCH, demo, shelf_of


def without(text, *columns):
    """A parts file without some columns of its first table."""
    lines = text.split("\n")
    start = next(k for k, line in enumerate(lines) if line.startswith("bore,"))
    drop = {k for k, cell in enumerate(lines[start].split(",")) if any(name in cell for name in columns)}
    for k in range(start, start + 9):
        lines[k] = ",".join(cell for n, cell in enumerate(lines[k].split(",")) if n not in drop)
    return "\n".join(lines)


@pytest.mark.parametrize("system", ["in", "mm"])
def test_the_tables_give_the_engine_the_clearances_that_were_told(tmp_path, system):
    """What the engine file has one of for all bores, deck height and crankpin, is left out of the shelf here."""
    shelf = shelf_of(without(demo(), "deck height", "crankpin"), spec("tern"))
    found = best(shelf)
    outcome = outcome_of(shelf, build_layout(spec("tern")), found)
    path = tmp_path / "matched.toml"
    text = (FOLDER / "tern.toml").read_text(encoding="utf-8")
    path.write_text(f"{text}\n{fragment(shelf, found, system)}", encoding="utf-8")
    engine = load_engine(path)
    built = assemble(engine)
    told = {(fit.bore, fit.name): fit.value_mm for fit in outcome.fits}
    for bore in range(1, 9):
        held = {one.name: one.value_mm for one in fits(built, built.layout.site(bore))}
        assert held["skirt_clearance"] == pytest.approx(told[bore, "piston to wall"], abs=2e-5)
        assert held["rod_oil_clearance"] == pytest.approx(told[bore, "oil clearance"], abs=5e-5)
        deck = stack_of(engine, built.layout, bore).deck_mm
        assert deck == pytest.approx(told[bore, "deck"], abs=5e-5)
        (rings,) = bore_rings(engine, built.layout, built.built, bore)
        assert rings.rings[0].gap_mm == pytest.approx(told[bore, "top ring gap"], abs=2e-5)
    one = engine.of_bore(5)
    weights = {part.name: part.sizes["mass"].value for part in shelf.parts["piston"]}
    assert one.piston.mass_kg == pytest.approx(weights[outcome.goes[5]["piston"]], abs=1e-6)


def test_what_has_no_key_bore_by_bore_is_said():
    text = fragment(shelf := shelf_of(demo(), spec("tern")), best(shelf), "in")
    for words in ("deck height", "crankpin", "piston pins"):
        assert any(line.startswith("# Left out") and words in line for line in text.split("\n"))


RECORD = """# kept
[record]
engine = "Tern"

[bore.3]
# measured twice
piston.skirt = { value = "4.0300 in", by = "MK" }
rod.way = { value = "correct", by = "MK" }
"""


def test_the_record_keeps_what_it_had_and_holds_what_was_chosen(tmp_path):
    path = tmp_path / "tern.record.toml"
    path.write_text(RECORD, encoding="utf-8")
    shelf = shelf_of(demo(("A, 4.0273", "A, 4.0273 +- 0.0001, 1.4505, 0.94045, 511.8")), spec("tern"))
    found = best(shelf)
    goes = outcome_of(shelf, build_layout(spec("tern")), found).goes
    save_entries(path, spec("tern"), entries_of(shelf, found, "in", "EH", date(2026, 3, 24)))
    text = path.read_text(encoding="utf-8")
    for kept in ("# kept", "# measured twice", 'rod.way = { value = "correct", by = "MK" }'):
        assert kept in text
    assert previous_path(path).read_text(encoding="utf-8") == RECORD
    record = load_record(path, spec("tern"))
    sizes = {part.name: part.sizes for part in shelf.parts["piston"]}
    for bore in range(1, 9):
        place = BenchPlace("bore", bore)
        assert record.entry(place, "parts").chosen() == goes[bore]
        skirt = record.entry(place, "piston.skirt")
        assert skirt.value_mm == pytest.approx(sizes[goes[bore]["piston"]]["diameter"].value)
        is_a = goes[bore]["piston"] == "A"
        assert skirt.resolution_mm == (pytest.approx(0.0002 * INCH) if is_a else None)
    shown = [
        row for row in entries_shown(spec("tern"), record, bore=3, system="in") if row["entry"] == "parts"
    ]
    assert shown[0]["reading"].startswith(f"piston {goes[3]['piston']}, pin {goes[3]['pin']}")
    assert not [verdict for verdict in verdicts(spec("tern"), record) if verdict.path == "parts"]
    built = overlay(spec("tern"), record)
    rods = {part.name: part.sizes["length"].value for part in shelf.parts["rod"]}
    change = built.bore(3).rod_length_change_mm
    assert change == pytest.approx(rods[goes[3]["rod"]] - 5.850 * INCH, abs=1e-6)
    assert lay_out(spec("tern"), record).places("bore")
