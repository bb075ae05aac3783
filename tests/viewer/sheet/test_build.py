"""The build sheet as a whole, read back from its paper by a PDF library: its limits, its bookmarks, its readings."""

import re
from dataclasses import replace
from io import BytesIO

import pytest
from pypdf import PdfReader

from geometry.checks.section import Amount
from geometry.record.verdicts import verdicts
from tests.viewer.sheet.conftest import DEMOS
from viewer.job import read_job
from viewer.sheet.asked import SheetAsked, asked_of
from viewer.sheet.build import chosen
from viewer.sheet.content import BuildSheet
from viewer.sheet.pages import limits
from viewer.sheet.typeset import pdf

LIMIT = re.compile(r"(^|_)(least|most|limit)(_|$)")
SAID = re.compile(r"at (?:least|most) (-?[\d.]+ (?:in|mm|thou|lbf·ft|N·m)\b|[\d.]+°)")


def text_of(read):
    """All words of a file, with one space where its lines break."""
    return " ".join(" ".join(page.extract_text() for page in read.pages).split())


def limits_of(sections, system):
    """Every limit that `check` prints: the cells that hold one, and those that the notes name."""
    for section in sections:
        printed = {column.key for column in section.columns}
        for row in section.rows if section.shown is None else section.shown:
            for key in printed:
                cell = row.get(key)
                if LIMIT.search(key) and isinstance(cell, Amount):
                    yield cell.text(system)
        for note in section.notes:
            yield from SAID.findall(note)


@pytest.mark.parametrize("engine", ["knot", "tern"])
def test_every_limit_that_check_prints_is_on_the_paper(engine):
    job = read_job(DEMOS / f"{engine}.toml")
    for system in ("in", "mm"):
        asked = asked_of(replace(job, system=system), job, None)
        sheet = BuildSheet(engine, engine, (), "", asked.paper, limits.pages(asked))
        said = text_of(PdfReader(BytesIO(pdf(sheet))))
        wanted = set(limits_of(asked.sections, system))
        assert len(wanted) > 8
        assert [limit for limit in sorted(wanted) if limit not in said] == []


def test_pages_and_their_heads_are_bookmarks_in_the_order_of_work(knot_pdf, knot_sheet):
    titles = [entry["/Title"] for entry in knot_pdf.outline if not isinstance(entry, list)]
    assert titles == [page.title for page in knot_sheet.pages]
    keys = [page.key for page in knot_sheet.pages]
    assert [key for key in keys if not key.startswith("bore")] == [
        "cover", "crank", "turning", "head", "limits", "customer",
    ]  # fmt: skip
    assert keys[2].startswith("bore")
    under = [
        entry["/Title"] for entries in knot_pdf.outline if isinstance(entries, list) for entry in entries
    ]
    assert {"Main bearings", "What was found"} <= set(under)
    assert (knot_pdf.metadata.title, knot_pdf.metadata.author) == ("Knot: build sheet", "Shed")
    assert knot_pdf.trailer["/Root"]["/Lang"] == "en"


def test_the_customer_is_told_every_reading_with_its_verdict(knot_asked, knot_pdf):
    judged = verdicts(knot_asked.designed.assembly.spec, knot_asked.record, system="in")
    first = next(
        i for i, page in enumerate(knot_pdf.pages) if "For the customer" in page.extract_text()[:300]
    )
    said = " ".join(" ".join(page.extract_text() for page in knot_pdf.pages[first:]).split())
    assert judged
    for word, sign in (("within", "✓"), ("outside", "[✗!]"), ("cannot tell", r"\?")):
        assert len(re.findall(f"{sign} {word}", said)) == sum(one.verdict == word for one in judged)
    assert all(one.reading in said for one in judged)


def test_bores_that_share_a_pin_follow_each_other_from_the_front():
    job = read_job(DEMOS / "curlew.toml")  # a vee six: left 1, 2, 3 and right 4, 5, 6, two rods to a throw
    asked = SheetAsked(job, job, None, None, (), None, "a4")
    assert asked.bores == (1, 4, 2, 5, 3, 6)


def test_only_the_pages_that_are_named(knot_sheet):
    assert [page.key for page in chosen(knot_sheet, " limits,cover").pages] == ["cover", "limits"]
    assert chosen(knot_sheet, "") == knot_sheet
