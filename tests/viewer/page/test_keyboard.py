"""The page by keys alone: everything is reached, one sees where one is, and nothing holds one fast."""

import pytest

PAGES = {"builder": {}, "customer": {"voice": "customer", "mistake": "rod_turned"}}
MOST_STOPS = 200
pytestmark = pytest.mark.browser


def state(page, key):
    return page.evaluate(f"fullturn.store.state.{key}")


def reach(page, selector):
    """Tab until something has the focus."""
    for _ in range(MOST_STOPS):
        page.keyboard.press("Tab")
        if page.evaluate("(selector) => document.activeElement.matches(selector)", selector):
            return
    raise AssertionError(f"no key leads to {selector}")


def test_the_focus_goes_round_and_is_always_seen(kept_pages):
    kept = kept_pages()
    stops = []
    for _ in range(MOST_STOPS):
        kept.page.keyboard.press("Tab")
        stop = kept.page.evaluate("looking.focused()")
        if stop is None or (stops and stop["what"] == stops[0]["what"]):
            break
        stops.append(stop)
    assert len(stops) < MOST_STOPS
    assert len(stops) > 5
    assert [one["what"] for one in stops if not one["marked"] or not one["inView"] or one["covered"]] == []


@pytest.mark.parametrize("asked", PAGES)
def test_every_control_has_a_name(kept_pages, asked):
    kept = kept_pages(**PAGES[asked])
    tree = kept.page.context.new_cdp_session(kept.page)
    nameless = []
    for tab in kept.tabs():
        for node in tree.send("Accessibility.getFullAXTree")["nodes"]:
            focusable = any(
                p["name"] == "focusable" and p["value"]["value"] for p in node.get("properties", [])
            )
            if focusable and not node["ignored"] and not node.get("name", {}).get("value"):
                nameless.append((tab, node["role"]["value"]))
    tree.detach()
    assert nameless == []


def test_all_that_a_builder_does_goes_by_keys(kept_pages):
    kept = kept_pages()
    page, press = kept.page, kept.page.keyboard.press
    page.evaluate("document.querySelector('.skip').focus()")

    reach(page, ".choices input[value=glass]")
    press("ArrowRight")
    assert state(page, "block") == "cut"
    reach(page, "input[type=range]")
    press("ArrowRight")
    assert state(page, "crank_deg") == pytest.approx(0.5)
    reach(page, ".play[aria-label=Turn]")
    press("Space")
    assert state(page, "playing") == 1
    press("Space")
    assert state(page, "playing") == 0
    reach(page, ".typed")
    press("Control+a")
    page.keyboard.type("123.4")
    press("Enter")
    assert state(page, "crank_deg") % 720 == pytest.approx(123.4)
    assert "123.4°" in page.locator("input[type=range]").get_attribute("aria-valuetext")

    reach(page, "[role=tab]")
    reach(page, ".place")
    press("Enter")
    assert state(page, "place") is not None
    page.locator("[role=tab][aria-selected=true]").focus()
    for tab in page.locator("[role=tab]").all()[1:]:
        press("ArrowRight")
        assert tab.get_attribute("aria-selected") == "true"
        assert page.locator(f"#{tab.get_attribute('aria-controls')}").is_visible()
    press("ArrowRight")
    assert page.locator("[role=tab]").first.get_attribute("aria-selected") == "true"


def test_the_list_of_keys_opens_and_lets_go(kept_pages):
    kept = kept_pages()
    page = kept.page
    reach(page, ".foot button")
    page.keyboard.press("Enter")
    assert page.locator("dialog.keys").is_visible()
    page.keyboard.press("Escape")
    assert not page.locator("dialog.keys").is_visible()
    assert page.evaluate("document.activeElement.matches('.foot button')")
    page.keyboard.press("?")
    reach(page, "dialog button")
    page.keyboard.press("Enter")
    assert not page.locator("dialog.keys").is_visible()
