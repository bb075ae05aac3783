"""Pages that are made once, opened in the one browser of all tests."""

import os
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from filelock import FileLock

from viewer.job import read_job
from viewer.page.document import document
from viewer.page.page import Asked, page_of

READY = "#app[data-ready]"
ROUGH = "?quality=rough"
"""Few pixels: software draws them, and these tests look at other things."""
LOOKING = Path(__file__).with_name("looking.js")
BREACHES = """window.breaches = [];
addEventListener('securitypolicyviolation',
  (event) => breaches.push(`${event.violatedDirective} ${event.blockedURI}`));"""
SETTLED = """async () => {
  for (let i = 0; i < 3; i += 1) await new Promise(requestAnimationFrame);
  await new Promise((done, fail) => {
    setTimeout(() => fail(new Error('it does not come to rest')), 20_000);
    let { frames } = fullturn.stage;
    let since = performance.now();
    const look = setInterval(() => {
      if (frames !== fullturn.stage.frames) [frames, since] = [fullturn.stage.frames, performance.now()];
      else if (performance.now() - since > 500) done(clearInterval(look));
    }, 50);
  });
}"""


@pytest.fixture(scope="session")
def page_file(tmp_path_factory):
    """Path of the page of a demo engine, written once for each engine and way of asking, for all workers."""
    base = tmp_path_factory.getbasetemp()
    folder = (base.parent if "PYTEST_XDIST_WORKER" in os.environ else base) / "pages"
    folder.mkdir(exist_ok=True)

    def made(engine="knot", **asked):
        path = folder / f"{'-'.join([engine, *(f'{key}-{asked[key]}' for key in sorted(asked))])}.html"
        with FileLock(f"{path}.lock"):
            if not path.exists():
                job = read_job(f"demo_engines/{engine}.toml")
                path.write_text(document(*page_of(job, Asked(**asked))), encoding="utf-8")
        return path

    return made


@pytest.fixture
def opened(chromium):
    """Opens a page from a file, network off, waits for its first picture; what the console says fails the test."""
    contexts, said = [], []

    def opened(path, width=1280, height=800, **more):
        context = chromium.new_context(viewport={"width": width, "height": height}, offline=True, **more)
        contexts.append(context)
        page = context.new_page()
        page.on(
            "console",
            lambda message: said.append(message.text) if message.type in ("error", "warning") else None,
        )
        page.on("pageerror", lambda error: said.append(str(error)))
        page.goto(f"{path.as_uri()}{ROUGH}")
        page.wait_for_selector(READY, state="attached", timeout=30_000)
        return page

    yield opened
    for context in contexts:
        context.close()
    assert said == []


@dataclass
class Kept:
    """A page that stays open for many tests, with what it said and asked for since it was opened."""

    page: Any
    said: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)

    def look(self, what, *args):
        """What ``looking.js`` finds; a list of sentences."""
        return self.page.evaluate("([what, args]) => looking[what](...args)", [what, list(args)])

    def tabs(self):
        """Opens one panel after another, and gives its name."""
        for tab in self.page.evaluate(
            "[...document.querySelectorAll('[role=tab]')].map((tab) => tab.id.slice(4))"
        ):
            self.page.evaluate("(panel) => fullturn.store.set({panel})", tab)
            yield tab

    def settle(self):
        """Waits until nothing has been drawn for half a second."""
        self.page.evaluate(SETTLED)


@pytest.fixture(scope="session")
def kept_pages(chromium, page_file):
    """Pages by what was asked, each opened once, from a file and with the network off."""
    known = {}

    def kept(**asked):
        key = tuple(sorted(asked.items()))
        if key not in known:
            context = chromium.new_context(offline=True)
            context.add_init_script(BREACHES)
            context.add_init_script(LOOKING.read_text(encoding="utf-8"))
            one = known[key] = Kept(context.new_page())
            one.page.on("console", lambda message: one.said.append(message.text))
            one.page.on("pageerror", lambda error: one.said.append(str(error)))
            one.page.on("request", lambda request: one.asked.append(request.url))
            one.page.goto(f"{page_file('knot', **asked).as_uri()}{ROUGH}")
            one.page.wait_for_selector(READY, state="attached", timeout=60_000)
            one.page.evaluate("window.first = {...fullturn.store.state, touched: true}")
        one = known[key]
        one.page.set_viewport_size({"width": 1280, "height": 800})
        one.page.emulate_media(color_scheme="light", media="screen", forced_colors="none")
        one.page.evaluate("fullturn.store.set(first); document.activeElement.blur()")
        return one

    yield kept
    for one in known.values():
        one.page.context.close()
