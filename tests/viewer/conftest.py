"""What tests of the viewer share: engines built once, the command line, and a watch on the renderer's own errors."""

import logging
import sys
from pathlib import Path

import pytest

from geometry.assembly import assemble
from geometry.spec.load import load_engine
from viewer.cli import main

DEMOS = Path(__file__).parents[2] / "demo_engines"


@pytest.fixture(scope="session")
def tern():
    """The V8: every kind of part, two banks, two rods on a pin."""
    return assemble(load_engine(DEMOS / "tern.toml"))


@pytest.fixture(scope="session")
def knot():
    """The single: the smallest engine there is, quick to draw."""
    return assemble(load_engine(DEMOS / "knot.toml"))


@pytest.fixture(autouse=True)
def no_renderer_errors(caplog):
    """Fail a test in which the renderer logged a warning or an error."""
    yield
    said = [
        r.getMessage() for r in caplog.records if r.name == "fullturn.vtk" and r.levelno >= logging.WARNING
    ]
    assert not said, said[:3]


@pytest.fixture
def call(monkeypatch, capsys):
    """Run a command line in this process: exit code, standard output, lines of the error output."""

    def run(*words):
        monkeypatch.setattr(sys, "argv", ["fullturn", *map(str, words)])
        with pytest.raises(SystemExit) as left:
            main()
        said = capsys.readouterr()
        return left.value.code, said.out, said.err.splitlines()

    return run
