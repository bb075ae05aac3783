"""`sheet` as a person calls it: written in one piece or not at all, and refusals in one line."""

import pytest

from tests.viewer.sheet.conftest import KNOT
from viewer.pictures import media


@pytest.fixture
def told(monkeypatch, knot_asked):
    """What was asked for, without working anything out."""
    from viewer.sheet import asked

    seen = []
    monkeypatch.setattr(asked, "asked_of", lambda *given: seen.append(given) or knot_asked)
    monkeypatch.setattr(media, "can_draw", lambda: True)
    return seen


def test_what_is_asked_for_arrives(call, told, tmp_path):
    out = tmp_path / "k.pdf"
    words = (
        "--paper",
        "letter",
        "--shop",
        "The shed",
        "--customer",
        "Somebody",
        "--job",
        "17",
        "--date",
        "1 May",
    )
    code, said, _ = call("sheet", KNOT, "-o", out, "--pages", "cover,turning", *words)
    assert code == 0
    assert f"Build sheet: {out}, for Letter: cover, turning. " in said
    assert out.read_bytes().startswith(b"%PDF")
    ((_, _, built, paper, head, _),) = told
    assert (built, paper, head) == (None, "us-letter", ["The shed", "Somebody", "17", "1 May"])


@pytest.mark.parametrize("ending", ["svg", "png"])
def test_pictures_are_one_file_a_sheet_of_paper(call, told, tmp_path, monkeypatch, ending):
    monkeypatch.setattr("viewer.commands.sheet.PNG_PPI", 20.0)
    code, said, _ = call("sheet", KNOT, "-o", tmp_path / f"k.{ending}", "--pages", "crank,customer")
    assert code == 0
    names = sorted(path.name for path in tmp_path.iterdir())
    assert names == [f"k-{place}.{ending}" for place in range(1, len(names) + 1)]
    assert f"k-1.{ending} to k-{len(names)}.{ending}" in said


def test_nothing_is_left_where_one_of_them_cannot_be_written(call, told, tmp_path):
    (tmp_path / "k-2.svg").mkdir()
    code, _, said = call("sheet", KNOT, "-o", tmp_path / "k.svg", "--pages", "crank,customer")
    assert (code, len(said)) == (2, 1)
    assert [path.name for path in tmp_path.iterdir()] == ["k-2.svg"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("-o", "k.doc"), "cannot be written as a build sheet"),
        (("-o", "no/such/k.pdf"), "there is no such folder"),
        (("-o", "k.pdf", "--pages", "bore 9"), "there is no page 'bore 9'"),
        (("-o", "k.pdf", "--built", "none.toml"), "there is no such record"),
        (("-o", "k.pdf", "--shop", "x" * 81), "cannot stand at the head of a sheet"),
        (("-o", "k.pdf", "--paper", "a3"), "'a3' is not one of"),
    ],
)
def test_refusals(call, told, tmp_path, monkeypatch, words, said):
    monkeypatch.chdir(tmp_path)
    code, out, err = call("sheet", KNOT, *words)
    assert (code, out, len(err)) == (2, "", 1)
    assert said in err[0]
    assert list(tmp_path.iterdir()) == []
