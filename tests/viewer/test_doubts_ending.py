"""How a check over values in doubt ends, the one row of the engine, and a file of little more than bore and stroke."""

import json
from dataclasses import replace

import pytest
from click.testing import CliRunner

from geometry.checks.section import Amount, Column, Figure, Finding, Section, length
from geometry.doubts.answers import Doubtful, Leaning
from geometry.spec.described import load_described
from tests.viewer.test_doubts_report import INCH, KNOT, answer, over, section
from viewer import terminal
from viewer.cli import cli
from viewer.reports import doubts
from viewer.reports.ending import clashes_told, open_line, together, worst_open
from viewer.reports.tables import print_report


def whole_engine(value=9.5, lowest=9.0, highest=10.05, assumed=True):
    row = {"displacement_cm3": Amount(2000.0, "volume"), "compression_ratio": value}
    figures = (
        Figure("displacement", None, 2000.0, None, None, "volume", 0, "displacement_cm3"),
        Figure("compression ratio", None, value, 7.0, 13.0, "ratio", 0, "compression_ratio", "by hand"),
    )
    columns = (Column("displacement_cm3", "displacement"), Column("compression_ratio", "compression"))
    lean = (Leaning("head.chamber", -1.0, highest - value, lowest - value, assumed),)
    margin = min(value - 7.0, 13.0 - value)
    ratio = Doubtful(
        "summary",
        "compression ratio",
        None,
        "ratio",
        value,
        lowest,
        highest,
        margin,
        lowest - 7.0,
        3.0,
        lean,
        lean,
    )
    return Section("summary", "Engine", columns, (row,), single=True, figures=figures), ratio


@pytest.mark.parametrize(
    "lowest, assumed, said",
    [
        (9.0, True, "9.50 (9.00 to 10.05, within whatever the doubt, rests on 1 assumed)"),
        (9.0, False, "9.50 (9.00 to 10.05, within whatever the doubt)"),
        (6.5, True, "9.50 (6.50 to 10.05, OPEN, wanted 7 to 13, rests on 1 assumed)"),
    ],
)
def test_the_one_row_of_the_engine_says_its_interval_behind_the_number(lowest, assumed, said, capsys):
    section, ratio = whole_engine(lowest=lowest, assumed=assumed)
    told = over(ratio)
    (found,) = told.settled([section], "mm")
    assert found.rows[0]["settled"] == ("within" if lowest > 7 else "OPEN")  # --json
    print_report("Title", [found], "mm", over=told)
    lines = [line.rstrip() for line in capsys.readouterr().out.splitlines()]
    assert f"compression   {said}" in lines
    assert not {"lowest", "highest", "verdict", "assumed", "Engine:"} & {line.split(" ")[0] for line in lines}


def test_open_answers_stand_worst_first_and_name_their_bores_once():
    grave = [answer(0.8, 1.2, bore) for bore in (1, 2)]
    mild = replace(answer(0.89, 1.2, 1), name="y")
    at_nominal = replace(answer(0.85, 1.2, 1), name="z", margin=-0.01)
    look = replace(answer(0.5, 1.2, 1, severity="look"), name="w")
    found = worst_open([look, mild, *grave, at_nominal])
    assert [(one.first.name, one.bores) for one in found] == [
        ("z", (1,)),
        ("x", (1, 2)),
        ("y", (1,)),
        ("w", (1,)),
    ]
    figures = {("sides", "x", 1): section().figures[0]}
    assert open_line(found[1], figures, 2, "mm") == (
        "x, all bores: 0.800 to 1.200 mm, wanted at least 0.900 mm; most on rod.length"
    )
    assert open_line(found[1], figures, 8, "mm").startswith("x, bores 1, 2: ")
    assert open_line(found[0], {}, 8, "mm").endswith("; outside as it stands")
    (lost,) = worst_open(
        [replace(answer(0.95, 1.2), margin_lowest=-1e-12)]
    )  # at some point nothing goes together
    assert open_line(lost, figures, 8, "mm").endswith("; within wherever it could be worked out")


def test_of_like_distances_the_worst_is_told_and_the_others_are_counted():
    def pair(name, lowest):
        return replace(answer(lowest, 1.2, None), section="clearances", name=name)

    (found,) = worst_open([pair("cheek 1 : web, left", 0.8), pair("cheek 2 : web, right", 0.7)])
    assert (found.first.name, found.more) == ("cheek 2 : web, right", 1)
    assert "0.700 to 1.200 mm" in open_line(found, {}, 8, "mm")
    assert open_line(found, {}, 8, "mm").endswith("; 1 more such, none worse")


def test_findings_that_say_the_same_of_several_bores_are_told_once():
    same = [Finding("loose", "note", bore, "too wide", "a thinner one") for bore in (1, 3)]
    other = Finding("loose", "note", 2, "far too wide")
    assert [(f.bore, f.text) for f in together([*same, other], 3)] == [
        (None, "bores 1, 3: too wide"),
        (2, other.text),
    ]
    assert [f.text for f in together(same, 2)] == ["all bores: too wide"]


def test_a_rule_is_not_told_where_an_open_answer_tells_of_it_or_nobody_wrote_its_values():
    def clash(*keys):
        return Finding("clash_within_doubt", "note", None, f"within the doubt of {keys}: bad", keys=keys)

    rules = (clash("rod.length"), clash("rod.length", "crank.stroke"), clash("gasket.bore"))
    known = load_described(KNOT)
    values = tuple(replace(v, origin="filled") if v.key == "gasket.bore" else v for v in known.values)
    told = replace(over(answer(0.8, 1.2), clashes=rules), described=replace(known, values=values))
    assert [rule.keys for rule in clashes_told(told)] == [("rod.length", "crank.stroke")]
    settled = replace(told, answers=doubts.by_key([answer(0.95, 1.2)]))
    assert [rule.keys for rule in clashes_told(settled)] == [("rod.length",), ("rod.length", "crank.stroke")]


def test_the_end_stands_in_its_order(monkeypatch, capsys):
    monkeypatch.setattr(terminal, "PLAIN_WIDTH", 80)
    stop = Finding("bad", "stop", 1, "y is too small", "a larger one", figure="y")
    note = Finding("hint", "note", 1, "look at it")
    rule = Finding(
        "clash_within_doubt", "note", None, "within the doubt of crank.stroke: odd", keys=("crank.stroke",)
    )
    told = over(answer(0.8, 1.2), clashes=(rule,), next_lines=("What to measure next:", "  1  rod.length"))
    print_report("Title", told.settled([section(findings=(stop, note))], "mm"), "mm", over=told)
    text = capsys.readouterr().out
    order = ["0 within whatever the doubt, 1 open, 1 outside.", "STOP  bore 1: y is", "OPEN  x, bore 1", "note  bore 1",
             "note  within the doubt of crank.stroke: odd", "What to measure next:", "  1  rod.length", "exit 1: ",
             "Simplified solids"]  # fmt: skip
    assert [text.index(words) for words in order] == sorted(text.index(words) for words in order)
    assert max(map(len, text.splitlines())) <= 80


SIX = """
[engine]
layout = "vee"
bank_angle = "90 deg"
numbering = { left = [1, 3, 5, 7], right = [2, 4, 6, 8] }
[crank]
stroke = "3.48 in"
throws = "cross-plane"
[block.bore]
diameter = "4.030 in"
"""


def test_a_file_of_bore_and_stroke_has_its_ring_targets_and_nothing_from_proportions(tmp_path):
    file = tmp_path / "six.toml"
    file.write_text(SIX, encoding="utf-8")
    done = CliRunner().invoke(cli, ["check", str(file), "--json"])
    assert done.exit_code == 0
    said = json.loads(done.stdout)
    assert len(said["rings"]) == 32
    for row in said["rings"]:
        least = 0.0035 * 4.030 * INCH if row["name"] in ("top", "second") else 0.015 * INCH
        assert row["gap_min_mm"] == pytest.approx(least, abs=1e-5)
        for cell in ("gap_mm", "gap_verdict", "filing_mm", "hot_gap_mm", "side_mm", "side_verdict", "back_mm",
                     "back_at_wall_mm", "wall_above_mm", "depth_at_bottom_mm", "gap_area_mm2",
                     "gap_area_in_turn_mm2"):  # fmt: skip
            assert row[cell] is None, (row["name"], cell)
    summary = said["summary"]
    assert summary["displacement_cm3"] == pytest.approx(
        8 * 3.14159265 / 4 * 4.03**2 * 3.48 * 16.387064, rel=1e-5
    )
    for cell in ("compression_ratio", "rod_stroke_ratio", "speed_rpm", "mean_piston_speed_m_s"):
        assert summary[cell] is None, cell
    assert said["answers"] == [] or {one["name"] for one in said["answers"]} == {"displacement"}
    text = CliRunner().invoke(cli, ["check", str(file)]).stdout
    row = next(line for line in text.splitlines() if line.startswith("all   top ring"))
    assert row.split() == ["all", "top", "ring", "-", "0.0141", "in", "0.0201", "in", *6 * ["-"]]
    assert "squish" not in text
    assert "clocks: " not in text


def test_the_squish_is_not_spoken_of_where_the_gasket_is_waited_for(tmp_path):
    # 0.025 in of deck and any gasket by proportion are more than 0.060 in, but nobody knows the gasket
    file = tmp_path / "no_gasket.toml"
    more = '[rod]\nlength = "5.7 in"\n[piston]\ncompression_height = "1.56 in"\n[block]\ndeck_height = "9.025 in"\n'
    file.write_text(SIX + more, encoding="utf-8")
    text = CliRunner().invoke(cli, ["check", str(file)]).stdout
    row = next(line for line in text.splitlines() if line.startswith("1 "))
    assert "0.0250 in" in row
    assert row.split()[-5:] == ["-", "-", "74.3°", "-", "0"]
    assert "piston to head" not in text


def test_a_cell_that_waits_is_blank_but_not_where_a_figure_of_its_own_stands():
    two = section()
    two = replace(two, rows=(*two.rows, {"bore": 3, "x_mm": length(1.0)}))
    told = over(answer(0.95, 1.2), waiting_cells={("sides", "x_mm"): ("rod.length",)})
    (found,) = told.settled([two], "mm")
    assert [row["x_mm"] is None for row in found.rows] == [False, False, True]
    assert told.waiting_lines == ["Rods on their pins: what shows - waits for rod.length: not in the file"]


@pytest.mark.parametrize("width, left_out", [(94, 0), (93, 1), (81, 2), (69, 3), (60, 3)])
def test_a_table_leaves_columns_out_before_it_breaks_a_number(width, left_out, monkeypatch, capsys):
    # By hand: 4 + 4 + 8 + 8 + 8 + 7 + 7 and six gaps of 2 are 58; each column more takes 12.
    two = section()
    extra = ["middle", "right", "far right"]
    rows = tuple({**row, **{name: length(123.456) for name in extra}} for row in two.rows)
    lead = (two.columns[0], Column("kind", "kind"), two.columns[1], Column("x_mm", "at least"))
    columns = (*lead, *(Column(name, name) for name in extra), Column("x_mm", "at most"))
    two = replace(two, rows=rows, columns=columns, figures=(*two.figures, replace(two.figures[0], name="y")))
    told = over(answer(0.8, 1.2), answer(0.8, 1.2, 2), replace(answer(1.0, 1.0, leanings=()), name="y"))
    monkeypatch.setattr(terminal, "PLAIN_WIDTH", width)
    print_report("Title", told.settled([two], "mm"), "mm", over=told)
    text = capsys.readouterr().out
    row = next(line for line in text.splitlines() if "1.000 mm  1.000 mm" in line)
    assert row.split()[-2:] == ["OPEN", "1"]
    assert (row.count(" 1.000 mm"), row.count("123.456 mm")) == (3, 3 - left_out)
    named = ", ".join(extra[3 - left_out :])
    assert (f"No room for: {named}. A wider terminal" in " ".join(text.split())) == (left_out > 0)
