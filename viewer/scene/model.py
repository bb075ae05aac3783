"""The plain data of a picture: what is shown, where it stands, how it looks, what is written on it.

Nothing here draws and nothing here imports a renderer. A still, a film, the window, a page and an exchange file
all read the same scene, so that looks and words are written once. Lengths are mm, angles degrees; points and
poses are in the engine frame E unless a frame is named beside them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from geometry.arrays import Array
from geometry.checks.section import Nearby
from geometry.solids import IDENTITY, Mesh
from geometry.units import System
from viewer.verdicts import as_assumed

BlockStyle = Literal["glass", "solid", "cut", "hidden"]
LabelKind = Literal["bore", "front", "ring", "direction", "part", "callout"]


@dataclass(frozen=True, slots=True, eq=False)
class CutPlane:
    """A plane that opens parts up: what lies on the side of the normal is taken away.

    Attributes
    ----------
    point_mm, normal : (3,) float in ``frame``
    groups : names of the groups of parts that it cuts
    frame : the frame it is fixed to; parts of another frame are not cut by it
    bore : cuts parts of this bore only, None for all
    """

    point_mm: Array
    normal: Array
    groups: frozenset[str]
    frame: str = "E"
    bore: int | None = None


@dataclass(frozen=True, slots=True)
class ViewOptions:
    """What a person asked to see.

    Attributes
    ----------
    crank_deg : crank angle in the running direction from the top dead centre of the first bore
    view : ``front``, ``rear``, ``left``, ``right``, ``top``, ``below``, ``iso``, ``bore N``, ``rings N``,
        ``chamfer N``
    bore : show only what belongs to this bore, crank and block aside
    block : how block, head, gasket and pan stand in the picture
    block_opacity : of the glass
    cuts : planes of the user's own, beside those that the view brings
    hidden, faded : groups of parts, or single bodies, by name; heads, valves and pan hide what people come to see
    spread : 0 assembled to 1 apart: piston, rings, pin and rod of ``spread_bore`` (default ``bore``)
    highlight : bodies to pick out, shown whatever is hidden
    lit : bodies that a place is about: solid, in their own look, whatever is hidden; where there are any the rest fades
    callouts : whether distances are drawn
    labels : whether bores, front and parts are named
    units : of everything written, None for those of the engine file
    assumed : how many values of the engine are assumed, as the caption says it; empty where none is
    half : which half of the big end ``chamfer N`` draws; None: the one that stands nearer to its fillet
    told : more lines of the caption
    counted_from : the bore whose top dead centre the caption counts from; None: that of the view, else ``bore``, else
        the first
    """

    crank_deg: float = 0.0
    view: str = "iso"
    bore: int | None = None
    block: BlockStyle = "glass"
    block_opacity: float = 0.11
    cuts: tuple[CutPlane, ...] = ()
    hidden: frozenset[str] = frozenset({"head", "valves", "pan"})
    faded: frozenset[str] = frozenset()
    spread: float = 0.0
    spread_bore: int | None = None
    highlight: frozenset[str] = frozenset()
    lit: frozenset[str] = frozenset()
    callouts: bool = True
    labels: bool = True
    units: System | None = None
    assumed: str = ""
    half: Literal["rod", "cap"] | None = None
    told: tuple[str, ...] = ()
    counted_from: int | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Item:
    """One thing with a surface.

    Attributes
    ----------
    name : of the body, or of the mark that it is
    words : what a builder calls it; empty for a mark
    mesh : in the item's own frame A; equal parts share one object
    frame, X_FA : the frame it rides on and its (4, 4) pose in it
    look : a key of ``viewer.looks.LOOKS``
    opacity : 1 solid; below that it is glass
    visible : whether it is drawn
    group : the family of parts in the trade's words, a key of ``viewer.scene.groups.GROUPS``; ``mark`` for arrows
    bore : the builder's number of the bore it belongs to
    values_mm : (n,) closest approach of each vertex over the turn, coloured by ``Scene.scale``
    cut_of : name of the body that it is a cut face of; None for a thing of its own
    """

    name: str
    mesh: Mesh
    frame: str
    look: str
    group: str
    X_FA: Array = field(default_factory=lambda: IDENTITY)
    opacity: float = 1.0
    visible: bool = True
    bore: int | None = None
    values_mm: Array | None = None
    cut_of: str | None = None
    words: str = ""

    @property
    def whole(self) -> str:
        """Name of the body that is seen here, also where its cut face is."""
        return self.name if self.cut_of is None else self.cut_of


@dataclass(frozen=True, slots=True, eq=False)
class Strokes:
    """Thin lines: hatching, axes, dial marks.

    Attributes
    ----------
    segments_mm : (k, 2, 3) float in ``frame``
    look : a key of ``viewer.looks.LOOKS``
    width : of the line, in thousandths of the picture's height
    dashed : whether to break the line
    """

    name: str
    segments_mm: Array
    frame: str
    look: str
    width: float = 1.5
    dashed: bool = False
    bore: int | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Label:
    """Words tied to a point of a frame. Where they land on the screen is worked out by ``viewer.scene.placing``."""

    text: str
    frame: str
    at_mm: Array
    """(3,) float in ``frame``."""
    kind: LabelKind = "part"
    bore: int | None = None
    look: str = "ink"
    rim_mm: Array | None = None
    """(k, 3) float in ``frame``: points of which the nearest is what the words are led to; None: ``at_mm`` itself."""
    facing: tuple[float, float, float] | None = None
    """Unit vector in E out of the face that it names: turned away from the eye the words are left out."""
    turned_away: float = 0.3
    """How far that face may look along the line of sight, as a cosine, before it counts as turned away."""


@dataclass(frozen=True, slots=True, eq=False)
class Callout:
    """A distance between two points, with its dimension and its verdict in words; a plain length has no verdict.

    ``circles_mm`` are closed lines (k, 3) in E round the bolt heads that it points at, where it is measured to the
    circle round the corners and the picture shows flats. ``said`` is what is written there in place of text and
    verdict, nothing where it is empty; None: text and verdict.
    """

    a_mm: Array
    b_mm: Array
    """(3,) float each, in E at the scene's crank angle."""
    text: str
    verdict: Nearby | None
    between: tuple[str, str]
    value_mm: float
    crank_deg: float
    circles_mm: tuple[Array, ...] = ()
    said: str | None = None

    def words(self, assumed: str) -> str:
        """Dimension and verdict, as on a drawing; a plain length is judged by nothing; ``assumed`` as in options."""
        if self.said is not None:
            return self.said
        return self.text if self.verdict is None else f"{self.text}, {as_assumed(self.verdict, assumed)}"


@dataclass(frozen=True, slots=True, eq=False)
class Framing:
    """From where a picture is taken and what must be in it; ``viewer.scene.views.aim`` makes a camera of it.

    Attributes
    ----------
    toward, up : (3,) unit vectors in E: looking direction, and which way is up in the picture
    points_mm : (n, 3) points that must be seen
    parallel : no perspective, so that sizes compare across the picture
    margin : share of the picture left free on every side, for labels
    """

    toward: Array
    up: Array
    points_mm: Array
    parallel: bool
    margin: float = 0.10


@dataclass(frozen=True, slots=True)
class Scale:
    """The scale bar of a picture coloured by closest approach: ends in mm and the ticks as written."""

    title: str
    low_mm: float
    high_mm: float
    ticks: tuple[tuple[float, str], ...]


@dataclass(frozen=True, slots=True, eq=False)
class Scene:
    """Everything that a picture shows.

    ``poses`` holds X_EF of each frame at ``options.crank_deg``: a live view changes these, about twenty
    matrices, and leaves the rest alone.
    """

    title: str
    options: ViewOptions
    items: tuple[Item, ...]
    strokes: tuple[Strokes, ...]
    labels: tuple[Label, ...]
    callouts: tuple[Callout, ...]
    caption: tuple[str, ...]
    framing: Framing
    poses: Mapping[str, Array]
    sense: int
    scale: Scale | None = None
    cuts: tuple[CutPlane, ...] = ()
    grounded: bool = True
    """Whether the engine stands on a floor that can take a shadow."""
    close_up: bool = False
    """Whether parts fill the picture to its edges, so that words need a ground of their own."""

    def in_engine(self, frame: str, points_mm: Array) -> Array:
        """Points of a frame, (3,) or (n, 3), in E at the scene's crank angle."""
        X_EF = self.poses[frame]
        return np.asarray(points_mm @ X_EF[:3, :3].T + X_EF[:3, 3])

    def item(self, name: str) -> Item:
        """The item of this name.

        Raises
        ------
        KeyError
            When there is none.
        """
        for item in self.items:
            if item.name == name:
                return item
        raise KeyError(name)
