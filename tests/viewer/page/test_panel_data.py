"""What stands in the page's panels, before a browser shows it."""

from xml.etree import ElementTree

import pytest

from geometry.checks.section import Finding, Section
from geometry.rings.angles import separation_deg
from viewer.job import read_job
from viewer.page.clocks import clocks_of
from viewer.page.drawings import drawings_of
from viewer.page.sections import sections_of
from viewer.page.verdict import in_doubt, verdict_of
from viewer.reports.answered import answered


@pytest.fixture(scope="module")
def job():
    return read_job("demo_engines/knot.toml")


def section(*severities):
    found = tuple(Finding(f"f{i}", grave, 1, "text") for i, grave in enumerate(severities))
    return Section("fits", "Fits", (), (), found)


@pytest.mark.parametrize(
    ("severities", "words", "severity"),
    [
        ((), "all within limits", "note"),
        (("stop", "note", "stop"), "2 outside the limit", "stop"),
        (("look",), "nothing outside its limit", "look"),
        (("note",), "all within limits", "note"),
    ],
)
def test_the_head_says_how_all_stands(severities, words, severity):
    assert verdict_of([section(*severities)], [], "") == {
        "severity": severity,
        "words": words,
        "said": "1 to look at" if severity == "look" else "",
    }
    assumed = verdict_of([section(*severities)], [], "3 of 9 values are assumed")
    assert assumed["words"] == f"{words}, as assumed"


def test_nothing_in_doubt_is_called_within_without_a_word():
    said = in_doubt(verdict_of([section()], [], ""))
    assert said["severity"] == "look"
    assert "open within the doubt" in said["words"]


def test_every_bore_has_one_clock(job):
    clocks = clocks_of(job.assembly, job.system, "")
    bores = sorted(site.bore for site in job.assembly.layout.bores)
    assert sorted(bore for clock in clocks for bore in clock["bores"]) == bores
    for clock in clocks:
        angles = {mark["ring"]: mark["clock_deg"] for mark in clock["rings"] if mark["ring"] != "expander"}
        apart = min(
            separation_deg(a, b) for ring, a in angles.items() for other, b in angles.items() if ring < other
        )
        assert abs(clock["closest"]["sweep_deg"]) == pytest.approx(apart)


def test_sections_are_small_drawings_without_style(job):
    for drawing in drawings_of(job.assembly, job.system, ""):
        assert len(drawing["svg"]) < 30_000
        tree = ElementTree.fromstring(drawing["svg"])
        assert not [one for one in tree.iter() if "style" in one.attrib]
        numbers = [one.text for one in tree.iter() if one.tag.endswith("text") and (one.text or "").isdigit()]
        assert sorted(map(int, numbers)) == list(range(1, len(drawing["legend"]) + 1))


def test_a_row_knows_its_bores(job):
    told = [one for one in sections_of(answered(job), job.system) if one["headings"][0] == "bore"]
    assert told
    for row in (row for one in told for row in one["rows"]):
        named = row["cells"][0]
        assert row["bores"] == ([] if named == "all" else [int(number) for number in named.split(", ")])
