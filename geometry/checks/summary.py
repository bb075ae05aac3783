"""The engine as a whole: displacement, compression ratio, rod ratio, piston speed, firing."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from geometry.assembly import Assembly
from geometry.capacity import mean_piston_speed_m_s
from geometry.checks.section import LINKAGE_KEYS, Amount, Check, Column, Figure, Finding, Row, Section
from geometry.checks.volumes import volumes, volumes_of
from geometry.kinematics.firing import evenly_fired
from geometry.kinematics.slider_crank import dead_centres
from geometry.spec.engine import Engine
from geometry.spec.plausible import USUAL_COMPRESSION
from geometry.stack import stack_of
from geometry.units import System, show

RATIO = "compression ratio"


@dataclass(frozen=True, slots=True)
class Capacity:
    """What an engine displaces and compresses.

    Attributes
    ----------
    stroke_mm : that results, longer than twice the throw where the pin is offset; the mean of all bores
    displaced_cm3 : of all bores
    ratio : compression ratio at the mean deck; where bores have parts of their own, the mean of their ratios; None
        where a piston leaves no volume at the top
    ratios : of each bore that has one, by number, where bores have parts of their own; of none otherwise
    filled_cm3 : what is left at the top where that is nothing or less, by bore, or by None for every bore
    """

    stroke_mm: float
    displaced_cm3: float
    ratio: float | None
    ratios: Mapping[int, float]
    filled_cm3: Mapping[int | None, float]


def capacity(assembly: Assembly) -> Capacity:
    """Displacement and compression of an engine as put together."""
    spec = assembly.spec
    centres = dead_centres(assembly.linkage)
    stroke = float(np.mean(centres.stroke_mm))
    if spec.bore:
        each = {site.bore: volumes_of(assembly, site.bore) for site in assembly.layout.bores}
        ratios = {bore: one.ratio for bore, one in each.items() if one.ratio is not None}
        filled: dict[int | None, float] = {
            bore: one.left_cm3 for bore, one in each.items() if one.ratio is None
        }
        mean = None if filled else float(np.mean(list(ratios.values())))
        return Capacity(stroke, sum(one.swept_cm3 for one in each.values()), mean, ratios, filled)
    stacks = [stack_of(spec, assembly.layout, site.bore, assembly.built) for site in assembly.layout.bores]
    deck = float(np.mean([stack.deck_mm for stack in stacks]))
    middle = volumes(spec, stroke, deck)
    swept = middle.swept_cm3 * len(assembly.layout.bores)
    return Capacity(stroke, swept, middle.ratio, {}, {None: middle.left_cm3} if middle.ratio is None else {})


def figures(assembly: Assembly, only: Collection[int] | None) -> tuple[Figure, ...]:
    """Displacement, and compression ratio where there is one; the whole engine's, whichever bores are asked for."""
    found, (low, high) = capacity(assembly), usual_ratio(assembly)
    displaced = Figure("displacement", None, found.displaced_cm3, None, None, "volume", 0, "displacement_cm3")
    if found.ratio is None:
        return (displaced,)
    return (
        displaced,
        Figure(
            RATIO, None, found.ratio, low, high, "ratio", 0, "compression_ratio",
            "common practice, no source", "look", "look",
        ),
    )  # fmt: skip


def usual_ratio(assembly: Assembly) -> tuple[float, float]:
    """Compression ratios that are usual for what the engine burns."""
    return USUAL_COMPRESSION["diesel" if assembly.spec.engine.duty == "diesel" else "petrol"]


def run(assembly: Assembly, system: System) -> Section:
    """One row for the engine."""
    spec = assembly.spec
    found, bore_mm, count = capacity(assembly), spec.block.bore.diameter_mm, len(assembly.layout.bores)
    stroke, ratio = found.stroke_mm, found.ratio
    firing = assembly.layout.firing
    intervals = "even" if evenly_fired(firing) else "uneven"
    row: Row = {
        "bores": count,
        "displacement_cm3": Amount(found.displaced_cm3, "volume"),
        "bore_mm": Amount(bore_mm, "length", fine=True),
        "stroke_mm": Amount(stroke, "length", fine=True),
        "compression_ratio": None if ratio is None else round(ratio, 3),
        "rod_stroke_ratio": round(spec.rod.length_mm / spec.crank.stroke_mm, 4),
        "rod_throw_ratio": round(2 * spec.rod.length_mm / spec.crank.stroke_mm, 4),
        "speed_rpm": Amount(spec.engine.speed_rpm, "rotation"),
        "mean_piston_speed_m_s": Amount(mean_piston_speed_m_s(stroke, spec.engine.speed_rpm), "speed"),
        "firing_order": "-".join(str(b) for b in firing.order),
        "firing_order_from": "derived from the crank" if firing.derived else "your engine file",
        "firing_intervals_deg": ", ".join(f"{gap:.6g}" for gap in np.round(firing.intervals_deg, 2)),
        "firing": intervals,
    }
    columns = (
        Column("bores", "bores"), Column("displacement_cm3", "displacement"), Column("bore_mm", "bore diameter"),
        Column("stroke_mm", "stroke"), Column("compression_ratio", "compression ratio"),
        Column("rod_stroke_ratio", "rod/stroke"), Column("speed_rpm", "greatest speed"),
        Column("mean_piston_speed_m_s", "mean piston speed"), Column("firing_order", "firing order"),
        Column("firing_order_from", "order from"),
        Column("firing_intervals_deg", "intervals °"),
    )  # fmt: skip
    findings = (*_filled(found, system), *_ratio(assembly, ratio), *_firing(assembly))
    notes = _odd_notes(spec, found)
    return Section(
        "summary", "Engine", columns, (row,), findings, notes, single=True, figures=figures(assembly, None)
    )


def _odd_notes(spec: Engine, found: Capacity) -> tuple[str, ...]:
    """Which bores have parts of their own, and how far the compression ratios lie apart."""
    if not spec.bore:
        return ()
    odd = ", ".join(sorted(spec.bore, key=int))
    parts = f"Sizes or parts of its own, by the engine file: bore {odd}."
    own = f"{parts} Bore and rod ratio above are those of the others."
    ratios = found.ratios
    if found.ratio is None:
        return (own,)
    low, high = min(ratios, key=lambda bore: ratios[bore]), max(ratios, key=lambda bore: ratios[bore])
    return (
        own,
        f"Compression: the mean of all bores, from {ratios[low]:.2f} (bore {low}) to {ratios[high]:.2f} (bore {high}). "
        "Displacement: the sum of all bores.",
    )


def _filled(found: Capacity, system: System) -> Iterator[Finding]:
    """A piston that fills the chamber, and more, leaves nothing to reckon a ratio with."""
    for bore, left_cm3 in found.filled_cm3.items():
        yield Finding(
            "no_volume_at_top", "stop", bore,
            f"chamber, gasket, deck and crown come to {show(left_cm3, 'volume', system)} above the piston at top dead "
            "centre, which must be more than zero: there is no compression ratio",
            "check rod, stroke, compression height and deck height first, then the volumes of chamber and crown",
        )  # fmt: skip


def _ratio(assembly: Assembly, ratio: float | None) -> tuple[Finding, ...]:
    if ratio is None:
        return ()
    kind = "diesel" if assembly.spec.engine.duty == "diesel" else "petrol"
    low, high = usual_ratio(assembly)
    if low <= ratio <= high:
        return ()
    return (
        Finding(
            "compression_ratio", "look", None,
            f"compression ratio {ratio:.2f} lies outside the {low:g} to {high:g} that is usual for a {kind} "
            "engine (common practice, no source)",
            "check chamber, crown and gasket volumes, and the fuel it will run on", figure=RATIO,
        ),
    )  # fmt: skip


def _firing(assembly: Assembly) -> tuple[Finding, ...]:
    """A derived order is a guess where the crank leaves a choice, and cam and valves follow it."""
    firing = assembly.layout.firing
    if firing.choices < 2:
        return ()
    lobes = "each cam lobe and the valves' timing follow"
    follows = "the valves' timing follows" if assembly.spec.cam is None else lobes
    order = "-".join(str(bore) for bore in firing.order)
    return (
        Finding(
            "firing_order_derived", "note", None,
            f"the file gives no firing order: {order} is one of {firing.choices} that fire equally evenly on this "
            f"crank, and {follows} from it",
            "write engine.firing_order as the cam has it",
        ),
    )  # fmt: skip


READS = (
    *LINKAGE_KEYS,
    "block.bore.diameter",
    "block.deck_height",
    "gasket.",
    "head.chamber",
    "piston.compression_height",
    "piston.crown",
)
CHECK = Check("summary", 10, run, figures, reads=READS)
