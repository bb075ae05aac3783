"""Draws every picture of the README's gallery anew from the demo engines: ``.venv/bin/python .ci/gallery.py [NAME..]``.

Look at each before it is committed. The page's picture needs a chromium and Playwright (the test extra).
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory

from PIL import Image

ROOT = Path(__file__).parents[1]
DEMOS = ROOT / "demo_engines"
GALLERY = DEMOS / "gallery"
MOST_BYTES = 150_000
WIDE_PX = 1200
SIZE = (1280, 800)
QUALITIES = range(90, 30, -6)
BROWSER = ("--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader")
GAP_PX = 24
GROUND = "#c9ced4"
READY = "#app[data-ready]"


def window(place: Path) -> None:
    """The window, gone to the worst place of the engine that does not clear."""
    from viewer.job import read_job
    from viewer.window.loaded import Loaded
    from viewer.window.places import find_places
    from viewer.window.view import EngineWindow

    job = read_job(DEMOS / "tern_long_stroke.toml")
    loaded = Loaded(job.assembly, units=job.system, assumed=job.rests_on)
    view = EngineWindow(loaded, off_screen=True, size=SIZE, quality="fine", find=find_places)
    try:
        while view.places is None:
            time.sleep(0.2)
            view.tick()
        view.press("w")
        view.rest()
        view.smooth()
        Image.fromarray(view.picture()).save(place)
    finally:
        view.close()


def page(place: Path) -> None:
    """The page in a browser, as it opens."""
    from playwright.sync_api import sync_playwright

    written = place.with_suffix(".html")
    _fullturn("page", DEMOS / "tern.toml", "-o", written)
    path = os.environ.get("CHROMIUM") or shutil.which("chromium")
    with sync_playwright() as tool:
        browser = tool.chromium.launch(executable_path=path, args=list(BROWSER))
        tab = browser.new_page(viewport={"width": SIZE[0], "height": SIZE[1]})
        tab.goto(written.as_uri())
        tab.wait_for_selector(READY, state="attached", timeout=60_000)
        tab.wait_for_timeout(1500)  # the fine picture follows the first
        tab.screenshot(path=place)
        browser.close()


def clock(place: Path) -> None:
    """The ring clock of one bore, for the wall."""
    _fullturn("clock", DEMOS / "tern.toml", "--bore", "3", "-o", place)


def explain(place: Path) -> None:
    """A rod the wrong way round beside one that is right."""
    _fullturn("explain", DEMOS / "tern.toml", "rod_turned", "--bore", "3", "-o", place)


def sheet(place: Path) -> None:
    """Sheets of paper of the build sheet side by side: the cover, the first of the bores, turning the crank."""
    _fullturn("sheet", DEMOS / "tern.toml", "--pages", "cover, bores, turning", "-o", place)
    count = len(list(place.parent.glob(f"{place.stem}-*.png")))
    numbers = (1, 2, count - 1)
    papers = [Image.open(place.with_name(f"{place.stem}-{number}.png")).convert("RGB") for number in numbers]
    wide, high = papers[0].size
    whole = Image.new("RGB", (3 * wide + 4 * GAP_PX, high + 2 * GAP_PX), GROUND)
    for number, paper in enumerate(papers):
        whole.paste(paper, (GAP_PX + number * (wide + GAP_PX), GAP_PX))
    whole.save(place)


PICTURES = {made.__name__: made for made in (window, page, clock, explain, sheet)}


def _fullturn(*words: object) -> None:
    """Run a command of the tree; one that says that something is outside its limit has done its work too."""
    program = "from viewer.cli import main; main()"
    done = subprocess.run([sys.executable, "-c", program, *map(str, words)], cwd=ROOT, capture_output=True)
    if done.returncode not in (0, 1):
        raise SystemExit(done.stderr.decode())


def kept(picture: Image.Image) -> bytes:
    """A picture as small as the gallery wants it: no wider, and as good as its bytes allow."""
    picture = picture.convert("RGB")
    picture.thumbnail((WIDE_PX, 2 * WIDE_PX))
    for quality in QUALITIES:
        written = BytesIO()
        picture.save(written, format="WEBP", quality=quality, method=6)
        if len(written.getvalue()) <= MOST_BYTES:
            return written.getvalue()
    raise SystemExit("a picture does not become small enough")


def main() -> None:
    """Draw all of them, or those that are named."""
    from viewer.output import write_whole

    names = sys.argv[1:] or list(PICTURES)
    unknown = sorted(set(names) - set(PICTURES))
    if unknown:
        raise SystemExit(f"there is no picture {', '.join(unknown)}; there are {', '.join(PICTURES)}")
    with TemporaryDirectory() as folder:
        for name in names:
            place = Path(folder) / f"{name}.png"
            PICTURES[name](place)
            written = kept(Image.open(place))
            write_whole(GALLERY / f"{name}.webp", written)
            print(f"{name}: {len(written) / 1000:.0f} kB")


if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))
    main()
