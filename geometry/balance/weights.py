"""What the parts of each bore weigh, and who says so: the scales, the engine file, or the modelled solids."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias, get_args

from geometry.assembly import Assembly
from geometry.parts.part import Body
from geometry.parts.shapes.mass import mass_properties
from geometry.spec.engine import Engine

PartName: TypeAlias = Literal["piston", "pin", "locks", "rings", "rod_small", "rod_big", "shells"]
PARTS: Final[tuple[PartName, ...]] = get_args(PartName)
RECIPROCATING: Final[tuple[PartName, ...]] = ("piston", "pin", "locks", "rings", "rod_small")
ROTATING: Final[tuple[PartName, ...]] = ("rod_big", "shells")
PART_WORDS: Final[Mapping[PartName, str]] = {
    "piston": "piston", "pin": "piston pin", "locks": "pin locks", "rings": "ring set",
    "rod_small": "small end of the rod", "rod_big": "big end of the rod", "shells": "big-end shells",
}  # fmt: skip
Weighed: TypeAlias = Literal["record", "file", "solids", "left out"]
"""Who says what a part weighs; a pin's locks are not modelled, so that they are left out where nobody weighed them."""
OIL_KG: Final = 0.004
"""Oil in one crankpin; shops allow 3 to 5 g, per pin or per rod (from memory)."""


@dataclass(frozen=True, slots=True)
class PartWeight:
    """One part, or set of parts, of one bore."""

    part: PartName
    mass_kg: float
    source: Weighed


@dataclass(frozen=True, slots=True)
class BoreWeight:
    """All that moves in one bore.

    Attributes
    ----------
    bore : the builder's number
    parts : each part's weight, by its name
    """

    bore: int
    parts: Mapping[PartName, PartWeight]

    @property
    def reciprocating_kg(self) -> float:
        """What goes up and down: piston, pin, locks, rings, small end."""
        return self.of(RECIPROCATING)

    @property
    def rotating_kg(self) -> float:
        """What turns with the crankpin: big end with cap and bolts, shells."""
        return self.of(ROTATING)

    def of(self, parts: Iterable[PartName]) -> float:
        """Some of the parts together, kg."""
        return sum(self.parts[part].mass_kg for part in parts)

    def from_solids(self) -> tuple[PartName, ...]:
        """Parts that nobody weighed."""
        return tuple(name for name, part in self.parts.items() if part.source == "solids")


def oil_kg(assembly: Assembly) -> float:
    """Oil in one crankpin: the file's own, else ``OIL_KG``."""
    own = assembly.spec.weights.oil_kg
    return OIL_KG if own is None else own


def weigh_bores(assembly: Assembly) -> tuple[BoreWeight, ...]:
    """What moves in each bore, by the builder's numbers; solids that are alike by design are weighed once."""
    bodies: dict[int, list[Body]] = {site.bore: [] for site in assembly.layout.bores}
    for body in assembly.bodies:
        if body.bore in bodies and body.frame in (f"P{body.bore}", f"R{body.bore}"):
            bodies[body.bore].append(body)
    weighed: dict[tuple[int, PartName], float] = {}
    designs = {bore: assembly.design(bore) for bore in sorted(bodies)}
    found = []
    for bore, design in designs.items():

        def solid(part: PartName, of: Engine = design, at: int = bore) -> float:
            key = (id(of), part)
            if key not in weighed:
                weighed[key] = _solids(part, bodies[at], of.rod.length_mm)
            return weighed[key]

        found.append(_bore(bore, design, dict(assembly.built.bore(bore).weights_kg), solid))
    return tuple(found)


def _bore(
    bore: int, spec: Engine, record: Mapping[str, float], solid: Callable[[PartName], float]
) -> BoreWeight:
    """The scales first, then the file, then the solids; the two ends of a rod share what its solids weigh."""
    own = spec.weights
    file: dict[PartName, float | None] = {
        "piston": spec.piston.mass_kg, "pin": own.pin_kg, "locks": own.locks_kg, "rings": own.rings_kg,
        "rod_small": spec.rod.mass_small_kg, "rod_big": spec.rod.mass_big_kg, "shells": own.shells_kg,
    }  # fmt: skip
    found: dict[PartName, PartWeight] = {}
    for part in PARTS:
        written = file[part]
        if part in record:
            found[part] = PartWeight(part, record[part], "record")
        elif written is not None:
            found[part] = PartWeight(part, written, "file")
        elif part == "locks":
            found[part] = PartWeight(part, 0.0, "left out")
        else:
            found[part] = PartWeight(part, solid(part), "solids")
    return BoreWeight(bore, found)


def _solids(part: PartName, bodies: list[Body], rod_mm: float) -> float:
    """What the modelled solids of a part weigh, kg."""
    if part in ("rod_small", "rod_big"):
        return _rod_ends(bodies, rod_mm)[part == "rod_big"]
    kinds = {"piston": "piston", "pin": "piston_pin", "shells": "bearing_shell"}
    if part in kinds:
        chosen = [body for body in bodies if body.part.kind == kinds[part]]
    else:  # rings: what else rides on the piston
        chosen = [
            b for b in bodies if b.frame.startswith("P") and b.part.kind not in ("piston", "piston_pin")
        ]
    return sum(mass_properties(body.part).mass_kg for body in chosen)


def _rod_ends(bodies: list[Body], rod_mm: float) -> tuple[float, float]:
    """What scales under the small and under the big end read: mass and centre of gravity of rod, cap and bolts."""
    mass = moment = 0.0
    for body in bodies:
        if body.frame.startswith("R") and body.part.kind != "bearing_shell":
            one = mass_properties(body.part)
            up_mm = float(body.X_FA[2, :3] @ one.centre_mm + body.X_FA[2, 3])
            mass, moment = mass + one.mass_kg, moment + one.mass_kg * up_mm
    return moment / rod_mm, mass - moment / rod_mm
