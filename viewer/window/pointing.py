"""The small tag beside the mouse: what a button does, which part this is and what it keeps clear.

It comes once the mouse rests, stays as it is until the mouse rests on something else, and goes with the next thing
that is done; so it never flickers, and a crank that turns pays nothing for it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from vtkmodules.vtkRenderingCore import vtkRenderWindow
from vtkmodules.vtkRenderingOpenGL2 import vtkOpenGLRenderer

from geometry.assembly import Assembly
from geometry.checks.clearances import Clearance, judged
from geometry.clearance.full_turn import turn_of
from geometry.clearance.words import ordered, place_words
from geometry.units import System, show
from viewer.breaking import broken
from viewer.draw.overlay import Overlay, measure
from viewer.looks import LOOKS
from viewer.scene import Item
from viewer.scene.flat import PAPER, Measure, width_of
from viewer.scene.placing import Rectangle
from viewer.verdicts import as_assumed, source_beside
from viewer.window.finding import BackgroundSearch
from viewer.window.hud import INK, MARK, SOFT, Button, Panel, unit_of
from viewer.window.loaded import Loaded

REST_S = 0.25
SAME_PLACE_PX = 60.0
"""A tag that says the same stays where it is as long as the mouse is no farther from it."""
Leasts = Mapping[str, Clearance]


@dataclass(frozen=True, slots=True)
class Tag:
    """What a tag says: its first words stand out; ``key`` is the key that does the same; ``look`` of the verdict."""

    title: str
    key: str = ""
    lines: tuple[str, ...] = ()
    verdict: str = ""
    look: str = "ink"


def least_of_bodies(assembly: Assembly) -> dict[str, Clearance]:
    """For each body the clearance over the turn that leaves least of its limit."""
    found: dict[str, Clearance] = {}
    for clearance in judged(assembly, turn_of(assembly)[0]):
        for place in (clearance.near.pair.a, clearance.near.pair.b):
            found.setdefault(place.body.name, clearance)
    return found


def part_tag(name: str, title: str, leasts: Leasts | None, missing: str, units: System, assumed: str) -> Tag:
    """What is said of a part.

    Parameters
    ----------
    name, title : of the body, and what a builder calls it
    leasts : least clearance of each body; None while there are none, and ``missing`` says why
    assumed : how many values are assumed, empty where none is
    """
    if leasts is None:
        return Tag(title, lines=(missing,) if missing else ())
    least = leasts.get(name)
    if least is None:
        return Tag(title, lines=("nothing comes near it over the turn",))
    near, limit = least.near.approach, least.limit
    source = source_beside(limit.source, limit.least_mm, units)
    places = ordered(least.near.pair)
    own, other = places if places[0].body.name == name else places[::-1]
    lines = [
        f"{place_words(own)} to {place_words(other)}",
        f"least {show(near.min_mm, 'length', units, fine=True)} over the turn, at {near.crank_deg % 720.0:.1f}°",
        f"limit {show(limit.least_mm, 'length', units)} ({source})",
    ]
    more = [assumed] if assumed else []
    return Tag(title, "", (*lines, *more), as_assumed(least.verdict, assumed), least.verdict)


def tag_panel(
    tag: Tag, at_px: tuple[int, int], size_px: tuple[int, int], measure: Measure, beside_px: float = np.inf
) -> Panel:
    """The tag above and right of the mouse, moved as far as the window asks for; left of ``beside_px`` in any case."""
    panel, unit = Panel(measure=measure), unit_of(size_px)
    size, line, pad = 14.5 * unit, 20.0 * unit, 9.0 * unit
    room, bold = min(0.42 * size_px[0], 520.0 * unit), bool(tag.lines)
    heads = broken(tag.title, room, width_of(measure, size, bold))
    rows = [piece for one in tag.lines for piece in broken(one, room, width_of(measure, 0.93 * size, False))]
    key = measure(tag.key, size, True)[0] + 12.0 * unit if tag.key else 0.0
    verdict = measure(tag.verdict, size, True)[0] if tag.verdict else 0.0
    wide = [measure(one, size, bold)[0] for one in heads]
    wide[-1] += key
    width = max(*wide, verdict, *(measure(one, 0.93 * size, False)[0] for one in rows)) + 2 * pad
    height = line * (len(heads) + len(rows) + bool(tag.verdict)) + 1.4 * pad
    left = max(min(at_px[0] + 14.0 * unit, min(size_px[0], beside_px) - width - 4.0), 4.0)
    bottom = min(max(at_px[1] + 14.0 * unit, 4.0), size_px[1] - height - 4.0)
    frame = 1.5 * unit
    edge = Rectangle(left - frame, bottom - frame, width + 2 * frame, height + 2 * frame)
    panel.fill(edge.corners, SOFT)
    panel.fill(Rectangle(left, bottom, width, height).corners, PAPER)
    panel.taken.append(edge)
    middle = bottom + height - 0.7 * pad - line / 2
    for one in heads:
        wide_one = panel.write(one, left + pad, middle, size, INK, bold=bold)
        middle -= line
    if tag.key:
        panel.write(tag.key, left + pad + wide_one + 12.0 * unit, middle + line, size, MARK, bold=True)
    for one in rows:
        panel.write(one, left + pad, middle, 0.93 * size, SOFT)
        middle -= line
    if tag.verdict:
        panel.write(tag.verdict, left + pad, middle, size, LOOKS[tag.look].colour, bold=True)
    return panel


class Pointing:
    """Where the mouse is, since when, and the tag that stands beside it, in a layer before all others."""

    def __init__(self, window: vtkRenderWindow) -> None:
        self._window = window
        window.SetNumberOfLayers(3)
        self._front = vtkOpenGLRenderer()
        self._front.SetLayer(2)
        self._front.InteractiveOff()
        self._front.DrawOff()
        window.AddRenderer(self._front)
        self._overlay = Overlay(self._front)
        self._at: tuple[int, int] = (0, 0)
        self._since = float("inf")
        self._shown_at = (0, 0)
        self._leasts = BackgroundSearch(least_of_bodies, "its clearances")
        self._asked: tuple[Item, Assembly, Loaded] | None = None
        self.tag: Tag | None = None

    def moved(self, x_px: int, y_px: int, now_s: float) -> None:
        """The mouse is there now."""
        self._at, self._since = (x_px, y_px), now_s

    def rested(self, now_s: float) -> tuple[int, int] | None:
        """Where the mouse has come to rest; told once each time."""
        if now_s - self._since < REST_S:
            return None
        self._since = float("inf")
        return self._at

    def tell(
        self, button: Button | None, item: Item | None, assembly: Assembly | None, loaded: Loaded
    ) -> bool:
        """Say what a button does, or what an item is; whether anything is drawn otherwise than before.

        Parameters
        ----------
        assembly : whose clearances hold for the item; None where they are not known
        """
        self._asked = None
        if button is not None:
            beside = button.box.left if button.kind == "mistake" else np.inf  # or it would cover the list
            return self.show(Tag(*button.tip) if button.tip[0] else None, beside)
        if item is None:
            return self.show(None)
        if assembly is None:
            return self.show(Tag(item.words))
        self._leasts.want(assembly)
        self._asked = item, assembly, loaded
        return self._tell_part()

    def _tell_part(self) -> bool:
        if self._asked is None:
            return False
        item, assembly, loaded = self._asked
        found, missing = self._leasts.of(assembly), self._leasts.missing(assembly)
        return self.show(part_tag(item.whole, item.words, found, missing, loaded.units, loaded.assumed))

    def arrived(self) -> bool:
        """Whether clearances have just been worked out that the tag waited for."""
        return self._leasts.arrived() and self.tag is not None and self._tell_part()

    def forget(self) -> None:
        """The engines have changed."""
        self._asked = None
        self._leasts.forget()

    def show(self, tag: Tag | None, beside_px: float = np.inf) -> bool:
        """Show a tag where the mouse is, or none; whether anything is drawn otherwise than before."""
        away = max(abs(self._at[0] - self._shown_at[0]), abs(self._at[1] - self._shown_at[1]))
        if tag == self.tag and (tag is None or away <= SAME_PLACE_PX):
            return False
        self.tag, self._shown_at = tag, self._at
        if tag is None:
            self._front.DrawOff()
            return True
        self._front.DrawOn()
        self._overlay.draw(tag_panel(tag, self._at, self._window.GetSize(), measure, beside_px))
        return True

    def close(self) -> None:
        """Take the layer out of the window."""
        self._leasts.forget()
        self._window.RemoveRenderer(self._front)

    def end(self) -> None:
        """Wait until nothing is being worked out any more."""
        self._leasts.close()
