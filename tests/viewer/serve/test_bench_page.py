"""Readings entered in the browser: two of them and the command line on one record, a killed server, a spoilt file.

The pages are those of a phone, where nothing but the readings is seen, and of a browser that draws no solids.
"""

import os
import re
import shutil
import signal
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from playwright.sync_api import TimeoutError as PlaywrightTimeout

from geometry.record.entries import set_entries
from geometry.record.history import entries_of
from geometry.record.place import BenchPlace
from geometry.spec.load import load_engine
from tests.viewer.serve.conftest import KNOT

pytestmark = pytest.mark.browser
ROOT = Path(__file__).parents[3]
BORE_1, CRANK = BenchPlace("bore", 1), BenchPlace("crank")
SPEC = load_engine(KNOT)
SOON = 8000


class Machine:
    """The served engine: it can be killed and started again on its port."""

    def __init__(self, folder):
        self.record = folder / "knot.record.toml"
        engine = shutil.copy(KNOT, folder)
        command = [sys.executable, "-m", "tests.viewer.serve.nursery", engine, str(self.record)]
        self.nursery = subprocess.Popen(
            command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, cwd=ROOT
        )
        self.port, self.child = 0, None
        assert self.nursery.stdout.readline() == "made\n"
        self.start()

    def start(self):
        self.nursery.stdin.write(f"serve {self.port}\n")
        self.nursery.stdin.flush()
        self.child, self.port = map(int, self.nursery.stdout.readline().split())

    def kill(self):
        os.kill(self.child, signal.SIGKILL)

    def end(self):
        self.kill()
        self.nursery.communicate(timeout=20)

    def held(self):
        return entries_of(tomllib.loads(self.record.read_text())) if self.record.exists() else {}


@pytest.fixture(scope="module")
def machine(tmp_path_factory):
    if not hasattr(os, "fork"):
        pytest.skip("forks")
    machine = Machine(tmp_path_factory.mktemp("bench"))
    yield machine
    machine.end()


@pytest.fixture(scope="module")
def hands(machine, chromium):
    """Two browsers, each with its initials given."""
    found, wrong = [], []
    for initials in ("EH", "JM"):
        context = chromium.new_context(viewport={"width": 390, "height": 800})
        page = context.new_page()
        page.set_default_timeout(SOON)
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.add_init_script("HTMLCanvasElement.prototype.getContext = () => null")
        page.goto(f"http://localhost:{machine.port}/?quality=rough", timeout=60_000)
        page.get_by_role("tab", name="Readings").click(timeout=60_000)
        page.fill("#initials", initials)
        page.keyboard.press("Enter")
        page.wait_for_selector(".reading")
        found.append(page)
    yield found
    for page in found:
        page.context.close()
    assert wrong == []


@pytest.fixture
def bench(machine, hands):
    """Machine and both browsers, at a record without entries, both at bore 1."""
    for path in machine.record.parent.glob("*.record.toml*"):
        path.unlink()
    for page in hands:
        page.locator('[data-place="bore 1"]').click()
        page.locator('[data-place="bore 1"] .count', has_text=re.compile(r"^0 of")).wait_for()
    return machine, *hands


def choose(page, path):
    page.locator(f'[data-path="{path}"]').click()
    page.locator(f'[data-path="{path}"][aria-current]').wait_for()


def fill(page, path, **values):
    choose(page, path)
    for name, text in values.items():
        page.locator(f"#blank-{name}").fill(text)


def says(page, where, words):
    page.locator(where, has_text=re.compile(words)).first.wait_for(timeout=30_000)


def until_said(act, page, where, words):
    """What a hand does, again where a list that was drawn anew under it has swallowed it: a loaded machine is late."""
    for _ in range(3):
        act()
        try:
            page.locator(where, has_text=re.compile(words)).first.wait_for(timeout=15_000)
        except PlaywrightTimeout:
            continue
        return
    says(page, where, words)


def test_a_reading_goes_by_the_pad_with_its_verdict_before_and_after_it_is_saved(bench):
    machine, page, other = bench
    choose(page, "deck")
    for key in ("4", "0", "decimal point", "5", "delete the last digit"):
        page.locator(".pad").get_by_role("button", name=key, exact=True).click()
    says(page, ".reading-verdict", "outside, too low")
    says(page, ".reading-state", "Not saved yet")
    assert machine.held() == {}
    page.get_by_role("button", name="Save", exact=True).click()
    says(page, ".reading-state", r"Saved \d\d:\d\d by EH: 40.0 thou")
    entry = machine.held()[BORE_1, "deck"]
    assert (entry["value"], entry["by"]) == ("40. thou", "EH")
    says(other, '[data-path="deck"]', "40.0 thou, EH")
    says(other, '[data-path="deck"]', "outside")
    page.get_by_role("button", name="Undo").click()
    says(other, '[data-path="deck"]', "open")
    assert (BORE_1, "deck") not in machine.held()


def test_enter_goes_from_blade_to_blade_saves_and_goes_on_and_a_tap_answers_what_was_looked_at(bench):
    machine, page, _ = bench

    def typed():
        choose(page, "ring.top.gap")
        page.locator("#blank-go:focus").wait_for()
        for text in ("10.5", "11"):
            page.keyboard.press("ControlOrMeta+a")
            page.keyboard.type(text)
            page.keyboard.press("Enter")

    until_said(typed, page, ".bench-last", "Saved .* by EH: bore 1, top ring gap.*within")
    assert page.locator(".bench-list [aria-current]").get_attribute("data-path") == "ring.second.gap"
    choose(page, "rod.way")
    page.get_by_role("button", name="turned by half a turn").click()
    says(page, ".reading-verdict", "outside, rod turned round")
    says(page, ".reading-state", "Saved")
    held = machine.held()
    assert (held[BORE_1, "ring.top.gap"]["go"], held[BORE_1, "ring.top.gap"]["tight"]) == (
        "10.5 thou",
        "11 thou",
    )
    assert held[BORE_1, "rod.way"]["value"] == "turned"


def test_the_unit_is_that_of_the_button_and_goes_for_both_blades(bench):
    machine, page, _ = bench
    fill(page, "rod.side", go="0.25", tight="0.30")
    page.locator(".reading-units").get_by_role("button", name="mm").click()
    page.get_by_role("button", name="Save", exact=True).click()
    says(page, ".bench-last", "rod side clearance")
    entry = machine.held()[BORE_1, "rod.side"]
    assert (entry["go"], entry["tight"]) == ("0.25 mm", "0.30 mm")
    choose(page, "ring.top.gap")
    page.locator(".reading-units").get_by_role("button", name="thou").click()


def test_two_browsers_and_the_command_line_see_each_other_and_who_is_second_is_asked(bench):
    machine, page, other = bench
    fill(page, "deck", value="10")
    fill(other, "deck", value="12")
    set_entries(machine.record, SPEC, "crank", ["end_play", "5thou"], by="KL")
    page.get_by_role("button", name="Save", exact=True).click()
    says(other, ".reading-conflict", r"EH wrote 10.0 thou at \d\d:\d\d; you typed 12 thou")
    assert machine.held()[BORE_1, "deck"]["value"] == "10 thou"
    other.get_by_role("button", name="Write mine").click()
    says(page, '[data-path="deck"]', "12.0 thou, JM")
    fill(page, "deck", value="11")
    set_entries(machine.record, SPEC, "bore 1", ["deck", "13thou"], by="KL")
    says(page, ".reading-conflict", "KL wrote 13.0 thou.*you typed 11 thou")
    page.get_by_role("button", name="Keep theirs").click()
    says(page, ".reading-state", "13.0 thou, by KL")
    assert machine.held()[BORE_1, "deck"]["value"] == "13thou"
    assert machine.held()[CRANK, "end_play"]["by"] == "KL"
    for each in (page, other):
        each.locator(".bench-history summary").click()
        says(each, ".bench-told", r"KL \(command line or editor\): crank, end play: nothing → 5.0 thou")
    says(page, ".bench-told", r"JM \(another browser\): bore 1, crown below deck: 10.0 thou → 12.0 thou")
    says(other, ".bench-told", r"JM \(here\): bore 1, crown below deck: 10.0 thou → 12.0 thou")


def test_a_machine_that_is_killed_loses_nothing_that_was_typed(bench):
    machine, page, other = bench
    fill(page, "deck", value="10")
    fill(other, "ring.top.gap", go="15", tight="16")
    machine.kill()
    says(page, ".banner", "Not connected: what you type is kept")
    page.get_by_role("button", name="Save", exact=True).click()
    says(page, ".bench-pending, .reading-state", "saved as soon as the machine answers")
    other.get_by_role("button", name="Save", exact=True).click()
    set_entries(machine.record, SPEC, "bore 1", ["ring.top.gap", "go=18thou", "tight=19thou"], by="KL")
    machine.start()
    says(page, ".bench-last", "crown below deck, 10.0 thou")
    says(other, ".reading-conflict", "KL wrote 18.0 thou goes.*you typed go 15 thou, tight 16 thou")
    assert machine.held()[BORE_1, "deck"]["value"] == "10 thou"
    assert machine.held()[BORE_1, "ring.top.gap"]["by"] == "KL"
    mine = other.get_by_role("button", name="Write mine")
    until_said(
        lambda: mine.is_visible() and mine.click(),
        page, '[data-path="ring.top.gap"]', "15.0 thou goes, 16.0 thou is tight, JM",
    )  # fmt: skip


def test_a_page_that_is_loaded_anew_has_what_was_typed_and_who_typed_it(bench):
    machine, page, _ = bench
    fill(page, "deck", value="17")
    page.reload(timeout=60_000)
    page.get_by_role("tab", name="Readings").click(timeout=60_000)
    says(page, '[data-path="deck"], .bench-pending', "typed, not saved")
    choose(page, "deck")
    assert page.locator("#blank-value").input_value() == "17"
    assert page.locator(".bench-by").inner_text() == "EH"
    assert machine.held() == {}
    page.locator("#blank-value").fill("")


def test_a_spoilt_record_is_told_with_its_line_nothing_is_written_and_what_was_typed_waits(bench):
    machine, page, _ = bench
    fill(page, "deck", value="10")
    machine.record.write_text("[bore.1]\ndeck = {\n")
    says(page, ".reading-refused", r"cannot be used now, nothing is written: knot.record.toml:2")
    page.get_by_role("button", name="Save", exact=True).click()
    says(page, ".reading-refused, .pending", "[Nn]ot saved: knot.record.toml:2")
    assert machine.record.read_text() == "[bore.1]\ndeck = {\n"
    machine.record.write_text("[bore.1]\nrod.number = { value = 1 }\n")
    says(page, ".bench-last", "crown below deck, 10.0 thou")
    assert set(machine.held()) == {(BORE_1, "deck"), (BORE_1, "rod.number")}


def test_everything_is_large_enough_for_a_thumb(bench):
    _, page, _ = bench
    choose(page, "ring.top.gap")
    sizes = page.evaluate(
        """() => [...document.querySelectorAll('.bench button, .bench input, .bench summary')]
            .map((each) => [each.getBoundingClientRect(), getComputedStyle(each).fontSize, each.className])
            .filter(([box]) => box.width > 0)
            .map(([box, size, name]) => [box.width, box.height, parseFloat(size), name])"""
    )
    assert len(sizes) > 30
    assert [each for each in sizes if min(each[:2]) < 47.9 and each[1] < 47.9] == []
    assert [each for each in sizes if each[2] < 18] == []
