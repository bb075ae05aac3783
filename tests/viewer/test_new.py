"""`fullturn new`: what is known stands in the file, the rest is about; asked or told, nothing half-written is left."""

import io
import re
import sys

import pytest

from tests.viewer.test_cli import refused
from viewer.starters import names

FIVE = (
    "--bore", "4.030 in +- 1 thou", "--stroke", "3.48 in", "--rod", "5.7 in",
    "--height", "1.56 in", "--deck", "9.025 in",
)  # fmt: skip


@pytest.fixture
def new(call, monkeypatch, tmp_path):
    """Run `fullturn new` with answers on standard input: exit code, output, error lines; the file beside them."""

    def run(*words, answers=""):
        monkeypatch.setattr(sys, "stdin", io.StringIO(answers))
        return call("new", tmp_path / "mine.toml", *words)

    return run


@pytest.fixture
def file(tmp_path):
    return tmp_path / "mine.toml"


@pytest.mark.parametrize("layout", names())
def test_a_starter_of_each_layout_says_what_comes_next(call, file, layout):
    code, out, err = call("new", file, "--layout", layout)
    assert (code, err) == (0, [])
    assert re.search(r"\d+ of \d+ values are assumed", out)
    for next_one in ("still", "clock", "check"):
        assert f"fullturn {next_one} {file}" in out


def test_from_nothing_to_a_ring_clock_and_what_is_open(call, new, file):
    assert new("--layout", "single", *FIVE)[0] == 0
    assert call("clock", file)[0] in (0, 1)
    # a bench where the rings are unmeasured yet
    parts, rings = file.read_text(encoding="utf-8").split("[rings]", 1)
    file.write_text(parts.replace('"about ', '"') + "[rings]" + rings, encoding="utf-8")
    code, _, err = call("check", file, "--json")
    assert err == []
    assert code in (0, 1)


def test_a_starter_never_overwrites(call, file):
    file.write_text("mine", encoding="utf-8")
    assert "exists already" in refused(call, "new", file)[0]
    assert "exists already" in refused(call, "new", file, "--ask")[0]
    assert file.read_text(encoding="utf-8") == "mine"


def test_the_sizes_given_stand_in_the_file_as_they_were_given(new, file):
    code, _, err = new("--layout", "vee-eight", *FIVE)
    assert (code, err) == (0, [])
    text = file.read_text(encoding="utf-8")
    assert 'diameter = "4.030 in +- 1 thou"\n' in text
    assert re.search(r'stroke = "3.48 in"\n', text)
    assert text.count('"about ') > 90
    assert not re.search(r'"about [-\d.]+ mm"', text)


@pytest.mark.parametrize(("words", "unit"), [
    ((), "mm"), (("--units", "in"), "in"), (("--bore", "4 in", "--units", "mm"), "mm"),
    (("--bore", "4 in", "--stroke", "90 mm", "--rod", "6 in"), "in"),
])  # fmt: skip
def test_the_file_is_written_in_the_units_asked_for_or_given(new, file, words, unit):
    assert new(*words)[0] == 0
    assert re.search(rf'width = "about [\d.]+ {unit}"', file.read_text(encoding="utf-8"))


@pytest.mark.parametrize(("words", "said"), [
    (("--bore", "4.030"), '--bore: "4.030" has no unit; write the unit'),
    (("--bore", "wide"), "--bore: "),
    (("--deck", "0 in"), "--deck: 0 in is not above zero"),
    (("--bore", "-4 in"), "--bore: -4 in is not above zero"),
    (("--rod", "2 in", "--stroke", "3.48 in"), "--rod: the rod is shorter than half the stroke"),
    (("--bore", "4 in", "--deck", "2 in"), "--bore, --deck: no engine can be laid out with these sizes together"),
    (("--bore", "9999 mm"), "--bore: "),
    (("--bore", "4 in +1"), "--bore: "),
])  # fmt: skip
def test_a_size_of_which_no_engine_can_be_made_is_one_line_and_no_file(call, file, words, said):
    (line,) = refused(call, "new", file, *words)
    assert line.startswith(said)
    assert not file.exists()


# ---- --ask ----


def test_asked_for_the_same_it_writes_the_same(new, file):
    assert new("--layout", "vee-eight", *FIVE)[0] == 0
    told = file.read_text(encoding="utf-8")
    file.unlink()
    answers = "vee-eight\n4.030 in +- 1 thou\n3.48 in\n5.7 in\n1.56 in\n9.025 in\n"
    assert new("--ask", answers=answers)[0] == 0
    assert file.read_text(encoding="utf-8") == told


def test_what_is_given_is_not_asked_and_what_is_not_known_is_about(new, file):
    code, out, _ = new("--ask", "--layout", "single", "--bore", "90 mm", answers="\n\n\n\n")
    assert code == 0
    assert "Finished bore" not in out
    assert 'stroke = "about 84.00 mm"' in file.read_text(encoding="utf-8")


def test_an_answer_that_cannot_be_read_is_asked_again_in_one_line(new, file):
    code, out, _ = new("--ask", answers="radial\nsingle\nwide\n90\n90 mm\n\n\n\n\n")
    assert code == 0
    told = re.findall("Error: .*", out)
    assert len(told) == 3
    assert "has no unit" in told[2]
    assert 'diameter = "90 mm"' in file.read_text(encoding="utf-8")


@pytest.mark.parametrize("answers", ["", "vee-eight\n", "vee-eight\n4 in\n3.48 in\n"])
def test_a_dialogue_that_ends_too_soon_writes_nothing(new, file, answers):
    code, _, err = new("--ask", answers=answers)
    assert (code, err) == (130, [])
    assert not file.exists()


def test_a_dialogue_that_is_broken_off_writes_nothing(new, file, monkeypatch):
    def broken_off(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr("click.termui.visible_prompt_func", broken_off)
    code, _, err = new("--ask")
    assert (code, err) == (130, [])
    assert not file.exists()
