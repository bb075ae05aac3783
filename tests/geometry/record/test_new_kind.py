"""A new kind of reading is one row in one new file: recorded, asked for, judged, shown, laid over the design."""

import json
import subprocess
import sys
from dataclasses import replace

import pytest

from geometry.errors import PartError
from geometry.record.catalogue import KIND_AT, KINDS, catalogued
from geometry.record.entry import Entry, Way
from tests.geometry.record.bench_fixtures import DEMOS

FILE = """
from geometry.record.entry import ClearanceReading
from geometry.record.kind import LimitKind, ReadingKind
from geometry.record.limits import Cure, ReadingLimit
from geometry.rings.source import Source

FIT = LimitKind(
    "pin_fit", "Pin in its boss.", Cure("stop", "too tight: the pin seizes", "hone the boss"),
    Cure("look", "too loose: the pin knocks", "a thicker pin"),
    lambda at: ReadingLimit(0.005, 0.015, Source("a sheet made up for this test", "illustrative")),
)
KINDS = (
    ReadingKind(
        "pin.fit", "bore", "bores", "pin in its boss", ClearanceReading, limit=FIT, instrument="micrometer_mm",
        lay=lambda built, at: built.with_bore(at.number, shell_proud_mm=at.known.middle),
    ),
)
"""
USE = """
import json, sys
import geometry.record.kinds
geometry.record.kinds.__path__.append(sys.argv[1])
from geometry.record.entries import set_entries
from geometry.record.load import load_record, record_of
from geometry.record.overlay import overlay
from geometry.record.todo import todo
from geometry.record.verdicts import entries_shown, verdicts
from geometry.spec.load import load_engine

engine, path = load_engine(sys.argv[2]), sys.argv[1] + "/bench.toml"
asked = [task for task in todo(engine, load_record(path, engine), bore=3, system="mm") if task.entry == "pin.fit"]
set_entries(path, engine, "bore 3", ["pin.fit", "0.020", "mm", "resolution=0.002mm"])
record = load_record(path, engine)
(verdict,), (shown,) = verdicts(engine, record, system="mm"), entries_shown(engine, record, system="mm")
own = record_of('[limits]\\npin_fit = { most = "0.03 mm", source = "the sheet" }\\n' + open(path).read(), path, engine)
print(json.dumps({
    "enter": [task.enter for task in asked], "limit": asked[0].limit, "source": asked[0].source,
    "left": [task.entry for task in todo(engine, record, bore=3) if task.entry == "pin.fit"],
    "verdict": [verdict.verdict, verdict.severity, verdict.text, verdict.remedy, verdict.step],
    "own": [found.verdict for found in verdicts(engine, own)],
    "shown": [shown["what"], shown["reading"]], "built": overlay(engine, record).bore(3).shell_proud_mm,
}))
"""


def test_a_file_with_one_row_is_a_kind_of_reading_everywhere(tmp_path):
    (tmp_path / "pin.py").write_text(FILE, encoding="utf-8")
    command = [sys.executable, "-c", USE, str(tmp_path), str(DEMOS / "tern.toml")]
    ran = subprocess.run(command, capture_output=True, text=True, check=True, cwd=DEMOS.parent)
    assert json.loads(ran.stdout) == {
        "enter": ["pin.fit ...mm"], "limit": "0.005 mm to 0.015 mm", "source": "a sheet made up for this test",
        "left": [],
        # 0.020 mm read to 0.002 mm is 0.019 mm at least: above 0.015 mm, and below the 0.03 mm of one's own sheet.
        "verdict": ["outside", "look", "too loose: the pin knocks", "a thicker pin", "bores"], "own": ["within"],
        "shown": ["pin in its boss", "0.020 mm"], "built": 0.02,
    }  # fmt: skip


GAP, TURNED = KIND_AT["bore", "ring.top.gap"], KIND_AT["bore", "rod.way"]


@pytest.mark.parametrize("row, changes, lacks", [
    (GAP, {"step": "washing"}, "no step of the job; give it one of bores"),
    (GAP, {"place": "sump"}, "no place; give it one of bore, main, crank"),
    (GAP, {"path": "Ring Gap"}, "no path; write it as ring.top.gap"),
    (GAP, {"words": ""}, "no words"),
    (GAP, {"entry": str}, "no model of its entry"),
    (GAP, {"limit": None}, "nothing to be held against"),
    (GAP, {"instrument": "eye"}, "no instrument; give it one of feeler_mm"),
    (TURNED, {"wrong": None}, "does not say what it means to be wrong"),
    (TURNED, {"limit": GAP.limit}, "nothing to be held against; give it a limit where it is measured, else"),
])  # fmt: skip
def test_a_row_that_leaves_something_out_is_refused_with_what_it_lacks(row, changes, lacks):
    with pytest.raises(PartError) as refused:
        replace(row, **changes)
    assert lacks in str(refused.value)
    assert str(changes.get("path", row.path)) in str(refused.value)


def test_a_row_must_say_whether_it_is_laid_over_the_design():
    with pytest.raises(TypeError, match="lay"):
        type(TURNED)("pin.way", "bore", "bores", "pin, which way round", Way, expected=TURNED.expected)


@pytest.mark.parametrize("path", ["ring.top.gap", "ring.top", "ring.top.gap.depth"])
def test_two_kinds_cannot_stand_in_one_place_of_the_file(path):
    with pytest.raises(PartError, match=r"ring\.top"):
        catalogued((*KINDS, replace(GAP, path=path)))


def test_two_limits_of_one_name_are_refused():
    with pytest.raises(PartError, match="top_gap"):
        catalogued((*KINDS, replace(GAP, path="ring.top.width", limit=replace(GAP.limit, words="Another."))))


def test_every_kind_has_its_own_model_of_an_entry_and_reads_in_one_line():
    assert all(issubclass(kind.entry, Entry) and "\n" not in kind.words for kind in KINDS)
