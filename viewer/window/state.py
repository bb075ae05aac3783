"""What the window shows and everything a hand can change about it, as plain data; no renderer and no window."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from geometry.assembly import Assembly
from geometry.kinematics.slider_crank import dead_centres
from viewer.scene.eye import Eye
from viewer.scene.model import BlockStyle

STYLES: tuple[BlockStyle, ...] = ("glass", "cut", "solid", "hidden")
SPREADS = (0.0, 0.5, 1.0)
SPEEDS_DEG_S = (6.0, 20.0, 60.0, 120.0, 240.0)
Distances = Literal["here", "turn", "off"]
CutWay = Literal["bank", "across"]
Look = Literal["near", "rings", "chamfer"]


@dataclass(frozen=True, slots=True)
class Destination:
    """A place to go to: its crank angle and bore (None: any), its line in the list, and how it is looked at."""

    crank_deg: float | None
    bore: int | None
    line: int
    look: Look


@dataclass(frozen=True, slots=True)
class EngineFacts:
    """What the actions need to know about the engine that is on show.

    Attributes
    ----------
    bores : builder's numbers in rising order
    top_deg, bottom_deg : dead centres of each of these, 0 to below 360
    places : worth going to, line by line of the list, the worst first
    recorded : whether there is a build record, so that the engine can be shown as built
    missing : why there are no close places, as told to who asks for one
    """

    bores: tuple[int, ...]
    top_deg: tuple[float, ...]
    bottom_deg: tuple[float, ...]
    places: tuple[Destination, ...] = ()
    recorded: bool = False
    missing: str = "nothing comes close"


def facts_of(
    assembly: Assembly,
    places: tuple[Destination, ...] = (),
    recorded: bool = False,
    missing: str = "nothing comes close",
) -> EngineFacts:
    """Collect them."""
    centres = dead_centres(assembly.linkage)
    order = sorted(range(len(assembly.layout.bores)), key=lambda i: assembly.layout.bores[i].bore)
    return EngineFacts(
        tuple(assembly.layout.bores[i].bore for i in order),
        tuple(float(centres.top_deg[i]) for i in order),
        tuple(float(centres.bottom_deg[i]) for i in order),
        places,
        recorded,
        missing,
    )


@dataclass(frozen=True, slots=True)
class PickedPoint:
    """A point on a part, which moves with it: the part's frame, and where the point is in that frame."""

    frame: str
    at_mm: tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Picker:
    """The list of mistakes while one is being chosen: what has been typed to find one, and the line that is chosen."""

    sought: str = ""
    line: int = 0


@dataclass(frozen=True, slots=True)
class Standpoint:
    """Where one stood before going to a place; the fields mean what they mean in ``ViewState``."""

    crank_deg: float
    bore: int
    view: str
    alone: bool
    block: BlockStyle
    cut_way: CutWay
    cut_offset_mm: float
    spread: float
    distances: Distances
    place: int | None
    near: bool
    built: bool
    mistake: tuple[str, int] | None
    plane: bool
    highlighted: frozenset[str]
    eye: Eye | None
    from_deg: tuple[float, float] | None


@dataclass(frozen=True, slots=True)
class ViewState:
    """Everything that a key, a click or a drag can change.

    Attributes
    ----------
    crank_deg : never wrapped, so that a turn backwards runs smoothly through zero
    bore : the chosen bore
    playing : +1 forwards, -1 backwards, 0 standing
    speed : index into ``SPEEDS_DEG_S``
    alone : the chosen bore alone
    cut_way, cut_offset_mm : plane that opens the block, and how far it is moved against its normal
    distances : which distance is drawn: the closest at this angle, the chosen place of the turn, none
    place : which place is chosen, 0 the worst; None while none is
    near : whether it is looked at from near, its parts lit and the rest faded
    trail : where one stood before each place that one went to, the last one last
    heat : coloured by closest approach
    built : as built instead of as designed
    mistake : key and bore (or main bearing) of the assembly mistake that is shown beside the right way
    plane : whether the mistake is shown as a plane drawing instead of in the solids
    eye : where a hand took the eye; None while it stands where the view has it
    from_deg : azimuth and elevation that the whole engine is looked at from, where it is not the view's own
    charts, listing, keys : panels
    keys_used : whether the list of keys was ever looked at
    topic : of the actions, whose buttons the bar shows
    picker : the list of mistakes while one is chosen
    asking : whether the bar shows figures to click, for an angle
    typed : figures of an angle being typed
    typed_own : whether it counts from the chosen bore's top dead centre
    picked : name of the body under the last click
    highlighted : bodies that a mistake concerns
    measuring : whether clicks pick points to measure between
    points : the picked points, each on its part
    """

    crank_deg: float = 0.0
    bore: int = 1
    view: str = "iso"
    playing: int = 0
    speed: int = 2
    alone: bool = False
    block: BlockStyle = "glass"
    cut_way: CutWay = "bank"
    cut_offset_mm: float = 0.0
    spread: float = 0.0
    hidden: frozenset[str] = frozenset({"head", "valves", "pan"})
    faded: frozenset[str] = frozenset()
    distances: Distances = "here"
    place: int | None = None
    near: bool = False
    trail: tuple[Standpoint, ...] = ()
    heat: bool = False
    built: bool = False
    mistake: tuple[str, int] | None = None
    plane: bool = False
    eye: Eye | None = None
    from_deg: tuple[float, float] | None = None
    charts: bool = False
    listing: bool = True
    keys: bool = False
    keys_used: bool = False
    topic: str = "Crank"
    picker: Picker | None = None
    asking: bool = False
    typed: str = ""
    typed_own: bool = False
    picked: str = ""
    highlighted: frozenset[str] = frozenset()
    measuring: bool = False
    points: tuple[PickedPoint, ...] = ()
    message: str = ""


def first_state(facts: EngineFacts) -> ViewState:
    """The window as it opens: as built where there is a record, since that is what was asked for."""
    return ViewState(bore=facts.bores[0], built=facts.recorded)


# ---- the crank ----------------------------------------------------------------------------------------------


def turn_to(state: ViewState, crank_deg: float) -> ViewState:
    """Standpoint at an angle."""
    return replace(state, crank_deg=float(crank_deg), playing=0)


def step(state: ViewState, by_deg: float) -> ViewState:
    """Turn by so much, to a round figure of that step, so that repeated steps do not pile up rounding."""
    fine = abs(by_deg)
    return turn_to(state, round((state.crank_deg + by_deg) / fine) * fine if fine else state.crank_deg)


def play(state: ViewState, way: int) -> ViewState:
    """Run forwards (+1) or backwards (-1); the same way again stops."""
    return replace(state, playing=0 if state.playing == way else way)


def advance(state: ViewState, seconds: float) -> ViewState:
    """Let time pass while the crank runs."""
    if not state.playing:
        return state
    return replace(state, crank_deg=state.crank_deg + state.playing * SPEEDS_DEG_S[state.speed] * seconds)


def faster(state: ViewState, steps: int) -> ViewState:
    """Run faster or slower."""
    speed = min(max(state.speed + steps, 0), len(SPEEDS_DEG_S) - 1)
    return replace(state, speed=speed, message=f"{SPEEDS_DEG_S[speed]:g}° a second")


def to_dead_centre(state: ViewState, facts: EngineFacts, top: bool) -> ViewState:
    """On to the next top (or bottom) dead centre of the chosen bore, in the running direction."""
    centres = facts.top_deg if top else facts.bottom_deg
    wanted = centres[facts.bores.index(state.bore)]
    ahead = (wanted - state.crank_deg) % 360.0
    ahead = ahead if ahead > 1e-6 else 360.0
    name = "top" if top else "bottom"
    return replace(
        turn_to(state, state.crank_deg + ahead), message=f"{name} dead centre of bore {state.bore}"
    )


def own_angle_deg(state: ViewState, facts: EngineFacts) -> float:
    """Degrees after the chosen bore's top dead centre, 0 to below 360."""
    return (state.crank_deg - facts.top_deg[facts.bores.index(state.bore)]) % 360.0


# ---- distances ---------------------------------------------------------------------------------------------


def cycle_distances(state: ViewState) -> ViewState:
    """The closest at this angle, the chosen place of the turn, none."""
    order: tuple[Distances, ...] = ("here", "turn", "off")
    chosen = order[(order.index(state.distances) + 1) % 3]
    words = {"here": "closest at this angle", "turn": "chosen place of the turn", "off": "no distances"}
    return replace(state, distances=chosen, message=words[chosen])


# ---- what is seen -------------------------------------------------------------------------------------------


def choose_bore(state: ViewState, bore: int) -> ViewState:
    """Choose a bore by its number."""
    return replace(state, bore=bore, message=f"bore {bore}")


def next_bore(state: ViewState, facts: EngineFacts, way: int) -> ViewState:
    """The bore with the next number, round and round."""
    at = (facts.bores.index(state.bore) + way) % len(facts.bores)
    return choose_bore(state, facts.bores[at])


def look_from(state: ViewState, view: str) -> ViewState:
    """A fixed view, or one of the chosen bore (``bore``, ``rings``, ``chamfer``)."""
    return replace(state, view=view, eye=None, from_deg=None, near=False)


def fit(state: ViewState, eye: Eye) -> ViewState:
    """All of it in the picture again, level, from where the eye looks now."""
    return replace(state, eye=None, from_deg=(eye.azimuth_deg, eye.elevation_deg))


def toggle_alone(state: ViewState) -> ViewState:
    """The chosen bore alone, or all."""
    return replace(state, alone=not state.alone)


def cycle_block(state: ViewState) -> ViewState:
    """Glass, cut open, solid, away."""
    style = STYLES[(STYLES.index(state.block) + 1) % len(STYLES)]
    return replace(
        state, block=style, cut_offset_mm=0.0, message=f"block: {'cut open' if style == 'cut' else style}"
    )


def turn_cut(state: ViewState) -> ViewState:
    """Cut along the bores of a bank, or across the chosen bore."""
    way: CutWay = "across" if state.cut_way == "bank" else "bank"
    words = "across the chosen bore" if way == "across" else "along the bores"
    return replace(state, block="cut", cut_way=way, cut_offset_mm=0.0, message=f"cut {words}")


def move_cut(state: ViewState, by_mm: float) -> ViewState:
    """Move the plane of the cut against its normal: deeper with a positive figure."""
    return replace(state, block="cut", cut_offset_mm=state.cut_offset_mm + by_mm)


def cycle_spread(state: ViewState) -> ViewState:
    """Assembled, half apart, apart: piston, rings, pin and rod of the chosen bore."""
    nearest = min(range(len(SPREADS)), key=lambda i: abs(SPREADS[i] - state.spread))
    return replace(state, spread=SPREADS[(nearest + 1) % len(SPREADS)])


def hide(state: ViewState, name: str) -> ViewState:
    """Hide a body or a group of parts, or show it again."""
    if not name:
        return replace(state, message="click a part first")
    return replace(state, hidden=state.hidden ^ {name}, faded=state.faded - {name})


def switch_built(state: ViewState, facts: EngineFacts) -> ViewState:
    """As built, or as designed; without a record there is nothing to switch to."""
    if not facts.recorded:
        return replace(state, message="no build record is loaded; open one with --built RECORD")
    words = "as designed" if state.built else "as built, by the record"
    return replace(
        left_places(state),
        built=not state.built,
        mistake=None,
        plane=False,
        highlighted=frozenset(),
        message=words,
    )


def swap_drawing(state: ViewState) -> ViewState:
    """A mistake as a plane drawing, or in the solids."""
    if state.mistake is None:
        return replace(state, message="put a mistake in first: M")
    words = "shown in the solids" if state.plane else "shown as a drawing"
    return replace(state, plane=not state.plane, message=words)


def left_places(state: ViewState) -> ViewState:
    """The state without any place: those that there were are of another engine."""
    trail = tuple(replace(stand, place=None, near=False) for stand in state.trail)
    return replace(state, place=None, near=False, trail=trail)


def fade(state: ViewState, name: str) -> ViewState:
    """Fade a body or a group of parts, or make it solid again."""
    if not name:
        return replace(state, message="click a part first")
    return replace(state, faded=state.faded ^ {name})


def show_all(state: ViewState) -> ViewState:
    """Everything back as it was at the start, the crank where it is."""
    fresh = ViewState()
    return replace(
        state, hidden=fresh.hidden, faded=fresh.faded, spread=0.0, alone=False, block="glass", heat=False,
        cut_offset_mm=0.0, eye=None, from_deg=None, near=False, mistake=None, plane=False, points=(), measuring=False,
        typed="", typed_own=False, keys=False, picker=None, asking=False, picked="", highlighted=frozenset(),
    )  # fmt: skip


def pick(
    state: ViewState, name: str, bore: int | None, at_mm: tuple[float, float, float], frame: str = "E",
    words: str = "",
) -> ViewState:  # fmt: skip
    """A click on a body: choose it and its bore, or take its point (in a frame) as an end of a measurement.

    Parameters
    ----------
    words : what a builder calls the body; empty for its name
    """
    if state.measuring:
        kept = state.points if len(state.points) < 2 else ()
        return replace(state, points=(*kept, PickedPoint(frame, at_mm)), message="")
    chosen = replace(state, picked=name, message=words or name)
    return replace(chosen, bore=bore) if bore is not None else chosen


def let_go(state: ViewState) -> ViewState:
    """End whatever is under way: a list that is open, and if none is: typing, measuring, a chosen part, a mistake."""
    if state.picker is not None or state.keys:
        return replace(state, picker=None, keys=False, message="")
    return replace(
        state, asking=False, typed="", typed_own=False, measuring=False, points=(), picked="", mistake=None,
        plane=False, near=False, message="", highlighted=frozenset(),
    )  # fmt: skip


def lasting(state: ViewState) -> ViewState:
    """The state without what changes no more than poses, panels and words."""
    return replace(
        state, crank_deg=0.0, playing=0, speed=0, message="", typed="", typed_own=False, charts=False, listing=False,
        keys=False, keys_used=False, topic="", picker=None, asking=False, trail=(),
        distances=state.distances if state.place is not None else "off", points=(), measuring=False,
        eye=None, from_deg=None,
    )  # fmt: skip
