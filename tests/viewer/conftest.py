"""What tests of the viewer share: engines and a browser, the command line, and a watch on the renderer's own errors."""

import logging
import os
import shutil
import sys
from pathlib import Path

import pytest

from geometry.assembly import assemble
from geometry.spec.load import load_engine
from viewer.cli import main

DEMOS = Path(__file__).parents[2] / "demo_engines"
FLAGS = ("--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader")


@pytest.fixture(scope="session")
def tern():
    """The V8: every kind of part, two banks, two rods on a pin."""
    return assemble(load_engine(DEMOS / "tern.toml"))


@pytest.fixture(scope="session")
def knot():
    """The single: the smallest engine there is, quick to draw."""
    return assemble(load_engine(DEMOS / "knot.toml"))


def chromium_path():
    return os.environ.get("CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")


@pytest.fixture(scope="session")
def chromium():
    """Debian's browser, headless, drawing by software."""
    path = chromium_path()
    if path is None:
        pytest.skip("no chromium on this machine")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as tool:
        browser = tool.chromium.launch(executable_path=path, args=list(FLAGS))
        yield browser
        browser.close()


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
