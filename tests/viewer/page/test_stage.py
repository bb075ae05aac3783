"""The picture in the page: drawn when something changes and at no other time, picked, taken to places, in halves."""

import numpy as np
import pytest

from viewer.job import read_job
from viewer.page.solids import GRID_MM, OUTSIDE, TURNED, Packing
from viewer.scene.shading import coarse, shaded

pytestmark = pytest.mark.browser
AT_REST = """async () => {
  const { stage } = window.fullturn;
  for (let before = -1; before !== stage.frames || !stage.warm; ) {
    before = stage.frames;
    await new Promise((done) => setTimeout(done, 600));
  }
  return stage.frames;
}"""


@pytest.fixture(scope="module")
def page(chromium, page_file):
    """One page of the smallest engine for all of these, each of which leaves it as it finds it."""
    context = chromium.new_context(
        viewport={"width": 1100, "height": 760}, offline=True, reduced_motion="reduce"
    )
    found = context.new_page()
    wrong = []
    found.on("pageerror", lambda error: wrong.append(str(error)))
    found.goto(f"{page_file('knot').as_uri()}?quality=plain")
    found.wait_for_function("() => window.fullturn && window.fullturn.ready", timeout=60_000)
    found.evaluate(AT_REST)
    yield found
    context.close()
    assert wrong == []


def set_state(page, **state):
    page.evaluate("(patch) => window.fullturn.store.set(patch)", state)


def test_nothing_is_drawn_while_nothing_moves(page):
    before = page.evaluate(AT_REST)
    page.wait_for_timeout(700)
    assert page.evaluate("window.fullturn.stage.frames") == before
    set_state(page, crank_deg=30.0)
    after = page.evaluate(AT_REST)
    assert before + 2 <= after <= before + 4  # at once, in full when it has come to rest


def test_a_tap_chooses_what_is_there_and_a_drag_does_not(page):
    set_state(page, block="hidden", view="front.1", picked=None)
    page.evaluate(AT_REST)
    box = page.locator(".stage canvas").bounding_box()
    x, y, hit = page.evaluate("""() => {
      const { stage } = window.fullturn;
      const { width, height } = stage.size;
      for (let i = 1; i < 24; i += 1) for (let k = 1; k < 24; k += 1) {
        const at = [(i * width) / 24, (k * height) / 24];
        const body = stage.hit(...at)?.body;
        if (body && body.bore !== null) return [...at, body.name];
      }
      return [0, 0, null];
    }""")
    middle = box["x"] + x, box["y"] + y
    page.mouse.click(*middle)
    assert page.evaluate("window.fullturn.store.state.picked") == hit is not None
    azimuth = page.evaluate("window.fullturn.stage.eye.gaze.azimuth")
    page.mouse.move(box["x"] + 250, box["y"] + 60)
    page.mouse.down()
    page.mouse.move(box["x"] + 150, box["y"] + 60, steps=3)
    page.mouse.up()
    assert page.evaluate("window.fullturn.store.state.picked") == hit
    assert page.evaluate("window.fullturn.stage.eye.gaze.azimuth") != azimuth
    set_state(page, block="glass", view="iso.1", picked=None)


def test_glass_is_not_picked(page):
    for block, expected in (("glass", False), ("solid", True)):
        set_state(page, block=block, view="left.1")
        page.evaluate(AT_REST)
        names = page.evaluate("""() => {
          const { stage } = window.fullturn;
          const { width, height } = stage.size;
          const found = [];
          for (let i = 1; i < 12; i += 1) for (let k = 1; k < 12; k += 1) {
            found.push(stage.hit((i * width) / 12, (k * height) / 12)?.body.name ?? '');
          }
          return found;
        }""")
        assert ("block" in names) is expected
    set_state(page, block="glass", view="iso.2")


def test_a_place_is_gone_to_with_its_dimension_and_only_there(page):
    place = page.evaluate("window.fullturn.store.variant.places.find((one) => one.a_mm && one.b_mm)")
    set_state(page, place=place["id"], crank_deg=place["crank_deg"], view="place")
    page.evaluate(AT_REST)
    middle = (np.array(place["a_mm"]) + place["b_mm"]) / 2
    seen = page.evaluate("(at) => window.fullturn.stage.eye.seen(at)", middle.tolist())
    assert abs(seen["x"]) < 0.01
    assert abs(seen["y"]) < 0.01
    assert page.locator(".sign.dimension").inner_text().startswith(place["value"])
    set_state(page, crank_deg=place["crank_deg"] + 5.0)
    page.evaluate(AT_REST)
    assert page.locator(".sign.dimension:visible").count() == 0
    set_state(page, place=None, crank_deg=0.0, view="iso.3")


def test_words_over_the_picture_never_stand_on_each_other(page):
    for view in ("iso.4", "top.4", "left.4", "front.4"):
        set_state(page, view=view)
        page.evaluate(AT_REST)
        boxes = [sign.bounding_box() for sign in page.locator(".sign:visible").all()]
        for i, a in enumerate(boxes):
            for b in boxes[:i]:
                apart = (
                    a["x"] >= b["x"] + b["width"] or b["x"] >= a["x"] + a["width"]
                    or a["y"] >= b["y"] + b["height"] or b["y"] >= a["y"] + a["height"]
                )  # fmt: skip
                assert apart, view


def test_another_page_leaves_nothing_behind_in_the_graphics_memory(page):
    page.evaluate(AT_REST)
    memory = "() => window.fullturn.stage.renderer.info.memory.geometries"
    gaze, held = page.evaluate("window.fullturn.stage.eye.gaze"), []
    for _ in range(3):
        page.evaluate("window.fullturn.store.replace(structuredClone(window.fullturn.store.page))")
        page.evaluate(AT_REST)
        held.append(page.evaluate(memory))
    assert held[0] == held[1] == held[2]
    assert page.evaluate("window.fullturn.stage.eye.gaze") == gaze


def test_meshes_come_out_of_the_bytes_as_they_went_in(page):
    body = next(b for b in read_job("demo_engines/knot.toml").assembly.bodies if b.name.startswith("piston"))
    mesh, packing = coarse(body.part.mesh, 0.02), Packing()
    assert packing.index_of(body.part.mesh) == packing.index_of(body.part.mesh) == 0
    number = page.evaluate(
        "(name) => window.fullturn.store.variant.bodies.find((b) => b.name === name).solid", body.name
    )
    found = page.evaluate(
        """(solid) => {
          const { points, triangles, marks } = window.fullturn.stage.parts.triangles(solid, 'fine');
          const { edges } = window.fullturn.stage.parts.shaded(solid, 'fine');
          return [[...points], [...triangles], [...marks], edges.length / 6];
        }""",
        number,
    )
    points = np.array(found[0]).reshape(-1, 3)
    corners = points[np.array(found[1]).reshape(-1, 3)]
    true = mesh.vertices[mesh.triangles]
    assert len(corners) == len(true)
    assert np.abs(np.sort(points, axis=0) - np.sort(mesh.vertices, axis=0)).max() <= 0.51 * GRID_MM
    volume = [float(np.einsum("ij,ij->", c[:, 0], np.cross(c[:, 1], c[:, 2]))) / 6 for c in (corners, true)]
    assert volume[0] == pytest.approx(volume[1], rel=1e-3)
    assert found[3] == len(shaded(mesh).edges)
    assert not any(mark & OUTSIDE for mark in found[2])
    assert any(mark & TURNED for mark in found[2])


def test_two_engines_turn_in_step_in_two_named_halves(page):
    page.evaluate("""() => {
      const { store } = window.fullturn;
      const twin = structuredClone(store.page);
      twin.variants = [...twin.variants, { ...structuredClone(twin.variants[0]), key: 'again', words: 'once more' }];
      store.replace(twin);
      store.set({ shown: [twin.variants[0].key, 'again'], crank_deg: 77 });
    }""")
    page.evaluate(AT_REST)
    named = [words.lower() for words in page.locator(".sign.half:visible").all_inner_texts()]
    assert named == ["as designed", "once more"]
    same = page.evaluate("""() => {
      const [a, b] = window.fullturn.stage.models;
      return [...a.nodes].every(([name, node]) => node.matrix.equals(b.nodes.get(name).matrix));
    }""")
    assert same
    set_state(page, shown=["designed"], crank_deg=0.0)
