"""What the customer reads follows the typed data, and says no more than they do."""

import json
import re
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import pytest

from geometry.checks.trouble_spot import TroubleSpot
from geometry.record.load import load_record
from geometry.record.troubles import record_troubles
from viewer.job import read_job
from viewer.page.chapters import Told, chapters_of
from viewer.page.glossary import BASE, MEANING, TERMS, Marking
from viewer.page.mistakes import found_mistake, mistake_of
from viewer.plain_words import plain_words

KNOT = Path("demo_engines/knot.toml")
RECORD = Path("demo_engines/knot.record.toml")
TIGHT = TroubleSpot(
    "ring", "ring.top.gap", "stop", "touches", 1, None, None, ("top_ring 1",), None, (0.0, 0.0, 0.0),
    0.2, 0.35, -0.15, "length", "somebody", "top ring gap",
)  # fmt: skip


@pytest.fixture(scope="module")
def job():
    return read_job(KNOT)


@pytest.fixture(scope="module")
def recorded():
    return read_job(KNOT, built=RECORD)


def texts(told, marked=False):
    chapters = chapters_of(told, Marking(marked))
    return {chapter["title"]: " ".join(chapter["paragraphs"]) for chapter in chapters}


def as_assumed(job):
    return SimpleNamespace(
        assembly=job.assembly, system=job.system, rests_on="7 of 9 values are assumed", in_doubt=True, waiting={},
        readings=None,
    )  # fmt: skip


def test_the_severity_decides_what_is_asked_for(job):
    found = texts(Told(job, [TIGHT]))["What was found"]
    less = texts(Told(job, [replace(TIGHT, severity="look", nearby="close")]))["What was found"]
    assert "must be put right" in found or "has to be put right" in found
    assert "put right" not in less
    assert "second look" in less


def test_group_and_nearness_decide_the_plain_words_and_the_name_of_a_place_does_not(job):
    assert plain_words(replace(TIGHT, words="rod turned round")) == plain_words(TIGHT)
    assert plain_words(replace(TIGHT, group="ring.top.hot")) != plain_words(TIGHT)
    close = replace(TIGHT, kind="clearance", group="a b", nearby="close")
    assert plain_words(replace(close, nearby="overlaps")) != plain_words(close)


def test_the_number_its_limit_and_its_side_are_told(job):
    found = texts(Told(job, [TIGHT]))["What was found"]
    # 0.2 mm and 0.35 mm at 25.4 mm to the inch
    assert "0.0079 in" in found
    assert "at least 0.0138 in" in found
    assert "two sheets" in found
    wide = replace(TIGHT, value=0.5, limit=0.35, margin=-0.15)
    assert "at most 0.0138 in" in texts(Told(job, [wide]))["What was found"]


def test_nothing_wrong_is_never_said_without_a_word_of_what_is_assumed(job):
    within = replace(TIGHT, severity="note", nearby="clear", value=0.4, margin=0.05)
    assert "assumed" not in " ".join(texts(Told(job, [within])).values())
    told = texts(Told(as_assumed(job), [within]))
    assert "as the values are assumed" in told["What was found"]
    assert ", as assumed;" in told["What was found"]
    assert "7 of 9 values are assumed" in told["What to keep in mind"]


def test_what_is_no_finding_is_not_told_as_one(job):
    told = texts(Told(job, [], found=found_mistake(job, "rod_turned")))
    assert "What was found" not in told
    assert "What was done" not in told
    assert "nothing here says that it was found" in told["What this page shows"]


def test_a_record_is_told_as_far_as_it_goes(recorded):
    record = load_record(RECORD, recorded.assembly.spec)
    spots = record_troubles(recorded.assembly, record)
    told = texts(Told(recorded, spots, record, found_mistake(recorded, "rod_turned")))
    assert "The build record shows it" in told["What this page shows"]
    assert "1 entry was written down" in told["What was done"]
    assert "on 2026-11-28" in told["What was done"]
    assert "does not say that anything of this has been put right" in told["What was done"]
    assert "Rod turned round, bore 1: Take rod 1 out" in told["What is to be done"]


def test_the_numbers_of_a_mistake_are_those_of_explain(job, call):
    figures = mistake_of(found_mistake(job, "gap_too_tight"), [])["numbers"]
    printed = json.loads(call("explain", KNOT, "gap_too_tight", "--json")[1])
    rows = {row["what"]: row for row in printed["rows"]}
    lengths = [figure for figure in figures if figure["wrong"].endswith(" in")]
    assert lengths
    for figure in lengths:
        row = rows[figure["words"]]
        assert figure["severity"] == (row["severity"] or "")
        assert figure["verdict"] == (row["verdict"] or "")
        for side in ("right", "wrong"):
            assert float(figure[side].split()[0]) * 25.4 == pytest.approx(row[side], abs=0.00005 * 25.4)


def test_the_picture_swings_to_either_side_of_where_a_mistake_shows(job):
    for name in ("rod_turned", "piston_turned", "bolt_too_long"):
        found = found_mistake(job, name)
        low, high = found.swing_deg
        assert low < found.case.study.spot.crank_deg < high


def test_every_term_that_is_marked_is_explained(job):
    marking = Marking()
    chapters = chapters_of(Told(job, [TIGHT], found=found_mistake(job, "rod_turned")), marking)
    marked = {
        term.lower()
        for c in chapters
        for text in c["paragraphs"]
        for term in re.findall(r"\[\[(.+?)\]\]", text)
    }
    assert {"connecting rod", "fillet", "piston pin"} <= marked
    assert marked == set(marking.used)
    assert chapters[0]["paragraphs"][0].count("[[") >= len({MEANING[term] for term in BASE})


def test_an_explanation_uses_no_term_that_needs_one():
    for forms, meaning in TERMS.items():
        marking = Marking()
        marking.marked(meaning)
        assert set(marking.used) <= {*BASE, *forms}, forms


def test_a_builder_gets_no_marks():
    marking = Marking(wanted=False)
    assert marking.marked("the rod's fillet") == "the rod's fillet"
    assert marking.used == {}


def test_brackets_of_the_engine_file_are_no_mark():
    assert "[[x" not in Marking().marked("[[x]] rod")
