"""The wrong way beside the right one: a second picture in the right half of the window, under the same camera."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from vtkmodules.vtkRenderingCore import vtkRenderWindow
from vtkmodules.vtkRenderingOpenGL2 import vtkOpenGLRenderer

from geometry.arrays import Array
from geometry.assembly import Assembly, assemble
from geometry.checks.section import Nearby, Severity
from geometry.errors import GeometryError
from geometry.mistakes.mistake import Mistake, Spot, Study, mistakes
from geometry.units import System
from viewer.draw.stage import Stage
from viewer.explained.case import MistakeCase
from viewer.explained.sheet import drawing_of
from viewer.scene import Item, ViewOptions, build_scene, read_view
from viewer.scene.placing import Rectangle
from viewer.scene.sight import Sight, sight_of
from viewer.window.closest import label_at
from viewer.window.hud import BAR_HEIGHT
from viewer.window.journeys import departed
from viewer.window.on_paper import SOLIDS_ONLY, OnPaper, on_paper_first
from viewer.window.options import near_only
from viewer.window.state import ViewState, turn_to

LOOK_OF: Final[dict[Severity, Nearby]] = {"stop": "overlaps", "look": "close", "note": "clear"}
"""How a trouble spot is marked, by what it means."""
LEFT_HALF, RIGHT_HALF = (0.0, 0.0, 0.5, 1.0), (0.5, 0.0, 1.0, 1.0)
ALL = (0.0, 0.0, 1.0, 1.0)
SAME_ANGLE_DEG = 0.05
Chosen = tuple[str, int]
"""Key of a mistake, and the bore (or main bearing from the front) that it sits in."""


def next_mistake(assembly: Assembly, current: Chosen | None, bore: int, way: int) -> Chosen | None:
    """The next mistake in the catalogue that can be made at this bore; after the last comes none."""
    can = {mistake.key: place_at(mistake, assembly, bore) for mistake in mistakes()}
    keys: list[str | None] = [None, *(key for key, place in can.items() if place is not None)]
    at = keys.index(current[0]) if current is not None and current[0] in keys else 0
    chosen = keys[(at + way) % len(keys)]
    place = None if chosen is None else can[chosen]
    return None if chosen is None or place is None else (chosen, place)


def place_at(mistake: Mistake, assembly: Assembly, bore: int) -> int | None:
    """Where a mistake sits when this bore is chosen: in it, or at the main bearing nearest to it, the front one of two.

    None where it cannot be made there.
    """
    if mistake.where == "bore":
        return bore if mistake.refuse(assembly, bore) is None else None
    x_mm, mains_mm = assembly.layout.site(bore).x_mm, assembly.layout.main_x_mm
    return min(mistake.places(assembly), key=lambda main: abs(mains_mm[main - 1] - x_mm), default=None)


def spot_view(spot: Spot) -> str:
    """The view of the window, without its bore, that comes nearest to where a study points."""
    return {"section": "chamfer", "push": "bore"}.get(spot.view, spot.view)


def _is_near(spot: Spot) -> bool:
    """Whether a spot is gone near to; rings, chamfer and main caps have views of their own that show them better."""
    return spot.to_mm is not None and spot_view(spot) == "bore"


def _lit(wrong: Assembly, study: Study) -> tuple[str, ...]:
    """Parts that stand in the light: those of the spot, the shells in a big end, the head where it comes to that."""
    bores = {body.bore for body in wrong.bodies if body.name in study.spot.bodies}
    kinds = {body.part.kind for body in wrong.bodies if body.name in study.spot.bodies}
    found = list(study.spot.bodies)
    for body in wrong.bodies:
        shell = body.part.kind == "bearing_shell" and body.bore in bores and "rod_cap" in kinds
        held = body.part.kind in ("rod", "rod_cap") and body.bore in bores and "rod_bolt" in kinds
        if shell or held:
            found.append(body.name)
    if study.signature.with_head:
        found += [_head_over(wrong, bore) for bore in bores if bore is not None]
    there = {body.name for body in wrong.bodies}
    return tuple(name for name in dict.fromkeys(found) if name in there)


def _head_over(assembly: Assembly, bore: int) -> str:
    """The head over a bore: an engine of one bank has one without the bank's name."""
    return f"head {assembly.layout.site(bore).bank}".removesuffix(" line")


def made_at(chosen: Chosen, bore: int) -> int:
    """The bore to look at: the one that the mistake sits in, or the one that is looked at where it sits in none."""
    return chosen[1] if next(m for m in mistakes() if m.key == chosen[0]).where == "bore" else bore


def _right(state: ViewState) -> ViewState:
    """The state without a mistake."""
    return replace(state, mistake=None, plane=False, near=False, highlighted=frozenset())


@dataclass(frozen=True, slots=True, eq=False)
class _Made:
    right_way: Assembly
    chosen: Chosen
    mistake: Mistake
    wrong: Assembly
    study: Study
    case: MistakeCase


class Beside:
    """The second picture. Made when first wanted, taken away when not.

    Parameters
    ----------
    window, main : the window, and the picture that is the left half
    assumed : how many values of the engine are assumed, in words; empty where none is
    """

    def __init__(self, window: vtkRenderWindow, main: Stage, assumed: Callable[[], str] = str) -> None:
        self._window, self._main, self._assumed = window, main, assumed
        self._stage: Stage | None = None
        self._made: _Made | None = None
        self.paper = OnPaper()
        self.shown = False

    def study(self, right_way: Assembly, chosen: Chosen, units: System) -> Study | None:
        """Put the mistake into the engine and see what it does; None where the parts would not go together."""
        if self._made is not None and self._made.right_way is right_way and self._made.chosen == chosen:
            return self._made.study
        mistake = next(m for m in mistakes() if m.key == chosen[0])
        try:
            wrong = assemble(right_way.spec, mistake.make(right_way, chosen[1]))
        except GeometryError:
            return None
        study = mistake.study(right_way, wrong, chosen[1], units)
        case = MistakeCase(right_way, wrong, mistake, study, chosen[1], units, self._assumed())
        self._made = _Made(right_way, chosen, mistake, wrong, study, case)
        return study

    def next_mistake(self, state: ViewState, right_way: Assembly, units: System, way: int) -> ViewState:
        """The state after the next mistake (the one before) was chosen."""
        return self.choose(state, right_way, units, next_mistake(right_way, state.mistake, state.bore, way))

    def choose(
        self, state: ViewState, right_way: Assembly, units: System, chosen: Chosen | None
    ) -> ViewState:
        """The state after a mistake was chosen, at the angle and in the view where it shows."""
        if chosen is None:
            return replace(_right(state), message="no mistake")
        study = self.study(right_way, chosen, units)
        if study is None:
            words = "with that the parts do not go together"
            return replace(_right(state), message=words)
        spot, near = study.spot, _is_near(study.spot)
        there = turn_to(state if state.mistake else departed(state), spot.crank_deg)
        return replace(
            there, mistake=chosen, bore=made_at(chosen, state.bore), plane=on_paper_first(spot), built=False,
            view="iso" if near else spot_view(spot), message=study.felt,
            highlighted=frozenset() if near else frozenset(spot.bodies), near=near, place=None, eye=None, from_deg=None,
            spread=0.0, alone=False, picked="",
        )  # fmt: skip

    def sight(self) -> Sight | None:
        """How the trouble is looked at, in both halves alike; None where it has a view of its own."""
        made = self._made
        if made is None or made.study.spot.to_mm is None or not _is_near(made.study.spot):
            return None
        spot, to_mm = made.study.spot, made.study.spot.to_mm
        return sight_of(
            made.wrong, _lit(made.wrong, made.study), spot.from_mm or to_mm, to_mm, spot.crank_deg
        )

    def show(self, options: ViewOptions) -> None:
        """Draw the engine with the mistake in the right half, the main picture in the left."""
        if self._made is None:
            return
        mistake, place = self._made.mistake, self._made.chosen[1]
        scene = near_only(build_scene(self._made.wrong, replace(options, callouts=False)))
        title = f"{mistake.title}, {'bore' if mistake.where == 'bore' else 'main bearing'} {place}"
        scene = replace(scene, caption=(title, self._made.study.spot.text or mistake.different, ""))
        spot = self._made.study.spot
        drawn = (
            read_view(options.view, self._made.wrong.layout).name == "chamfer"
        )  # which has words of its own
        shows = abs(options.crank_deg - spot.crank_deg % 720.0) < SAME_ANGLE_DEG and not drawn
        if spot.to_mm is not None and shows:
            look = LOOK_OF[spot.severity]
            label = label_at(
                scene, self._made.wrong, spot.bodies, spot.to_mm, spot.crank_deg, spot.text, look
            )
            scene = replace(scene, labels=(*scene.labels, label))
        self._open().show(scene)

    def _open(self) -> Stage:
        if self._stage is None:
            renderer = vtkOpenGLRenderer()
            self._window.AddRenderer(renderer)
            self._stage = Stage(self._window, renderer)
            renderer.SetActiveCamera(self._main.renderer.GetActiveCamera())
        self._main.renderer.SetViewport(*LEFT_HALF)
        self._stage.renderer.SetViewport(*RIGHT_HALF)
        self._stage.renderer.DrawOn()
        self.shown = True
        return self._stage

    def lay_drawing(self, wanted: bool, unit: float) -> None:
        """Lay the plane drawings over both halves where they are wanted and there, else take them away."""
        made, stage = self._made, self._stage
        pair = None
        if wanted and self.shown and made is not None and made.study.spot.drawing != SOLIDS_ONLY:
            width, height = self._window.GetSize()
            pair = self.paper.halves(made.case, (width // 2, height), unit)
        foot = int(BAR_HEIGHT * unit)
        self._main.sheet.lay(None if pair is None else pair[0], foot)
        if stage is not None:
            stage.sheet.lay(None if pair is None else pair[1], foot)
        if stage is not None and stage.scene is not None and made is not None:
            said = "" if pair is None else drawing_of(made.case).said(made.case)
            stage.pose(replace(stage.scene, caption=(*stage.scene.caption[:-1], said)))

    @property
    def flat(self) -> bool:
        """Whether drawings cover the solids."""
        return self._main.sheet.shown

    def under(self, x_px: int, y_px: int) -> tuple[Item, Array] | None:
        """The item that is seen at a pixel of the right half."""
        return self._stage.under(x_px, y_px) if self._stage is not None else None

    def hide(self) -> None:
        """The main picture over the whole window again."""
        self._main.renderer.SetViewport(*ALL)
        self.shown = False
        self.lay_drawing(False, 1.0)
        if self._stage is not None:
            self._stage.renderer.DrawOff()

    def turn(self, crank_deg: float) -> None:
        """Turn its crank along."""
        scene = self._stage.scene if self.shown and self._stage is not None else None
        if scene is not None and self._stage is not None and self._made is not None:
            self._stage.pose(replace(scene, poses=self._made.wrong.frame_poses(crank_deg)))

    def follow(self, moving: bool, taken: Sequence[Rectangle], foot_px: float, unit_px: float) -> None:
        """Keep step with the main picture: its camera, fine or coarse meshes, words clear of the places taken."""
        if self.shown and self._stage is not None:
            self._stage.set_moving(moving)
            self._stage.turned()
            own = [replace(box, left=box.left - self._window.GetSize()[0] / 2) for box in taken]
            self._stage.letter(own, foot_px, unit_px)
