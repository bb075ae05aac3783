"""Parts that differ from bore to bore: one odd rod, one oversize bore.

A table `[bore.3]` takes the keys of the engine file that one bore may have of its own, under the names that they have
for all bores: `[bore.3.rod] length` beside `[rod] length`. Whoever asks about one bore asks ``Engine.of_bore``, which
gives the engine as if every bore were that one.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import pi
from typing import TYPE_CHECKING, Any, Final, TypeVar

from geometry.spec.base import (
    Broken,
    Mass,
    NonNegativeVolume,
    PositiveLength,
    Refused,
    SpecModel,
    said,
)
from geometry.spec.clashes import clashes

if TYPE_CHECKING:
    from geometry.spec.engine import Engine
    from geometry.spec.piston import Piston
    from geometry.spec.rings import Rings
    from geometry.spec.rod import Rod

Model = TypeVar("Model", bound=SpecModel)


class OddCrown(SpecModel):
    """The top of one bore's piston."""

    volume_cm3: NonNegativeVolume | None = said(
        "As `piston.crown.volume`, of this piston.", "6.5 cc", default=None
    )


class OddSkirt(SpecModel):
    """The skirt of one bore's piston."""

    clearance_mm: PositiveLength | None = said(
        "Piston to wall on the diameter in this bore; default: what the others' piston leaves in it. A piston larger "
        "than the others counts as larger all round, its lands and groove roots too.",
        "0.0026 in",
        "0.05 mm",
        default=None,
    )


class OddPiston(SpecModel):
    """The piston of one bore."""

    compression_height_mm: PositiveLength | None = said(
        "From the pin centre up to the flat of the crown.", "1.562 in", "39.6 mm", default=None
    )
    crown: OddCrown = said("Its top.", default=OddCrown())
    skirt: OddSkirt = said("Its skirt.", default=OddSkirt())
    mass_kg: Mass | None = said("Piston without pin and rings.", "512 g", default=None)


class OddBigEnd(SpecModel):
    """The big end of one bore's rod."""

    bore_mm: PositiveLength | None = said(
        "Housing bore, without bearing shells.", "2.2253 in", "56.5 mm", default=None
    )


class OddBearing(SpecModel):
    """The bearing shells of one bore's rod."""

    wall_mm: PositiveLength | None = said(
        "Thickness of one shell at its crown.", "0.0615 in", "1.55 mm", default=None
    )


class OddRod(SpecModel):
    """The rod of one bore."""

    length_mm: PositiveLength | None = said(
        "Between the centres of big and small end.", "5.702 in", "144.8 mm", default=None
    )
    big_end: OddBigEnd = said("Its big end.", default=OddBigEnd())
    bearing: OddBearing = said("Its bearing shells.", default=OddBearing())
    mass_small_kg: Mass | None = said("Weighed at the small end.", "182 g", default=None)


class OddRing(SpecModel):
    """A compression ring of one bore."""

    gap_mm: PositiveLength | None = said(
        "End gap, as it is in this bore.", "19 thou", "0.45 mm", default=None
    )


class OddOilRing(SpecModel):
    """The oil ring of one bore."""

    rail_gap_mm: PositiveLength | None = said(
        "End gap of either rail, as it is in this bore.", "25 thou", "0.6 mm", default=None
    )


class OddRings(SpecModel):
    """The rings of one bore."""

    top: OddRing = said("The top ring.", default=OddRing())
    second: OddRing = said("The second ring.", default=OddRing())
    oil: OddOilRing = said("The oil ring.", default=OddOilRing())


class OddBore(SpecModel):
    """What one bore has of its own."""

    diameter_mm: PositiveLength | None = said("Finished diameter.", "4.040 in", "102.6 mm", default=None)
    piston: OddPiston = said("Its piston.", default=OddPiston())
    rod: OddRod = said("Its rod with the shells.", default=OddRod())
    rings: OddRings = said("Its rings.", default=OddRings())


NONE: Final = OddBore()


def of_bore(spec: Engine, bore: int, piston_from: int, rod_from: int) -> Engine:
    """The engine as if every bore were one of them; as ``Engine.of_bore`` says it."""
    if not {str(number) for number in (bore, piston_from, rod_from)} & set(spec.bore):
        return spec
    own = spec.bore.get(str(bore), NONE)
    wall_mm = bore_mm(spec, bore)
    room = spec.block.bore
    block = _with(
        spec.block,
        bore=_with(
            room, diameter_mm=own.diameter_mm,
            # what is bored away comes off the wall
            wall_mm=None if own.diameter_mm is None else room.wall_mm - (wall_mm - room.diameter_mm) / 2,
        ),
    )  # fmt: skip
    parts: dict[str, Any] = {
        "bore": {},
        "block": block,
        "piston": _piston(spec, piston_from, wall_mm),
        "rod": _rod(spec.rod, spec.bore.get(str(rod_from), NONE).rod),
        "rings": _rings(spec, own, wall_mm),
    }
    return spec.model_copy(update=parts)


def bore_mm(spec: Engine, bore: int) -> float:
    """Diameter of one bore by the engine file, mm."""
    own = spec.bore.get(str(bore), NONE).diameter_mm
    return spec.block.bore.diameter_mm if own is None else own


def oversize_mm(spec: Engine, bore: int) -> float:
    """How much larger than the others' the piston of a bore is, on the diameter at the skirt, mm."""
    clearance = spec.bore.get(str(bore), NONE).piston.skirt.clearance_mm
    if clearance is None:
        return 0.0
    return (bore_mm(spec, bore) - spec.block.bore.diameter_mm) - (clearance - spec.piston.skirt.clearance_mm)


def _with(model: Model, **changes: Any) -> Model:
    """A model with the changes that are not None."""
    said_ = {name: value for name, value in changes.items() if value is not None}
    return model.model_copy(update=said_) if said_ else model


def _piston(spec: Engine, number: int, wall_mm: float) -> Piston:
    """The piston of one bore in a bore of a diameter."""
    odd, piston = spec.bore.get(str(number), NONE).piston, spec.piston
    larger = oversize_mm(spec, number)
    opened = wall_mm - spec.block.bore.diameter_mm - larger
    at_home = odd.skirt.clearance_mm if wall_mm == bore_mm(spec, number) else None
    moved = piston.skirt.clearance_mm + opened if opened else None
    grooves = [_with(groove, root_mm=groove.root_mm + larger) for groove in piston.grooves]
    return _with(
        piston,
        compression_height_mm=odd.compression_height_mm,
        crown=_with(piston.crown, volume_cm3=odd.crown.volume_cm3),
        skirt=_with(piston.skirt, clearance_mm=moved if at_home is None else at_home),
        land_clearance_mm=piston.land_clearance_mm + opened if opened else None,
        grooves=grooves if larger else None,
        mass_kg=odd.mass_kg,
    )


def _rod(rod: Rod, odd: OddRod) -> Rod:
    return _with(
        rod,
        length_mm=odd.length_mm,
        big_end=_with(rod.big_end, bore_mm=odd.big_end.bore_mm),
        bearing=_with(rod.bearing, wall_mm=odd.bearing.wall_mm),
        mass_small_kg=odd.mass_small_kg,
    )


def _rings(spec: Engine, own: OddBore, wall_mm: float) -> Rings:
    """The rings with the gaps that they have in a bore; pi times the difference of diameter where it is another."""
    rings = spec.rings
    opened = pi * (wall_mm - (rings.gap_bore_mm or spec.block.bore.diameter_mm))

    def gap(written_mm: float, odd_mm: float | None) -> float | None:
        moved = written_mm + opened if opened else None
        return moved if odd_mm is None else odd_mm

    second = rings.second and _with(rings.second, gap_mm=gap(rings.second.gap_mm, own.rings.second.gap_mm))
    oil = rings.oil and _with(rings.oil, rail_gap_mm=gap(rings.oil.rail_gap_mm, own.rings.oil.rail_gap_mm))
    top = _with(rings.top, gap_mm=gap(rings.top.gap_mm, own.rings.top.gap_mm))
    return _with(rings, top=top, second=second, oil=oil, gap_bore_mm=wall_mm if opened else None)


def broken(spec: Engine, rules: Mapping[str, Broken]) -> Iterator[Broken]:
    """What the odd parts break.

    Parameters
    ----------
    spec : the engine
    rules : rules of the engine without odd parts that are broken already, by key; they are not said again
    """
    numbers = sorted(number for bank in spec.engine.numbering.banks().values() for number in bank)
    for text, own in spec.bore.items():
        if text not in map(str, numbers):
            known = ", ".join(map(str, numbers))
            yield Broken(("bore", text), f"this engine has no bore {text}", f"one of its bores: {known}")
            continue
        yield from _lacking(spec, text, own)
        one = of_bore(spec, int(text), int(text), int(text))
        if one.piston.skirt.clearance_mm <= 0:
            what, right = (
                f"the piston is larger than bore {text}",
                "the piston's clearance in it, piston.skirt.clearance",
            )
            yield Broken(_key_of(own, text, "block.bore.diameter"), what, right)
            continue
        found = [*_own_rules(one), *clashes(one)]
        for rule in found:
            key = rule.key if isinstance(rule.key, str) else ".".join(map(str, rule.key))
            if key not in rules:
                yield Broken(_key_of(own, text, key), f"in bore {text}: {rule.what}", rule.right)


def _lacking(spec: Engine, text: str, own: OddBore) -> Iterator[Broken]:
    """Gaps of rings that the pistons do not have."""
    for name, there, said_mm in (
        ("second.gap", spec.rings.second is not None, own.rings.second.gap_mm),
        ("oil.rail_gap", spec.rings.oil is not None, own.rings.oil.rail_gap_mm),
    ):
        if said_mm is not None and not there:
            yield Broken(f"bore.{text}.rings.{name}", "the pistons have no such ring", "leave it out")


def _own_rules(one: Engine) -> Iterator[Broken]:
    """What piston and rod refuse by themselves."""
    for part in (one.piston, one.rod):
        try:
            part.hold_together()
        except Refused as refused:
            yield from refused.broken


def _key_of(own: OddBore, text: str, key: str) -> str:
    """The odd key that answers for a rule, as the user writes it; the bore's table where none does by itself."""
    written = own.model_dump(by_alias=True, exclude_none=True)
    inner: Any = written
    for step in ("diameter" if key == "block.bore.diameter" else key).split("."):
        inner = inner.get(step) if isinstance(inner, dict) else None
    if inner is not None:
        return f"bore.{text}.{'diameter' if key == 'block.bore.diameter' else key}"
    return f"bore.{text}"
