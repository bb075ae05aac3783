"""Settings that every test shares."""

import os

import pytest
from hypothesis import HealthCheck, settings

settings.register_profile(
    "fullturn", derandomize=True, deadline=None, max_examples=40, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("fullturn")

NEEDS_MACHINE = ("display", "browser")


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item, call):
    """Where FULLTURN_NO_SKIP is set, a display or browser test that skips has failed."""
    report = yield
    marked = any(item.get_closest_marker(name) for name in NEEDS_MACHINE)
    if report.skipped and marked and os.environ.get("FULLTURN_NO_SKIP"):
        report.outcome = "failed"
        report.longrepr = f"skipped where it must run: {report.longrepr}"
    return report
