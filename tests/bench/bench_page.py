"""The page while the crank turns: frames a second and time to the first picture, against full meshes always.

Run: ``.venv/bin/python tests/bench/bench_page.py [ENGINE] [--size 1280x800] [--page FILE]`` (default tern).

Headless Chromium, software rendering. The alternative draws every frame as the picture at rest: full meshes, edges,
the glass and all pixels. The browser's own share is the same in both. No limit is held here; the machine decides.
"""

from __future__ import annotations

import argparse
import shutil
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

FLAGS = ["--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader"]
SECONDS = 4.0
FULL = """() => {
  const { stage } = window.fullturn;
  stage.render = () => Object.getPrototypeOf(stage).render.call(stage, false);
}"""
RATE = """async (seconds) => {
  const { stage, store } = window.fullturn;
  store.set({ playing: 1, speed_deg_s: 60 });
  await new Promise((done) => setTimeout(done, 2000));
  const [since, before] = [performance.now(), stage.frames];
  await new Promise((done) => setTimeout(done, 1000 * seconds));
  const found = (1000 * (stage.frames - before)) / (performance.now() - since);
  store.set({ playing: 0 });
  return [found, stage.pace.level, stage.renderer.info.render.calls, stage.renderer.info.render.triangles];
}"""
FIRST = """async () => {
  const there = () => window.fullturn && window.fullturn.stage && window.fullturn.stage.frames;
  while (!there()) await new Promise((go) => setTimeout(go, 10));
  const gl = window.fullturn.stage.renderer.getContext();
  gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, new Uint8Array(4));
  return performance.now();
}"""


def main() -> None:
    """Print both."""
    from playwright.sync_api import sync_playwright

    from viewer.job import read_job
    from viewer.page.document import document
    from viewer.page.page import page_of

    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("engine", nargs="?", default="tern")
    asked.add_argument("--size", default="1280x800")
    asked.add_argument("--page", type=Path, help="a page written before")
    given = asked.parse_args()
    file = given.page
    if file is None:
        file = Path(tempfile.mkdtemp()) / "page.html"
        file.write_text(
            document(*page_of(read_job(ROOT / f"demo_engines/{given.engine}.toml"))), encoding="utf-8"
        )
    width, height = (int(v) for v in given.size.split("x"))
    browser_path = shutil.which("chromium") or shutil.which("chromium-browser")
    with sync_playwright() as tool:
        browser = tool.chromium.launch(executable_path=browser_path, args=FLAGS)
        for words, before in (("coarse while it moves", None), ("full meshes always", FULL)):
            page = browser.new_page(viewport={"width": width, "height": height})
            page.goto(f"{file.resolve().as_uri()}?quality=plain")
            first = page.evaluate(FIRST)
            while not page.evaluate("window.fullturn.stage.warm"):
                time.sleep(0.1)
            if before:
                page.evaluate(before)
            rate, level, calls, triangles = page.evaluate(RATE, SECONDS)
            room = page.evaluate("JSON.stringify(window.fullturn.stage.size)")
            print(  # noqa: T201
                f"{words}: {rate:.1f} frames/s, first picture {first:.0f} ms after navigation"
                f" (canvas {room}, pixels at level {level}, {calls} draws, {triangles} triangles in the last)"
            )
            page.close()
        browser.close()


if __name__ == "__main__":
    main()
