"""The pages of the bores: which share one, that they ask for what the record asks for, and what stands in the boxes."""

import numpy as np
import pytest

from geometry.kinematics.poses import inverse, rot_x_deg
from geometry.record.catalogue import lay_out
from geometry.record.form import FORM
from geometry.record.load import load_record
from geometry.record.todo import todo
from geometry.spec.rod import RodBolt
from tests.viewer.sheet.conftest import DEMOS
from viewer.job import read_job
from viewer.sheet.asked import SheetAsked
from viewer.sheet.content import SheetTable, SideBySide
from viewer.sheet.pages import bore
from viewer.sheet.pages.boxes import SourceLetters, steps_of, tightening_words


@pytest.fixture(scope="module")
def asked():
    """Tern as she binds, without the answers of the checks, which these pages do not need."""
    job = read_job(DEMOS / "tern.toml")
    record = load_record(DEMOS / "tern_binding.record.toml", job.assembly.spec)
    bench = lay_out(job.assembly.spec, record, "in")
    return SheetAsked(job, job, record, bench, (), None, "a4")


def lines_of(bench, bores):
    return [line for step in steps_of(bench, bores, SourceLetters()) for line in step.lines]


def test_bores_of_a_bank_share_a_page_and_the_banks_do_not(asked):
    assert [group.bores for group in bore.groups_of(asked)] == [(1, 3, 5, 7), (2, 4, 6, 8)]


@pytest.mark.parametrize("number", [1, 2])
def test_the_boxes_are_what_the_record_asks_for_in_its_order_and_words(asked, number):
    engine = asked.bench.engine
    wanted = [one for one in todo(engine, FORM(), bore=number, system="in") if one.step != "turning torque"]
    lines = [
        line for line in lines_of(lay_out(engine, FORM(), "in"), (number,)) if line.part in ("", "along")
    ]
    assert [line.path for line in lines] == [one.entry for one in wanted]
    for line, one in zip(lines, wanted, strict=True):
        assert line.what.startswith(one.what)
        assert line.limit == one.limit
        assert bool(line.letter) == bool(one.source)
        assert all(cell.kind in ("box", "pair", "tick") and not cell.text for cell in line.cells)


def test_what_was_read_stands_in_its_box_with_its_verdict_and_what_to_file(asked):
    rows = {(line.path, line.part): line.cells for line in lines_of(asked.bench, (1, 3, 5, 7))}
    gap, file = rows["ring.top.gap", ""], rows["ring.top.gap", "file"]
    assert [(cell.text, cell.mark, cell.under) for cell in gap[1:3]] == [
        ("18.0 | 19.0 thou", "good", "within"), ("9.0 | 10.0 thou", "bad", "outside"),
    ]  # fmt: skip
    # 0.0035 in per inch of a bore of 4.030 in is 14.1 thou, less the blade of 10 thou that is tight, by whole blades
    assert [cell.text for cell in file] == ["", "zero", "4 thou", ""]
    assert [cell.mark for cell in rows["rod.way", ""]] == ["", "bad", "", ""]


def test_the_gap_of_the_engine_file_is_what_to_file_for(asked):
    aims = [line.limit for line in lines_of(asked.bench, (1,)) if line.part == "file"]
    assert aims == [f"aim {gap} thou, engine file" for gap in ("18.0", "20.0", "25.0", "25.0")]


def test_rod_side_is_asked_for_once_on_a_pin(asked):
    assert "rod.side" in {line.path for line in lines_of(asked.bench, (1, 3, 5, 7))}
    assert "rod.side" not in {line.path for line in lines_of(asked.bench, (2, 4, 6, 8))}


def test_the_crank_is_turned_to_where_the_piston_stands_lowest(asked, monkeypatch):
    monkeypatch.setattr(bore, "draw_dial", lambda *look: look)  # only the table is asked for
    assembly = asked.designed.assembly
    angles = np.arange(0.0, 360.0, 2.0)
    poses = assembly.frame_poses(angles)
    for group in bore.groups_of(asked)[1:]:
        blocks = bore._push(asked, group, 180.0)
        table = next(
            block for side in blocks if isinstance(side, SideBySide) for column in side.columns for block in column
            if isinstance(block, SheetTable)
        )  # fmt: skip
        for number, row in zip(group.bores, table.rows, strict=True):
            up = inverse(rot_x_deg(assembly.layout.site(number).bank_deg))
            heights = (up @ poses[f"P{number}"])[:, 2, 3]
            lowest = float(angles[heights.argmin()])
            assert row[0].text == str(number)
            apart = (float(row[1].text.removesuffix("°")) - lowest + 180.0) % 360.0 - 180.0
            assert abs(apart) <= 3.0


def test_pictures_and_boxes_of_the_single_are_words_in_the_file(knot_pdf):
    said = " ".join(" ".join(page.extract_text() for page in knot_pdf.pages).split())
    words = (
        "pin axis",
        "FRONT",
        "TOP RING",
        "crank cheek",
        "tangs, numbers: right",
        "RING GAPS",
        "Limits from: (a)",
    )
    assert [one for one in words if one not in said] == []


@pytest.mark.parametrize(
    ("bolt", "words"),
    [
        ({"torque_nm": 60.0}, "both in turn: to 30.0 N·m, then to 60.0 N·m (half first"),
        ({"stages": ((30.0, None), (None, 90.0))}, "stage by stage: to 30.0 N·m, then 90° further."),
        ({"torque_nm": None}, "the engine file gives none"),
        ({"torque_nm": 60.0, "stretch_mm": 0.14}, "Or by stretch: 0.140 mm"),
    ],
)
def test_how_rod_bolts_are_tightened_follows_the_engine_file(bolt, words):
    class Stage:
        def __init__(self, pair):
            self.torque_nm, self.angle_deg = pair

    stages = [Stage(pair) for pair in bolt.get("stages", ())]
    made = RodBolt.model_construct(**{"torque_nm": None, "stretch_mm": None} | bolt | {"stages": stages})
    assert words in tightening_words(made, "mm")


def test_a_bolt_read_by_its_stretch_is_not_asked_for_by_torque(asked, tmp_path):
    path = tmp_path / "stretch.record.toml"
    path.write_text('[record]\nengine = "Tern"\n[bore.1]\nbolt.major.stretch = { value = "5.5 thou" }\n')
    bench = lay_out(asked.bench.engine, load_record(path, asked.bench.engine), "in")
    rows = {line.path: line.cells[0] for line in lines_of(bench, (1,)) if line.path.startswith("bolt.")}
    assert "bolt.major.torque" not in rows
    assert "bolt.minor.torque" in rows
    assert rows["bolt.major.stretch"].text == "5.5 thou"
