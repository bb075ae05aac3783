"""A page at rest draws nothing, asks for nothing and says nothing."""

import pytest

PAGES = {"builder": {}, "customer": {"voice": "customer", "mistake": "rod_turned"}}
COUNTED = """() => new Promise((done) => {
  const was = requestAnimationFrame;
  const count = { asked: 0, altered: 0, drawn: fullturn.stage.frames };
  window.requestAnimationFrame = (call) => ((count.asked += 1), was(call));
  const watch = new MutationObserver((all) => { count.altered += all.length; });
  watch.observe(document.documentElement, { subtree: true, childList: true, attributes: true, characterData: true });
  setTimeout(() => {
    window.requestAnimationFrame = was;
    watch.disconnect();
    done({ ...count, drawn: fullturn.stage.frames - count.drawn });
  }, 600);
})"""
pytestmark = pytest.mark.browser


@pytest.mark.parametrize("asked", PAGES)
def test_nothing_is_drawn_while_nothing_moves(kept_pages, asked):
    kept = kept_pages(**PAGES[asked])
    kept.settle()
    assert kept.page.evaluate(COUNTED) == {"asked": 0, "altered": 0, "drawn": 0}
    kept.page.evaluate("fullturn.journey.play(1)")
    moving = kept.page.evaluate(COUNTED)
    kept.page.evaluate("fullturn.journey.play(1)")
    assert moving["asked"] > 0
    assert moving["altered"] > 0


@pytest.mark.parametrize("asked", PAGES)
def test_nothing_is_asked_for_and_nothing_is_said(kept_pages, asked):
    kept = kept_pages(**PAGES[asked])
    for _ in kept.tabs():
        pass
    kept.settle()
    outside = [one for one in kept.asked if not one.startswith(("data:", "blob:"))]
    assert outside == [kept.page.url]
    assert kept.said == []
    assert kept.page.evaluate("breaches") == []


def test_what_a_page_may_not_do_is_noticed(chromium, page_file):
    page = chromium.new_page()
    page.add_init_script(
        "window.breaches = []; addEventListener('securitypolicyviolation', (e) => breaches.push(e.blockedURI))"
    )
    page.goto(page_file("knot").as_uri())
    page.evaluate("new Image().src = 'http://127.0.0.1:9/x.png'")
    for _ in range(100):
        if page.evaluate("breaches"):
            break
        page.wait_for_timeout(20)
    assert page.evaluate("breaches") == ["http://127.0.0.1:9/x.png"]
    page.close()
