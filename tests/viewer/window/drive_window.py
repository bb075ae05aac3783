"""Opens a real window on a display, presses real keys and drags with a real mouse, prints what came of it.

Run by ``test_events`` in a process of its own: a process that has drawn off-screen keeps drawing off-screen.
"""

import json
import subprocess
import sys
import threading
import time
from pathlib import Path

import viewer.window.view
from geometry.assembly import assemble
from geometry.spec.load import load_engine
from viewer.window.events import Events
from viewer.window.hud import track
from viewer.window.loaded import Loaded
from viewer.window.places import find_places
from viewer.window.view import EngineWindow


def xdotool(*words):
    subprocess.run(["xdotool", *words], check=True, capture_output=True)


def until(true, seconds=8.0):
    """Wait for the window to have done its part."""
    end = time.monotonic() + seconds
    while not true() and time.monotonic() < end:
        time.sleep(0.02)
    return true()


def drive(view, seen):
    found = []
    until(lambda: found.extend(_windows()) or bool(found))
    window = found[0]
    state = lambda: view.state  # noqa: E731

    def key(*names):
        for name in names:
            xdotool("key", "--window", window, name)

    time.sleep(0.5)
    key("Right", "Right")
    seen["right"] = until(lambda: state().crank_deg == 2.0)
    key("shift+Right")
    seen["fine"] = until(lambda: abs(state().crank_deg - 2.1) < 1e-9)
    key("7", "5", "Return")
    seen["typed"] = until(lambda: state().crank_deg == 75.0)
    seen["coarse_then_fine"] = until(lambda: not view.stage.moving)
    key("shift+slash")
    seen["keys"] = until(lambda: state().keys)
    key("Escape")
    seen["escape"] = until(lambda: not state().keys)
    bar = track(view._panels.size_px)
    y = round(view._panels.size_px[1] - bar.bottom - bar.height / 2)
    xdotool("mousemove", "--window", window, str(round(bar.left + 10)), str(y), "mousedown", "1")
    xdotool("mousemove", "--window", window, str(round(bar.left + bar.width / 2)), str(y))
    seen["bar"] = until(lambda: abs(state().crank_deg - view.cycle_deg / 2) < 5.0)
    xdotool("mouseup", "1")
    before = view.stage.camera().position_mm.copy()
    xdotool("mousemove", "--window", window, "200", "150", "mousedown", "1")
    for x in (230, 260, 290):
        xdotool("mousemove", "--window", window, str(x), "150")
        time.sleep(0.1)
    xdotool("mouseup", "1")
    seen["turned"] = until(lambda: bool(abs(view.stage.camera().position_mm - before).max() > 10.0))
    seen["level"] = abs(float(view.stage.camera().right[2])) < 1e-9
    near = view.eye.half_mm
    xdotool("click", "4")
    seen["wheel"] = until(lambda: view.eye.half_mm < 0.9 * near)
    key("End")
    seen["fit"] = until(lambda: state().eye is None and state().from_deg is not None)
    until(lambda: view.places is not None, 30.0)
    stood, height = state(), view.eye.half_mm
    key("w")
    seen["near"] = until(lambda: state().near and not view._gaze.flying and view.eye.half_mm < height)
    key("BackSpace")
    seen["back"] = until(lambda: (state().near, state().crank_deg) == (False, stood.crank_deg))
    hands_on_buttons(view, window, key, seen)
    key("space")
    start = state().crank_deg
    seen["runs"] = until(lambda: state().crank_deg > start + 5.0)
    key("space")
    seen["stops"] = until(lambda: state().playing == 0)
    key("Escape")


def hands_on_buttons(view, window, key, seen):
    """The bar, the tag beside the mouse, the list of mistakes and a film, by real events."""
    state = lambda: view.state  # noqa: E731

    def move(x, y):
        xdotool("mousemove", "--window", window, str(round(x)), str(round(view._panels.size_px[1] - y)))

    def click(name):
        found = []
        until(lambda: found.extend(b.box for b in view._panels.buttons if b.name == name) or bool(found))
        move(*found[0].centre)
        xdotool("click", "1")

    click("Clearances")
    seen["topic"] = until(lambda: state().topic == "Clearances")
    click("y")
    seen["clicked"] = until(lambda: not state().listing)
    seen["tip"] = until(lambda: view._pointing.tag is not None and view._pointing.tag.key == "Y")
    move(320, 5)
    seen["tip_gone"] = until(lambda: view._pointing.tag is None)
    key("m")
    until(lambda: state().picker is not None)
    key("g", "a", "p", "s")
    seen["searched"] = until(lambda: state().picker.sought == "gaps")
    key("Return")
    seen["mistake"] = until(lambda: state().mistake == ("gaps_in_line", 1))
    seen["on_paper"] = until(lambda: view._beside.flat)
    click("shift+s")
    seen["in_solids"] = until(lambda: not view._beside.flat)
    key("Escape")
    until(lambda: state().mistake is None)
    key("ctrl+p")
    seen["film"] = until(lambda: any(view.folder.glob("knot 1.*")), 30.0)


def _windows():
    done = subprocess.run(["xdotool", "search", "--name", "fullturn"], capture_output=True, text=True)
    return done.stdout.split()


def main():
    viewer.window.view.FILM_STEP_DEG = 90.0
    knot = assemble(load_engine(Path(sys.argv[1])))
    folder = Path(sys.argv[2])
    view = EngineWindow(Loaded(knot), size=(640, 420), quality="fast", find=find_places, folder=folder)
    seen = {"class": view.window.GetClassName()}
    events = Events(view)
    driver = threading.Thread(target=drive, args=(view, seen), daemon=True)
    driver.start()
    events.run()
    driver.join()
    seen["closed"] = True
    view.close()
    sys.stdout.write(json.dumps(seen) + "\n")


if __name__ == "__main__":
    main()
