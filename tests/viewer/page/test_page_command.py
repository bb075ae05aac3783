"""`page` as a person calls it: what is asked for arrives, and bad input writes nothing."""

from pathlib import Path

import numpy as np
import pytest

from viewer.page import document, page, pictures
from viewer.pictures import media

KNOT = "demo_engines/knot.toml"
RECORD = "demo_engines/knot.record.toml"


@pytest.fixture
def made(monkeypatch):
    """What the page is asked for, without the work of making it."""
    asked = []

    def page_of(job, wanted, designed, doing):
        asked.append((job, wanted, designed))
        return {}, b""

    monkeypatch.setattr(page, "page_of", page_of)
    monkeypatch.setattr(document, "document", lambda *page: "x" * 1_234_000)
    return asked


def test_what_is_asked_for_arrives(call, made, tmp_path):
    out = tmp_path / "x.html"
    code, said, _ = call(
        "page", KNOT, "-o", out, "--built", RECORD, "--explain", "rod_turned", "--bore", "1", "--for", "customer",
        "--shop", "The shed", "--job", "17", "--date", "first of May",
    )  # fmt: skip
    assert code == 0
    assert f"Page: {out}, 1.23 MB" in said
    ((job, asked, designed),) = made
    assert job.readings is not None
    assert designed.readings is None
    assert (asked.voice, asked.shop, asked.job, asked.date) == ("customer", "The shed", "17", "first of May")
    assert (asked.mistake, asked.bore, asked.record) == ("rod_turned", 1, Path(RECORD))


def test_by_itself_it_is_for_the_builder_and_has_no_date(call, made, tmp_path):
    assert call("page", KNOT, "-o", tmp_path / "x.html")[0] == 0
    ((_, asked, designed),) = made
    assert (asked.voice, asked.date, designed) == ("builder", "", None)


def test_without_a_renderer_it_says_so_and_goes_on(call, made, tmp_path, monkeypatch):
    monkeypatch.setattr(media, "can_draw", lambda: False)
    code, _, said = call("page", KNOT, "-o", tmp_path / "x.html")
    assert code == 0
    assert made[0][1].pictures is False
    assert len(said) == 1
    assert "pictures are left out" in said[0]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--explain", "rod_turnt"], 'did you mean "rod_turned"?'),
        (["--explain", "rod_turned", "--bore", "7"], "there is no bore 7"),
        (["--explain", "rods_exchanged"], "there is only one rod"),
        (["--bore", "1"], "add --explain MISTAKE"),
        (["--main", "1"], "add --explain MISTAKE"),
        (["--shop", "x" * 81], "at most 80 letters"),
        (["--job", "1\n2"], "in one line"),
        (["--built", "nowhere.toml"], "there is no such record"),
        (["--for", "nobody"], "'builder', 'customer'"),
    ],
)
def test_bad_input_is_one_line_and_writes_nothing(call, arguments, said, tmp_path):
    out = tmp_path / "x.html"
    code, printed, lines = call("page", KNOT, "-o", out, *arguments)
    assert (code, printed) == (2, "")
    assert len(lines) == 1
    assert said in lines[0]
    assert not out.exists()


def test_progress_is_told_only_where_it_takes_long():
    told = []
    now = iter((0.0, 1.0, 2.5, 2.6, 2.7))

    from viewer.commands.page import Progress

    progress = Progress(True, lambda: next(now))
    progress.said = False
    for what in ("first", "second"):
        progress.doing(what)
        told.append(progress.said)
    assert told == [False, True]


def test_a_picture_stays_small_whatever_it_shows():
    noise = np.random.default_rng(1).integers(0, 256, (120, 160, 3), dtype=np.uint8)
    made = pictures.packed_picture(noise, "noise", 3_000)
    assert len(made["source"]) <= 3_000 * 4 / 3 + 100
    assert (made["width"], made["height"]) == (160, 120)
