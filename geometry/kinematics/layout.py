"""Where every bore, throw, web and cheek stands, which way each thrusts, and when each fires.

Frames and signs: see ``slider_crank``. A throw "runs ahead" by an angle in the direction of rotation.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np

from geometry.errors import GeometryError
from geometry.kinematics.firing import Firing, build_firing
from geometry.kinematics.slider_crank import Linkage, top_lean_deg, wrap_deg
from geometry.spec.clashes.rule import pin_span_mm, rod_step_mm
from geometry.spec.engine import BankName, Engine

FIRST_MAIN_MARGIN_MM = 2.0

# How far each throw runs ahead of the first, by name and number of throws. Textbook crank phases
# (Norton, Design of Machinery, ch. 13-14; from memory): see tests/reference for the balance they lead to.
NAMED_THROWS: dict[str, dict[int, tuple[float, ...]]] = {
    "single": {1: (0.0,)},
    "twin-360": {2: (0.0, 0.0)},
    "twin-180": {2: (0.0, 180.0)},
    "three": {3: (0.0, 120.0, 240.0)},
    "flat-plane": {2: (0.0, 180.0), 4: (0.0, 180.0, 180.0, 0.0)},
    "cross-plane": {4: (0.0, 90.0, 270.0, 180.0)},
    "five": {5: (0.0, 216.0, 144.0, 72.0, 288.0)},
    "inline-six": {6: (0.0, 240.0, 120.0, 120.0, 240.0, 0.0)},
    "boxer": {2: (0.0, 180.0), 4: (0.0, 180.0, 180.0, 0.0), 6: (0.0, 180.0, 240.0, 60.0, 120.0, 300.0)},
}


OPPOSITE_SIDE: Final = {
    "inboard": "outboard", "outboard": "inboard", "left": "right", "right": "left", "up": "down", "down": "up",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class BoreSite:
    """One bore and what runs in it.

    Attributes
    ----------
    bore : the builder's number
    bank : ``line``, ``left`` or ``right``
    place : position in its bank from the front, from 0
    throw : throw it runs on, from the front, from 0
    x_mm : rod centre plane and bore centre along the crank (frame E)
    bank_deg : rotation about +x that takes +z to the bore axis; left positive
    pin_deg : crankpin about +x from +z at crank angle zero
    offset_mm : pin offset along +y of the bore frame
    thrust_ring_deg : ring angle of the major thrust side, 90 or 270
    thrust_words : the same for a builder: "right", "inboard", "down" ...
    partner : the bore that shares the crankpin (or split pin), if any
    cheek_side : which end of the big end faces a crank cheek: ``front``, ``rear`` or ``both``
    """

    bore: int
    bank: BankName
    place: int
    throw: int
    x_mm: float
    bank_deg: float
    pin_deg: float
    offset_mm: float
    thrust_ring_deg: float
    thrust_words: str
    partner: int | None
    cheek_side: Literal["front", "rear", "both"]

    def side(self, thrust: str) -> str:
        """Which side of the engine its ``major`` or ``minor`` thrust side is, in the builder's words: ``inboard``."""
        return self.thrust_words if thrust == "major" else OPPOSITE_SIDE[self.thrust_words]

    def side_words(self, thrust: str) -> str:
        """The side of the engine first, which thrust side it is beside it: ``inboard (major thrust side)``."""
        return f"{self.side(thrust)} ({thrust} thrust side)"


@dataclass(frozen=True, slots=True)
class CheekSite:
    """One crank cheek: centre along the crank, throw, direction of its pin, and its counterweight."""

    x_mm: float
    thickness_mm: float
    throw: int
    side: Literal["front", "rear"]
    pin_deg: float
    counterweight: bool


@dataclass(frozen=True, slots=True)
class PinSite:
    """One crankpin journal (one half of it where pins are split)."""

    x_mm: float
    width_mm: float
    throw: int
    pin_deg: float


@dataclass(frozen=True, slots=True, eq=False)
class Layout:
    """The engine's arrangement; every list runs from front to rear.

    Attributes
    ----------
    sense : way the crank turns about +x: 1 clockwise seen from the front, -1 the other way
    bores, pins, cheeks : where each stands
    linkage : throws, rods and offsets of all bores as arrays, in the order of ``bores``
    main_x_mm, throw_x_mm : middles of main bearings and throws along the crank, from the block's front face
    stagger_mm : from the bores of one bank to those of the other, along the crank; zero where there is one bank
    length_mm : of the block
    firing : when each bore fires
    """

    sense: int
    bores: tuple[BoreSite, ...]
    linkage: Linkage
    pins: tuple[PinSite, ...]
    cheeks: tuple[CheekSite, ...]
    main_x_mm: tuple[float, ...]
    throw_x_mm: tuple[float, ...]
    stagger_mm: float
    length_mm: float
    firing: Firing

    def site(self, bore: int) -> BoreSite:
        """The site of the bore with this builder's number.

        Raises
        ------
        GeometryError
            When there is none.
        """
        for found in self.bores:
            if found.bore == bore:
                return found
        known = ", ".join(str(s.bore) for s in self.bores)
        raise GeometryError("no_such_bore", "bore", f"there is no bore {bore}", f"one of {known}")

    def index(self, bore: int) -> int:
        """Position of a bore in ``bores`` and in every per-bore array."""
        return self.bores.index(self.site(bore))


def build_layout(spec: Engine) -> Layout:
    """Lay out an engine.

    Raises
    ------
    GeometryError
        Throws that do not match the number of bores, no room for the cheeks, or a firing order that the
        throws cannot follow; its key names the entry of the engine file.
    """
    sense = 1 if spec.engine.rotation == "clockwise" else -1
    per_throw = _rods_per_throw(spec)
    ahead = _throws(spec, per_throw)
    spacing, cheek = _spacing(spec, per_throw, len(ahead))
    step = _rod_step(spec, per_throw)
    first_main = _first_main_x(spec, spacing, step)
    mains = tuple(first_main + k * spacing for k in range(len(ahead) + 1))
    throws_x = tuple(first_main + (k + 0.5) * spacing for k in range(len(ahead)))
    bores = _zeroed(spec, _sites(spec, sense, per_throw, ahead, throws_x, step), sense)
    linkage = _linkage(spec, bores, sense)
    pins = _pins(spec, bores, throws_x, per_throw)
    return Layout(
        sense=sense,
        bores=bores,
        linkage=linkage,
        pins=pins,
        cheeks=_cheeks(spec, bores, throws_x, cheek),
        main_x_mm=mains,
        throw_x_mm=throws_x,
        stagger_mm=step if per_throw == 2 else (spacing if spec.engine.layout == "flat" else 0.0),
        length_mm=mains[-1] + first_main,
        firing=_firing(spec, bores, sense),
    )


def _rods_per_throw(spec: Engine) -> int:
    if spec.crank.rods_per_throw is not None:
        per_throw: int = spec.crank.rods_per_throw
    else:
        per_throw = 2 if spec.engine.layout == "vee" else 1
    if per_throw == 2 and spec.engine.layout == "inline":
        raise GeometryError(
            "rods_per_throw",
            "crank.rods_per_throw",
            "an inline engine has one rod on each throw",
            "rods_per_throw = 1, or leave it out",
        )
    return per_throw


def _throws(spec: Engine, per_throw: int) -> tuple[float, ...]:
    count = sum(len(bank) for bank in spec.engine.numbering.banks().values()) // per_throw
    throws = spec.crank.throws
    if isinstance(throws, str):
        if count not in NAMED_THROWS[throws]:
            fits = ", ".join(f"'{name}'" for name, counts in NAMED_THROWS.items() if count in counts)
            raise GeometryError(
                "throws",
                "crank.throws",
                f"'{throws}' is not a crank with {count} throws",
                f"{fits or 'no named crank has so many'}; or a list of {count} angles",
            )
        return NAMED_THROWS[throws][count]
    if len(throws) != count:
        raise GeometryError(
            "throws", "crank.throws", f"{len(throws)} angles for {count} throws", f"a list of {count} angles"
        )
    return tuple(throws)


def _spacing(spec: Engine, per_throw: int, throws: int) -> tuple[float, float]:
    span = pin_span_mm(spec, per_throw) + spec.crank.main.width_mm
    given = spec.crank.cheek.thickness_mm
    if spec.block.bore.spacing_mm is None:
        if throws == 1 and given is None:
            raise GeometryError(
                "cheek",
                "crank.cheek.thickness",
                "a single throw needs the thickness of its cheeks",
                'thickness = "20 mm"',
            )
        cheek = given if given is not None else spec.crank.pin.width_mm / 2
        return span + 2 * cheek, cheek
    two_banks_one_rod = per_throw == 1 and spec.engine.layout != "inline"
    spacing = spec.block.bore.spacing_mm / (2 if two_banks_one_rod else 1)
    cheek = (spacing - span) / 2
    if cheek <= 0.0:
        raise GeometryError(
            "cheek",
            "crank.pin.width",
            f"crankpin and main journal leave {cheek:.2f} mm for each crank cheek within the bore spacing",
            "narrower journals or a wider block.bore.spacing",
        )
    return spacing, cheek


def _rod_step(spec: Engine, per_throw: int) -> float:
    """Distance between the two rods of a throw, as the bores stand where the file says it."""
    if per_throw == 1:
        return 0.0
    stagger = spec.block.bore.stagger_mm
    return rod_step_mm(spec) if stagger is None else stagger


def _first_main_x(spec: Engine, spacing: float, step: float) -> float:
    """Far enough behind the front face for the front wall and for the foremost bore with its wall."""
    bore = spec.block.bore
    foremost = bore.diameter_mm / 2 + bore.wall_mm + step / 2 + FIRST_MAIN_MARGIN_MM - spacing / 2
    return max(spec.block.end_wall_mm + spec.block.web_mm / 2, foremost)


def _bank_deg(spec: Engine, bank: BankName) -> float:
    if bank == "line":
        return -spec.block.slant_deg
    half = 90.0 if spec.engine.layout == "flat" else (spec.engine.bank_angle_deg or 0.0) / 2
    return half if bank == "left" else -half


def _thrust_words(spec: Engine, bank: BankName, sense: int) -> str:
    """The major thrust side, +y of the bore frame in normal rotation, in the builder's words."""
    toward_right = sense > 0
    if bank == "line":
        return "right" if toward_right else "left"
    if spec.engine.layout == "flat":
        return "up" if toward_right == (bank == "left") else "down"
    return "inboard" if toward_right == (bank == "left") else "outboard"


def _sites(
    spec: Engine,
    sense: int,
    per_throw: int,
    ahead: tuple[float, ...],
    throws_x: tuple[float, ...],
    step: float,
) -> tuple[BoreSite, ...]:
    banks = spec.engine.numbering.banks()
    order: list[BankName] = list(banks)
    if spec.engine.leading_bank and len(order) == 2:
        order.sort(key=lambda bank: bank != spec.engine.leading_bank)
    pin = spec.piston.pin
    side = sense if pin.offset_side == "major" else -sense
    sites = []
    for rank, bank in enumerate(order):
        bank_deg = _bank_deg(spec, bank)
        for place, number in enumerate(banks[bank]):
            throw = place if per_throw == 2 or len(order) == 1 else 2 * place + rank
            x = throws_x[throw] + (step * (rank - 0.5) if per_throw == 2 else 0.0)
            split = -0.5 * spec.crank.split_deg * np.sign(sense * bank_deg) if per_throw == 2 else 0.0
            partner = banks[order[1 - rank]][place] if per_throw == 2 else None
            sites.append(
                BoreSite(
                    bore=number,
                    bank=bank,
                    place=place,
                    throw=throw,
                    x_mm=float(x),
                    bank_deg=bank_deg,
                    pin_deg=float(sense * (ahead[throw] + split)),
                    offset_mm=side * pin.offset_mm,
                    thrust_ring_deg=90.0 if sense > 0 else 270.0,
                    thrust_words=_thrust_words(spec, bank, sense),
                    partner=partner,
                    cheek_side="both" if per_throw == 1 else ("front" if rank == 0 else "rear"),
                )
            )
    return tuple(sorted(sites, key=lambda s: (s.x_mm, s.bank)))


def _top_throw_deg(spec: Engine, site: BoreSite) -> float:
    """Throw angle from the bore axis at top dead centre (throw and rod in line), about +x."""
    rod_mm = spec.of_bore(site.bore).rod.length_mm
    return -float(top_lean_deg(spec.crank.stroke_mm / 2, rod_mm, site.offset_mm))


def _zeroed(spec: Engine, sites: tuple[BoreSite, ...], sense: int) -> tuple[BoreSite, ...]:
    """Turn the crank so that angle zero is the true top dead centre of bore 1 (the lowest number)."""
    first = min(sites, key=lambda s: s.bore)
    shift = first.bank_deg + _top_throw_deg(spec, first) - first.pin_deg
    return tuple(replace(site, pin_deg=site.pin_deg + shift) for site in sites)


def _linkage(spec: Engine, bores: tuple[BoreSite, ...], sense: int) -> Linkage:
    throw = np.full(len(bores), spec.crank.stroke_mm / 2)
    rod = np.array([spec.of_bore(b.bore).rod.length_mm for b in bores])
    x, bank, pin, offset = np.array([(b.x_mm, b.bank_deg, b.pin_deg, b.offset_mm) for b in bores]).T.copy()
    return Linkage(x, bank, pin, throw, rod, offset, sense)


def _pins(
    spec: Engine, bores: tuple[BoreSite, ...], throws_x: tuple[float, ...], per_throw: int
) -> tuple[PinSite, ...]:
    width = spec.crank.pin.width_mm
    if per_throw == 2 and spec.crank.split_deg:
        return tuple(PinSite(b.x_mm, width, b.throw, b.pin_deg) for b in bores)
    by_throw = {b.throw: b.pin_deg for b in bores}
    return tuple(PinSite(x, width, k, by_throw[k]) for k, x in enumerate(throws_x))


def _cheeks(
    spec: Engine, bores: tuple[BoreSite, ...], throws_x: tuple[float, ...], thickness: float
) -> tuple[CheekSite, ...]:
    """Two cheeks per throw; with split pins each follows the pin beside it."""
    which = spec.crank.counterweight.cheeks
    total = 2 * len(throws_x)
    if isinstance(which, list) and any(n < 1 or n > total for n in which):
        raise GeometryError(
            "cheeks",
            "crank.counterweight.cheeks",
            f"this crank has cheeks 1 to {total}",
            f"numbers between 1 and {total}",
        )
    sites: list[CheekSite] = []
    per_throw = 1 if all(b.partner is None for b in bores) else 2
    half_span = pin_span_mm(spec, per_throw) / 2
    for throw, x in enumerate(throws_x):
        here = sorted((b for b in bores if b.throw == throw), key=lambda b: b.x_mm)
        sides: tuple[tuple[Literal["front", "rear"], int, BoreSite], ...] = (
            ("front", -1, here[0]),
            ("rear", 1, here[-1]),
        )
        for side, direction, beside in sides:
            number = len(sites) + 1
            weight = which == "every" or (which == "outer" and number in (1, total))
            weight = weight or (isinstance(which, list) and number in which)
            centre = x + direction * (half_span + thickness / 2)
            sites.append(CheekSite(centre, thickness, throw, side, beside.pin_deg, weight))
    return tuple(sites)


def _firing(spec: Engine, bores: tuple[BoreSite, ...], sense: int) -> Firing:
    tops = {}
    for site in bores:
        top = sense * (site.bank_deg + _top_throw_deg(spec, site) - site.pin_deg)
        tops[site.bore] = float(wrap_deg(top))
    return build_firing(tops, spec.engine.firing_order, spec.engine.strokes)
