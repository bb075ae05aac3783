"""What a builder reads is plain English: no refusal in phrases of our own or of the libraries we call."""

import ast
import re
from pathlib import Path

import pytest

import viewer.cli

ROOT = Path(__file__).parents[1]

TWISTED = re.compile(
    r"(?<!here )\b(is|are) no (?!proof\b|longer\b|more\b|less\b|such\b|\w*(?:[dghkmprt]er)\b(?<!number))"
    r"|\bnot a valid\b|\b1 more (problems|pairs|values)\b|more problems like these"
)


def said_by(path):
    """Every text of a module but its docstrings, with its line; of one without such a phrase none."""
    source = path.read_text(encoding="utf-8")
    if not TWISTED.search(source):
        return
    tree = ast.parse(source)
    notes = {node.value for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and node not in notes:
            yield node.lineno, node.value


def test_no_refusal_is_twisted():
    found = [
        f"{path.relative_to(ROOT)}:{line}: {text}"
        for folder in ("geometry", "viewer")
        for path in sorted((ROOT / folder).rglob("*.py"))
        for line, text in said_by(path)
        if TWISTED.search(text) and path.name != "cli.py"
    ]
    assert found == []


@pytest.mark.parametrize(
    "text",
    [
        "is no kind of picture",
        "'x' is no number",
        "'x' is not a valid degrees",
        "1 more problems",
        "is no moving part",
    ],
)
def test_the_phrases_that_were_complained_of_are_found(text):
    assert TWISTED.search(text)


@pytest.mark.parametrize(
    "text", ["the cheek is no larger than the pin", "there is no bore 9", "what is no longer needed"]
)
def test_good_english_is_left_alone(text):
    assert not TWISTED.search(text)


@pytest.mark.parametrize(
    "words,said",
    [
        (("still", "k.toml", "-o", "x.png", "--crank", "abc"), "'abc' is not an angle in degrees"),
        (("film", "k.toml", "-o", "x.gif", "--fps", "a"), "'a' is not a whole number"),
        (("film", "k.toml", "-o", "x.gif", "--fps", "99"), "99 is not from 1 to 60"),
        (("check", "k.toml", "--chance", "3"), "3 is not from 100 to 1000000"),
    ],
)
def test_an_argument_is_refused_without_the_librarys_names_of_its_types(monkeypatch, capsys, words, said):
    monkeypatch.setattr("sys.argv", ["fullturn", *words])
    with pytest.raises(SystemExit) as left:
        viewer.cli.main()
    assert left.value.code == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert said in line
    assert "valid degrees" not in line
    assert "range" not in line
