"""Pages that are made once, opened in the one browser of all tests."""

import pytest

from viewer.job import read_job
from viewer.page.document import document
from viewer.page.page import Asked, page_of

READY = "#app[data-ready]"


@pytest.fixture(scope="session")
def page_file(tmp_path_factory):
    """Path of the page of a demo engine, written once for each engine and way of asking."""
    folder = tmp_path_factory.mktemp("pages")
    known = {}

    def made(engine="knot", **asked):
        key = (engine, *sorted(asked.items()))
        if key not in known:
            known[key] = folder / f"{engine}-{len(known)}.html"
            job = read_job(f"demo_engines/{engine}.toml")
            known[key].write_text(document(*page_of(job, Asked(**asked))), encoding="utf-8")
        return known[key]

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
        page.goto(path.as_uri())
        page.wait_for_selector(READY, state="attached", timeout=30_000)
        return page

    yield opened
    for context in contexts:
        context.close()
    assert said == []
