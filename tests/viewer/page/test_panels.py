"""The panels beside the picture say what geometry and `check` say, by hand, by key and to who listens."""

import re

import numpy as np
import pytest
from click.testing import CliRunner

from geometry.kinematics.slider_crank import at_speed, state
from geometry.rings.clocked import bore_clock
from geometry.units import show
from viewer.commands.check import command
from viewer.job import read_job

pytestmark = pytest.mark.browser
ENGINE = "demo_engines/knot.toml"


@pytest.fixture(scope="module")
def job():
    return read_job(ENGINE)


@pytest.fixture(scope="module")
def printed():
    """All that `check --all` prints, on a terminal where nothing is broken."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("COLUMNS", "400")
        said = CliRunner().invoke(command, [ENGINE, "--all"]).output
    return " ".join(said.split())


def texts(page, css):
    return page.eval_on_selector_all(css, "found => found.map((one) => one.textContent.trim())")


def tab(page, name):
    page.get_by_role("tab", name=name, exact=True).click()


def test_the_panels_say_what_check_and_geometry_say(opened, page_file, job, printed):
    page = opened(page_file("knot"))
    _list_is_that_of_check(page, printed)
    tab(page, "Ring clock")
    _clock_is_that_of_geometry(page, job)
    tab(page, "Curves")
    _curves_are_those_of_geometry(page, job)
    tab(page, "Numbers")
    _every_number_is_printed_by_check(page, printed)


def _list_is_that_of_check(page, printed):
    places = page.evaluate("window.fullturn.store.variant.places")
    clearances = [place for place in places if place["kind"] == "clearance"]
    assert clearances
    for place in clearances:
        assert place["value"] in printed
        assert place["source"] in printed
    assert set(texts(page, ".alike .value")) <= {place["value"] for place in places}
    groups = {(place["kind"], place["group"]) for place in places}
    assert page.locator(".alike").count() == len(groups)


def _clock_is_that_of_geometry(page, job):
    site = job.assembly.layout.site(page.evaluate("window.fullturn.store.state.bore"))
    clock = bore_clock(job.assembly.spec, site, job.assembly.built.bore(site.bore))
    marks = page.eval_on_selector_all(
        ".face:not(.key) .mark",
        "found => found.map((one) => [one.dataset.ring, Number(one.dataset.deg), ...one.getBBox ? "
        "[one.getCTM().e, one.getCTM().f] : []])",
    )
    assert {ring: deg for ring, deg, _, _ in marks} == pytest.approx(clock.angles_deg)
    middle_x, middle_y = page.eval_on_selector(
        ".face .pin", "one => [one.getCTM().e, one.getCTM().f]"
    )  # the axis lies in the middle
    for _ring, deg, x, y in marks:  # front is up and angles run clockwise: nothing is mirrored
        turned = np.degrees(np.arctan2(x - middle_x, middle_y - y)) % 360.0
        assert abs((turned - deg + 180.0) % 360.0 - 180.0) < 0.5
    assert any(clock.thrust_words.upper() in text for text in texts(page, ".thrust-name"))


def _curves_are_those_of_geometry(page, job):
    bore = page.evaluate("window.fullturn.store.state.bore")
    index, linkage, rpm = (
        job.assembly.layout.index(bore),
        job.assembly.linkage,
        job.assembly.spec.engine.speed_rpm,
    )
    top_deg = page.evaluate("window.fullturn.store.variant.bores[0].top_deg")
    top = state(linkage, top_deg).pin_height_mm[index]
    for deg in (17.0, 133.5, 301.0, 655.5):
        page.evaluate("deg => window.fullturn.store.set({ crank_deg: deg })", deg)
        motion = state(linkage, deg)
        speed = at_speed(motion, rpm)
        wanted = [
            show(top - motion.pin_height_mm[index], "length", job.system, fine=True),
            show(speed.velocity_m_s[index], "speed", job.system),
            f"{speed.acceleration_m_s2[index] / 9.80665:.0f} g",
        ]
        shown = [text.split(" at ")[0] for text in texts(page, ".here")]
        assert shown[-3:] == wanted


def _every_number_is_printed_by_check(page, printed):
    cells = texts(page, ".answers td, .answers dd")
    assert len(cells) > 50
    said = [re.sub("^[✕!✓] ", "", cell).split() for cell in cells]
    # a long cell is broken by the terminal's table, its parts among other cells
    missing = [
        cell for cell in said if not all(word in printed for word in ([" ".join(cell)], cell)[len(cell) > 5])
    ]
    assert missing == []
    notes = texts(page, ".notes p")
    assert notes
    assert [note for note in notes if " ".join(note.split()) not in printed] == []


def test_it_is_worked_by_keys_alone_and_says_where_it_went(opened, page_file):
    page = opened(page_file("knot"))
    crank = "window.fullturn.store.state.crank_deg"
    press = page.keyboard.press
    for key, deg in (("ArrowRight", 1.0), ("ArrowUp", 11.0), ("Shift+ArrowLeft", 10.9), ("ArrowDown", 0.9)):
        press(key)
        assert page.evaluate(crank) == pytest.approx(deg)
    press("w")
    worst = page.evaluate("window.fullturn.store.variant.places[0]")
    assert page.evaluate("window.fullturn.store.state.place") == worst["id"]
    said = page.locator("[role=status][aria-live]").first.text_content()
    assert worst["words"] in said
    assert worst["verdict"] in said
    press("n")
    assert page.evaluate("window.fullturn.store.state.place") == "place-1"
    press("Backspace")
    assert page.evaluate("window.fullturn.store.state.place") == worst["id"]
    press("?")
    assert page.locator("dialog.keys").evaluate("one => one.open")
    press("Escape")
    page.locator("dialog.keys").wait_for(state="hidden")
    press("Space")
    assert page.evaluate("window.fullturn.store.state.playing") == 1
    press("Space")
    assert page.evaluate("window.fullturn.store.state.playing") == 0
    page.get_by_role("tab").first.focus()
    before = page.evaluate(crank)
    press("ArrowRight")  # of the tabs now, not of the crank
    assert page.get_by_role("tab").nth(1).get_attribute("aria-selected") == "true"
    assert page.evaluate(crank) == before


def test_an_angle_is_typed_and_numbers_are_sifted(opened, page_file):
    page = opened(page_file("knot"), width=360, height=640)
    box = page.get_by_role("spinbutton", name="Crank angle, degrees")
    box.fill("123.4")
    box.press("Enter")
    assert page.evaluate("window.fullturn.store.state.crank_deg") == pytest.approx(123.4)
    tab(page, "Numbers")
    page.get_by_role("searchbox").fill("second ring")
    seen = page.locator(".answers [data-line]:visible")
    assert seen.count() > 0
    assert all("second ring" in text.lower() for text in seen.all_text_contents())
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
