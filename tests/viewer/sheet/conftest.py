"""The build sheet of the smallest engine, worked out once."""

from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

from viewer.job import read_job
from viewer.sheet.asked import asked_of
from viewer.sheet.build import sheet_of
from viewer.sheet.typeset import pdf

DEMOS = Path(__file__).parents[3] / "demo_engines"
KNOT, RECORD = DEMOS / "knot.toml", DEMOS / "knot.record.toml"


@pytest.fixture(scope="session")
def knot_asked():
    """Knot with her record, in inches."""
    return asked_of(
        read_job(KNOT, None, (), RECORD), read_job(KNOT), RECORD, head=("Shed", "A <b>customer</b>", "", "")
    )


@pytest.fixture(scope="session")
def knot_sheet(knot_asked):
    return sheet_of(knot_asked)


@pytest.fixture(scope="session")
def knot_pdf(knot_sheet):
    return PdfReader(BytesIO(pdf(knot_sheet)))
