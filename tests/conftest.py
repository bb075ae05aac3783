"""Settings that every test shares."""

import os
import shutil
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from hypothesis.internal.conjecture import providers

settings.register_profile(
    "fullturn", derandomize=True, deadline=None, max_examples=40, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("fullturn")
# Hypothesis mixes constants of whichever of our modules are imported by then into its examples, and has no setting for
# it: without them a seeded example is the same in every worker, whatever ran before it.
providers._get_local_constants = lambda: providers._local_constants

LONGEST = {
    "test_every.py",
    "test_view.py",
    "test_clock.py",
    "test_clearances.py",
    "test_remedies.py",
    "test_cli.py",
}
NEEDS_MACHINE = ("display", "browser", "node")
NODE_TOOLS = Path(__file__).parents[1] / ".ci" / "node_modules"


def pytest_runtest_setup(item):
    """A test marked `node` runs where node is, and the tools that `npm ci` in `.ci` lays there."""
    if item.get_closest_marker("node") and not (shutil.which("node") and NODE_TOOLS.is_dir()):
        pytest.skip("no node, or no tools: npm ci --prefix .ci")


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config, log):
    """All tests of a file go to one worker, which makes what they share once; files in the order collected."""
    from xdist.scheduler import LoadFileScheduling

    config.option.loadscopereorder = False
    return LoadFileScheduling(config, log)


def pytest_collection_modifyitems(items):
    """The longest files first, so that no worker is left with one of them at the end."""
    items.sort(key=lambda item: item.path.name not in LONGEST)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item, call):
    """Where FULLTURN_NO_SKIP is set, a display, browser or node test that skips has failed."""
    report = yield
    marked = any(item.get_closest_marker(name) for name in NEEDS_MACHINE)
    if report.skipped and marked and os.environ.get("FULLTURN_NO_SKIP"):
        report.outcome = "failed"
        report.longrepr = f"skipped where it must run: {report.longrepr}"
    return report
