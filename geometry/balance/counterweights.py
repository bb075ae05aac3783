"""What the crank as modelled does for its balance, and what it lacks, in two planes.

The crank's own unbalance is worked out piece by piece in closed form: every cheek with its counterweight as one
outline about the crank axis, pins with their fillets, webs between split pins. Journals, nose and flange are round
about the axis and leave it alone.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, TypeAlias

import numpy as np

from geometry.arrays import Array
from geometry.assembly import Assembly
from geometry.balance.bob import BobWeight
from geometry.kinematics.layout import Layout
from geometry.parts.crank import pin_spans
from geometry.parts.part import DENSITY_KG_M3
from geometry.spec.crank import Crank
from geometry.spec.engine import Engine

Unbalance: TypeAlias = tuple[float, complex]
"""Place along the crank in mm, and mass times radius in kg mm as a vector at crank angle zero."""
STEPS: Final = 64
"""Of Simpson's rule between two corners of a cheek's outline; an even number."""


@dataclass(frozen=True, slots=True)
class Plane:
    """One correction plane: a cheek near one end of the crank.

    Attributes
    ----------
    cheek : from the front, from 1
    x_mm : along the crank
    radius_mm : where weight is added or taken off: the counterweight's rim
    wanted_kg_mm : what must stand there to hold the bob weights
    given_kg_mm : what the crank has there by itself
    """

    cheek: int
    x_mm: float
    radius_mm: float
    wanted_kg_mm: complex
    given_kg_mm: complex

    @property
    def remainder_kg_mm(self) -> complex:
        """What is too much there: its angle is the heavy side."""
        return self.given_kg_mm - self.wanted_kg_mm

    @property
    def share(self) -> float | None:
        """How much of what is wanted is there, along it; None where nothing is wanted."""
        size = abs(self.wanted_kg_mm)
        if size < 1e-6:
            return None
        return (self.given_kg_mm * self.wanted_kg_mm.conjugate()).real / size**2

    @property
    def mass_kg(self) -> float:
        """What to take off at the heavy side, or add opposite, at the plane's radius."""
        return abs(self.remainder_kg_mm) / self.radius_mm


def planes(assembly: Assembly, bobs: Iterable[BobWeight]) -> tuple[Plane, Plane]:
    """The two correction planes: the first and the last counterweight, else the first and the last cheek."""
    spec, layout = assembly.spec, assembly.layout
    weighted = [k for k, cheek in enumerate(layout.cheeks) if cheek.counterweight]
    front, rear = (weighted[0], weighted[-1]) if len(weighted) > 1 else (0, len(layout.cheeks) - 1)
    places = (layout.cheeks[front].x_mm, layout.cheeks[rear].x_mm)
    throw = spec.crank.stroke_mm / 2
    loads = [(bob.x_mm, bob.mass_kg * throw * _turn(bob.pin_deg)) for bob in bobs]
    wanted = [-vector for vector in resolved(loads, *places)]
    given = resolved(crank_unbalance(spec, layout), *places)
    radius = spec.crank.counterweight.radius_mm
    found = [
        Plane(cheek + 1, x, radius, want, have)
        for cheek, x, want, have in zip((front, rear), places, wanted, given, strict=True)
    ]
    return found[0], found[1]


def resolved(unbalance: Iterable[Unbalance], front_mm: float, rear_mm: float) -> tuple[complex, complex]:
    """Unbalance anywhere along the crank as what stands for it in two planes: same force, same couple."""
    front = rear = 0j
    for x, vector in unbalance:
        share = (x - front_mm) / (rear_mm - front_mm)
        front, rear = front + (1.0 - share) * vector, rear + share * vector
    return front, rear


def ahead_of_first_deg(layout: Layout, vector: complex) -> float:
    """How far a place on the crank runs ahead of throw 1, in the direction of rotation, 0 to below 360."""
    about_x = math.degrees(np.angle(vector)) - layout.pins[0].pin_deg
    return layout.sense * about_x % 360.0


def crank_unbalance(spec: Engine, layout: Layout) -> Iterator[Unbalance]:
    """What of the crank stands off its axis."""
    crank = spec.crank
    density = DENSITY_KG_M3[crank.material] * 1e-9
    for site in layout.cheeks:
        moment = density * site.thickness_mm * _cheek_moment_mm3(crank, site.counterweight)
        yield site.x_mm, moment * _turn(site.pin_deg)
    throw = crank.stroke_mm / 2
    ends: dict[float, list[complex]] = {}
    for _, angle, x, front, rear in pin_spans(spec, layout):
        volume = math.pi / 4 * crank.pin.diameter_mm**2 * crank.pin.width_mm
        fillets = (front + rear) * _fillet_mm3(crank.pin.diameter_mm / 2, crank.pin.fillet_mm)
        vector = throw * _turn(angle)
        yield x, density * (volume + fillets) * vector
        ends.setdefault(_throw_x(layout, x), []).append(vector)
    for x, pair in ends.items():
        if len(pair) == 2:  # the web between split pins, a lobe about both
            radius, apart = crank.cheek.pin_radius_mm, abs(pair[0] - pair[1])
            area = math.pi * radius**2 + 2.0 * radius * apart
            yield x, density * crank.split_web_mm * area * (pair[0] + pair[1]) / 2.0


def _throw_x(layout: Layout, x_mm: float) -> float:
    return min(layout.throw_x_mm, key=lambda x: abs(x - x_mm))


def _turn(angle_deg: float) -> complex:
    return complex(np.exp(1j * np.radians(angle_deg)))


def _fillet_mm3(radius_mm: float, fillet_mm: float) -> float:
    """Volume of a fillet turned about its journal: the area of a corner less its quarter circle, by Pappus."""
    area = (1.0 - math.pi / 4.0) * fillet_mm**2
    # centre of that area from the journal's surface: (10 - 3 pi) / (12 - 3 pi) of the radius (Roark, from memory)
    out_mm = (10.0 - 3.0 * math.pi) / (12.0 - 3.0 * math.pi) * fillet_mm
    return 2.0 * math.pi * (radius_mm + out_mm) * area


def _cheek_moment_mm3(crank: Crank, has_weight: bool) -> float:
    """First moment of a cheek's outline about the crank axis, towards its pin, mm^3.

    Cheek and counterweight are both seen whole from the axis, so that their union is where the farther of the two
    ends: the sum of r^3 cos / 3 over the turn, by Simpson's rule between the corners.
    """
    half = math.radians(crank.counterweight.spread_deg) / 2.0 if has_weight else 0.0
    main, pin, throw = crank.cheek.main_radius_mm, crank.cheek.pin_radius_mm, crank.stroke_mm / 2
    corners = sorted({0.0, *_lobe_corners(main, pin, throw), math.pi - half, math.pi})
    parts = np.ones(STEPS + 1)
    parts[1:-1:2], parts[2:-1:2] = 4.0, 2.0
    total = 0.0
    for low, high in pairwise(corners):
        angle = np.linspace(low, high, STEPS + 1)
        radius = _lobe_radius(angle, main, pin, throw)
        if has_weight and low >= math.pi - half - 1e-12:
            radius = np.maximum(radius, crank.counterweight.radius_mm)
        total += (high - low) / STEPS / 3.0 * float(parts @ (radius**3 * np.cos(angle))) / 3.0
    return 2.0 * total


def _lobe_corners(main: float, pin: float, throw: float) -> tuple[float, ...]:
    """Angles from the pin at which the outline of a cheek goes from circle to tangent to circle."""
    if abs(main - pin) >= throw:
        return ()
    normal = math.acos((main - pin) / throw)
    return math.atan2(pin * math.sin(normal), throw + pin * math.cos(normal)), normal


def _lobe_radius(angle: Array, main: float, pin: float, throw: float) -> Array:
    """How far the outline of a cheek is from the crank axis, at angles from its pin, 0 to pi."""
    if main - pin >= throw:
        return np.full_like(angle, main)
    round_pin = throw * np.cos(angle) + np.sqrt(np.maximum(pin**2 - (throw * np.sin(angle)) ** 2, 0.0))
    if pin - main >= throw:
        return round_pin
    first, normal = _lobe_corners(main, pin, throw)
    along = main / np.cos(np.clip(angle - normal, -1.5, 1.5))
    return np.where(angle <= first, round_pin, np.where(angle < normal, along, main))
