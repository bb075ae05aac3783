"""The report over values in doubt: verdicts, exit codes, first line, tables that wait, JSON; by hand on a single.

Knot's crown stops 0.015 in below the deck; with an aluminium rod the head is to be 0.050 in away, so that the gasket
alone decides: less than 0.035 in is too thin.
"""

import json
from dataclasses import replace

import pytest
from click.testing import CliRunner

from geometry.checks.section import Column, Figure, Finding, Section, length
from geometry.doubts.answers import Doubtful, Leaning
from geometry.spec.described import load_described
from tests.geometry.fleet import FOLDER
from viewer import terminal
from viewer.cli import cli
from viewer.job import assumed_line
from viewer.reports import doubts
from viewer.reports.doubts import OverDoubt
from viewer.reports.ending import count_words, exit_words, worst_open
from viewer.reports.tables import print_report, verdict_code

KNOT = FOLDER / "knot.toml"
INCH = 25.4


def check(*words, gasket):
    done = CliRunner().invoke(cli, ["check", str(KNOT), "--set", f"gasket.thickness={gasket}", *words])
    assert done.exception is None or isinstance(done.exception, SystemExit), done.exception
    return done


def to_head(done):
    """The finding about piston and head."""
    return next(
        f for f in json.loads(done.stdout)["findings"] if f["text"].startswith(("to head", "piston to head"))
    )


def test_open_answers_are_findings_and_exit_1_unless_they_are_accepted():
    # 0.015 + 0.045 in, 15 thou either way: 0.045 to 0.075 in against 0.050 in.
    text = check(gasket="about 0.045 in +- 15 thou")
    assert text.exit_code == 1
    lines = text.stdout.splitlines()
    assert lines[0] == f"1 of {len(load_described(KNOT).values)} values is assumed"
    assert "All within limits" not in text.stdout
    assert any(" within whatever the doubt, " in line and line.endswith(" 0 outside.") for line in lines)
    assert "STOP" not in text.stdout
    told = "OPEN  to head, bore 1: 0.0450 to 0.0750 in, wanted at least 0.0500 in; most on gasket.thickness"
    assert told in lines
    assert any(
        line.startswith("exit 1: ") and line.endswith("--accept-open takes them as they are")
        for line in lines
    )
    accepted = check("--accept-open", gasket="about 0.045 in +- 15 thou")
    assert accepted.exit_code == 0
    assert "exit 1" not in accepted.stdout
    assert "--accept-open took them as they are" in accepted.stdout


def test_json_holds_every_answer_with_its_least_and_most():
    done = check("--json", gasket="about 0.045 in +- 15 thou")
    assert done.exit_code == 1
    said = json.loads(done.stdout)
    count = len(load_described(KNOT).values)
    assert said["values"] == {"count": count, "assumed": 1, "not_in_file": 0, "in_doubt": 1}
    assert said["accept_open"] is False
    assert [(d["key"], d["origin"]) for d in said["doubts"]] == [("gasket.thickness", "about")]
    head = next(a for a in said["answers"] if (a["section"], a["name"]) == ("bores", "to head"))
    assert (head["nominal"], head["lowest"], head["highest"]) == pytest.approx(
        (0.060 * INCH, 0.045 * INCH, 0.075 * INCH), abs=1e-5
    )
    assert head["margin_lowest"] == pytest.approx(-0.005 * INCH, abs=1e-5)
    assert (head["settled"], head["assumed"]) == ("open", 1)
    assert head["leanings"] == [
        {"key": "gasket.thickness", "slope": 1.0, "below": -0.381, "above": 0.381, "assumed": True}
    ]
    crown = next(row for row in said["clearances"] if (row["a"], row["b"]) == ("piston_crown", "head_face"))
    assert crown["settled"] == "OPEN"
    assert crown["lowest_mm"] == pytest.approx(0.045 * INCH, abs=0.02)
    assert to_head(done)["open"] is True


def test_within_whatever_the_doubt_is_said_so():
    done = check(gasket="0.045 in +- 1 thou")
    assert done.exit_code == 0
    assert "within: within limits whatever the doubt" in done.stdout
    assert any(
        line.endswith(" within whatever the doubt, 0 open, 0 outside.") for line in done.stdout.splitlines()
    )
    assert "assumed" not in done.stdout.splitlines()[0]
    assert "clear" not in {word for line in done.stdout.splitlines()[:60] for word in line.split()}


# ---- without a whole engine


LEAN = (Leaning("rod.length", -1.0, 0.2, -0.2, True), Leaning("block.deck_height", 1.0, -0.1, 0.1, False))


def section(value=1.0, findings=(), bores=(1, 2)):
    rows = tuple({"bore": bore, "x_mm": length(value), "verdict": "clear", "severity": ""} for bore in bores)
    figures = tuple(
        Figure("x", bore, value, 0.9, None, "length", k, "x_mm", "by hand") for k, bore in enumerate(bores)
    )
    columns = (Column("bore", "bore"), Column("x_mm", "x"), Column("verdict", "verdict"))
    return Section("sides", "Sides", columns, rows, findings, figures=figures)


def answer(lowest, highest, bore=1, severity="stop", leanings=LEAN):
    return Doubtful(
        "sides", "x", bore, "length", 1.0, lowest, highest, 0.1, lowest - 0.9, highest - 0.9, leanings, leanings,
        severity=severity,
    )  # fmt: skip


def over(*answers, accept=False, **more):
    known = load_described(KNOT)
    return OverDoubt(known, doubts.by_key(answers), "", accept, **more)


@pytest.mark.parametrize(
    "lowest, highest, word, grave",
    [
        (0.95, 1.2, "within", ""),
        (0.8, 1.2, "OPEN", "look"),
        (0.7, 0.85, "outside", "stop"),
        (0.9, 1.0, "within", ""),
    ],
)
def test_a_row_says_its_verdict_over_the_doubt_in_place_of_its_own(lowest, highest, word, grave):
    told = over(answer(lowest, highest), answer(1.0, 1.0, 2, leanings=()))
    (found,) = told.settled([section()], "mm")
    assert (found.rows[0]["settled"], found.rows[0]["severity"], found.rows[0]["assumed"]) == (word, grave, 1)
    assert (found.rows[0]["lowest_mm"].value, found.rows[0]["highest_mm"].value) == (lowest, highest)
    assert (found.rows[1]["settled"], found.rows[1]["lowest_mm"], found.rows[1]["assumed"]) == (
        "within",
        None,
        0,
    )
    assert [c.key for c in found.columns] == ["bore", "x_mm", "lowest_mm", "highest_mm", "settled", "assumed"]


@pytest.mark.parametrize(
    "severity, accept, code", [("stop", False, 1), ("stop", True, 0), ("look", False, 0)]
)
def test_only_what_may_be_a_stop_ends_with_1(severity, accept, code):
    told = over(answer(0.8, 1.2, severity=severity), answer(0.8, 1.2, 2, severity), accept=accept)
    found = told.settled([section()], "mm")
    assert verdict_code(found, told) == code
    (finding,) = found[0].findings
    assert finding.text.startswith("all bores: x: open: 0.80")
    assert finding.open_to == severity
    assert bool(exit_words(told, worst_open(told.answers.values()))) == (severity == "stop")


@pytest.mark.parametrize(
    "lowest, highest, severity, said, code",
    [
        (0.8, 1.2, "look", "x is tight; at nominal values only, open: 0.800 mm to 1.200 mm against at least 0.900 mm "
         "(by hand); rests on 1 assumed value, rod.length", 1),
        (0.7, 0.85, "stop", "x is tight; outside whatever the doubt", 1),
        (1.0, 1.0, "stop", "x is tight", 1),
    ],
)  # fmt: skip
def test_a_stop_at_nominal_values_says_how_it_stands_over_the_doubt(lowest, highest, severity, said, code):
    told = over(answer(lowest, highest, leanings=() if lowest == highest else LEAN[:1]))
    found = told.settled([section(findings=(Finding("tight", "stop", 1, "x is tight", figure="x"),))], "mm")
    (finding,) = found[0].findings
    assert (finding.id, finding.severity, finding.text) == ("tight", severity, said)
    assert verdict_code(found, told) == code
    assert verdict_code(found, replace(told, accept_open=True)) == (severity == "stop")


def test_bores_that_lean_otherwise_are_told_apart():
    told = over(answer(0.8, 1.2), answer(0.7, 1.2, 2), answer(0.8, 1.2, 3))
    found = told.settled([section(bores=(1, 2, 3))], "mm")[0].findings
    assert [(f.bore, f.text[:12]) for f in found] == [(None, "bores 1, 3: "), (2, "x: open: 0.7")]


def test_what_waits_is_not_answered():
    told = over(waiting_figures={("sides", "x"): ("rod.length", "block.deck_height")})
    assert told.settled([section()], "mm") == []
    assert told.waiting_lines == [
        "Rods on their pins: what shows - waits for rod.length, block.deck_height: not in the file"
    ]
    two = section()
    findings = tuple(Finding(name, "stop", 1, f"{name} is bad", figure=name) for name in ("x", "y"))
    other = replace(two.figures[0], name="y", column="y_mm")
    two = replace(two, figures=(*two.figures, other), findings=findings)
    (left,) = told.settled([two], "mm")
    assert left.rows[0]["x_mm"] is None
    assert [f.id for f in left.findings] == ["y"]
    whole = over(waiting={"clearances": ("rod.length",)})
    assert whole.waiting_lines == ["Clearances wait for rod.length: not in the file"]
    assert count_words(whole, 0, 0) == "0 within whatever the doubt, 0 open, 0 outside, 1 waits for values."


def test_the_first_line_counts_what_nobody_measured():
    plain = load_described(KNOT)
    assert assumed_line(plain) == ""
    values = [replace(v, origin="about") if k < 3 else replace(v, origin="filled") if k < 5 else v
              for k, v in enumerate(plain.values)]  # fmt: skip
    assert assumed_line(replace(plain, values=tuple(values))) == (
        f"5 of {len(values)} values are assumed; 2 of them are not in the file"
    )


def meeting():
    rows = ({"a": "rod", "b": "wall", "bore": 1, "place_a": "rod", "place_b": "wall", "min_mm": length(1.0),
             "limit_mm": length(0.9), "verdict": "clear", "severity": ""},)  # fmt: skip
    figure = Figure("rod : wall", 1, 1.0, 0.9, None, "length", 0, "min_mm", "by hand")
    columns = (Column("place_a", "place"), Column("min_mm", "least"), Column("verdict", "verdict"))
    shown = ({**rows[0], "bore": "all"},)
    return Section("clearances", "Clearances", columns, rows, shown=shown, figures=(figure,))


@pytest.mark.parametrize("width", [80, 100, 140])
def test_no_width_of_terminal_breaks_a_verdict_or_hides_what_a_row_rests_on(width, monkeypatch, capsys):
    one = replace(answer(0.8, 1.2), section="clearances", name="rod : wall")
    told = over(one, answer(0.8, 1.2), answer(0.7, 0.8, 2))
    monkeypatch.setattr(terminal, "PLAIN_WIDTH", width)
    print_report("Title", told.settled([meeting(), section()], "mm"), "mm", over=told)
    lines = capsys.readouterr().out.splitlines()
    assert max(map(len, lines)) <= width
    assert not any("clear" in line.split() for line in lines[:20])
    if width < doubts.NARROW:
        at = lines.index("all bores: rod against wall")
        assert lines[at + 1] == "  least 1.000 mm, 0.800 mm to 1.200 mm; at least 0.900 mm: OPEN, 1 assumed"
    else:
        row = next(line for line in lines if line.startswith("rod "))
        assert row.split() == ["rod", "1.000", "mm", "0.800", "mm", "1.200", "mm", "OPEN", "1"]
    outside = next(line for line in lines if line.startswith("2 "))
    assert outside.split()[-2:] == ["outside", "1"]


def test_a_figure_that_shares_its_row_has_its_least_and_most_below_the_table():
    whole = section()
    other = tuple(replace(figure, name="y") for figure in whole.figures)
    whole = replace(whole, figures=(*whole.figures, *other))
    told = over(
        answer(0.8, 1.2),
        replace(answer(0.95, 1.2), name="y"),
        replace(answer(0.95, 1.2, 2, leanings=()), name="y"),
    )
    (found,) = told.settled([whole], "mm")
    assert (found.rows[0]["settled"], found.rows[1]["settled"]) == ("OPEN", "within")
    rows = doubts.intervals(found, told.answers, "mm")
    assert [(row["bore"], row["name"], row["settled"], row["assumed"]) for row in rows] == [
        (1, "x", "OPEN", 1), (1, "y", "within", 1),
    ]  # fmt: skip
    assert rows[0]["limit"] == "at least 0.900 mm"
    assert (rows[0]["lowest"].value, rows[0]["highest"].value) == (0.8, 1.2)


@pytest.mark.parametrize(
    "lowest, highest, told_as",
    [
        (0.8, 1.2, [("look", "stop", "crank to wall: open: 0.800 mm to 1.200 mm against at least 0.900 mm; rests on 1 "
                          "assumed value, rod.length")]),
        (0.7, 0.8, [("stop", None, "crank to wall: at least 0.900 mm; outside whatever the doubt")]),
        (0.95, 1.2, []),
    ],
)  # fmt: skip
def test_a_far_pair_that_the_doubt_brings_to_its_limit_is_told_though_it_has_no_row(lowest, highest, told_as):
    told = over(
        replace(answer(lowest, highest), name="crank : wall", bore=None),
        answer(1.0, 1.0),
        answer(1.0, 1.0, 2),
    )
    (found,) = told.settled([section()], "mm")
    assert [(f.severity, f.open_to, f.text) for f in found.findings] == told_as


@pytest.mark.parametrize("everything, told_of", [(False, 12), (True, 15)])
def test_of_many_open_answers_the_first_are_named_and_the_others_counted(everything, told_of, capsys):
    answers = [replace(answer(0.8, 1.2 + k), name=f"{chr(97 + k)} : wall", bore=None) for k in range(15)]
    told = over(answer(1.0, 1.0), answer(1.0, 1.0, 2), *answers)
    print_report("Title", told.settled([section()], "mm"), "mm", everything, told)
    lines = capsys.readouterr().out.splitlines()
    assert sum(" to wall: 0.800 to " in line for line in lines) == told_of
    assert ("      and 3 more open; --all names them" in lines) != everything
    assert "1 within whatever the doubt, 15 open, 0 outside." in lines
