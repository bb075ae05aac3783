"""The page for who cannot see it, cannot use a mouse, or sees little: judged by axe-core, a public rule engine.

Its rules are those of WCAG 2.2 A and AA and its own best practices: https://github.com/dequelabs/axe-core (MPL 2.0).
What it cannot tell stands in ``test_keyboard.py`` (what keys reach, and whether one sees where one is),
``test_sizes.py`` (what is cut off or lies over other words) and here: that no verdict is told by colour alone, nor
any choice. Whether the words read aloud make sense in their order, it cannot tell either.
"""

from pathlib import Path

import pytest

AXE = Path(__file__).parents[3] / ".ci" / "node_modules" / "axe-core" / "axe.min.js"
PAGES = {"builder": {}, "customer": {"voice": "customer", "mistake": "rod_turned"}}
QUICK = "{rules: {'color-contrast': {enabled: false}}}"
pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def axe():
    if not AXE.exists():
        pytest.skip("axe-core is not installed: npm ci in .ci/")
    return AXE.read_text(encoding="utf-8")


def violations(page, axe, of="document", options="{}"):
    page.evaluate(f"window.axe ?? {{}}; if (!window.axe) {{ {axe} }}")
    found = page.evaluate(f"axe.run({of}, {{resultTypes: ['violations'], ...{options}}})")
    return [
        f"{rule['id']} ({rule['impact']}): {rule['help']}; {node['html'][:120]}"
        for rule in found["violations"]
        for node in rule["nodes"]
    ]


@pytest.mark.parametrize("asked", PAGES)
def test_no_rule_is_broken(kept_pages, axe, asked):
    kept = kept_pages(**PAGES[asked])
    found = violations(kept.page, axe, options=QUICK)
    for number, tab in enumerate(kept.tabs() if asked == "builder" else ()):
        # The panels share their colours: by turns, a scheme takes a second.
        scheme = ("light", "dark")[number % 2]
        kept.page.emulate_media(color_scheme=scheme)
        found += [f"{scheme}, {tab}: {one}" for one in violations(kept.page, axe, f"'#panel-{tab}'")]
    kept.page.emulate_media(color_scheme="light")
    kept.page.set_viewport_size({"width": 360, "height": 640})
    found += [f"phone: {one}" for one in violations(kept.page, axe, options=QUICK)]
    assert found == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_rule_is_broken_around_the_panels(kept_pages, axe, scheme):
    kept = kept_pages()
    kept.page.emulate_media(color_scheme=scheme)
    assert violations(kept.page, axe, "{exclude: ['#side']}") == []
    kept.page.keyboard.press("?")
    assert violations(kept.page, axe, "'dialog[open]'") == []
    kept.page.keyboard.press("Escape")


def test_what_breaks_a_rule_is_found(chromium, axe):
    page = chromium.new_page()
    page.set_content(
        '<html lang="en"><title>x</title><main><h1>x</h1><button></button><p style="color:#ccc">pale</p>'
    )
    found = violations(page, axe)
    page.close()
    assert {one.split()[0] for one in found} == {"button-name", "color-contrast"}


@pytest.mark.parametrize("asked", PAGES)
def test_every_verdict_is_told_in_words_and_by_a_sign(kept_pages, asked):
    """Seen without colour, or read aloud: a sign for the eye, and words beside it."""
    kept = kept_pages(**PAGES[asked])
    told = kept.page.evaluate(
        "[...document.querySelectorAll('.badge, .verdict')].filter((one) => one.dataset.severity)"
        ".map((one) => [one.querySelector('.sign, .verdict-sign')?.textContent ?? '', one.textContent])"
    )
    assert told
    for sign, words in told:
        assert sign in {"✕", "!", "✓"}
        assert len(words.replace(sign, "").strip()) > 2


def test_what_is_chosen_shows_in_the_reader_s_own_colours(kept_pages):
    """https://www.w3.org/TR/css-color-adjust-1/#forced: backgrounds go, so the chosen must keep one of its own."""
    kept = kept_pages()
    kept.page.emulate_media(forced_colors="active")
    ground = "(one) => getComputedStyle(one).backgroundColor"
    for chosen, other in [
        (".choices input:checked + span", ".choices input:not(:checked) + span"),
        ('[role="tab"][aria-selected="true"]', '[role="tab"][aria-selected="false"]'),
    ]:
        grounds = [kept.page.locator(one).first.evaluate(ground) for one in (chosen, other)]
        assert grounds[0] != grounds[1], chosen
