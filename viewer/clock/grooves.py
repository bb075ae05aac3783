"""Each ring in its groove, enlarged and to scale: the right way up, and the wrong way up beside it."""

from __future__ import annotations

import textwrap
from typing import Any, Final

from geometry.assembly import Assembly
from geometry.parts.ring_shape import groove_of
from geometry.parts.solids import Array
from geometry.rings.section import oil_pack, outline, upside_down
from geometry.rings.types import OIL_RING_WORDS, WayUp, way_up
from geometry.spec.engine import Engine
from geometry.spec.rings import CompressionRing
from geometry.units import System, show
from viewer.cautions import SHORT
from viewer.sections.paper import HATCH, INK, OTHER, SHELL, STEEL, label

EXAGGERATE: Final = 6.0
"""Barrel drop and taper are too small to see at this scale; everything else is true."""
CELL_IN: Final = (5.6, 3.5)


def draw_grooves(assembly: Assembly, system: System) -> Any:
    """A matplotlib figure: one row per ring, right and wrong."""
    from matplotlib.figure import Figure

    spec = assembly.spec
    rings = [("top", spec.rings.top), ("second", spec.rings.second)]
    rows = [(name, ring) for name, ring in rings if ring is not None and groove_of(spec, name) is not None]
    oil = spec.rings.oil is not None and groove_of(spec, "oil") is not None
    count = len(rows) + int(oil)
    figure = Figure(figsize=(2 * CELL_IN[0], count * CELL_IN[1] + 1.2), dpi=150)
    axes = figure.subplots(count, 2, squeeze=False)
    figure.subplots_adjust(
        left=0.02, right=0.98, bottom=0.07, top=1 - 0.95 / figure.get_figheight(), hspace=0.42, wspace=0.05
    )
    figure.suptitle(f"{spec.engine.name}: rings in their grooves", fontsize=14, weight="bold", color=INK)
    for row, (name, ring) in enumerate(rows):
        up = way_up(ring.face, ring.inside, ring.mark)
        _compression(axes[row, 0], spec, name, ring, up, system, right=True)
        _compression(axes[row, 1], spec, name, ring, up, system, right=False)
    if oil:
        _oil(axes[-1, 0], spec, system, right=True)
        _oil(axes[-1, 1], spec, system, right=False)
    figure.text(
        0.5, 0.012,
        f"To scale, enlarged; only barrel and taper of the running face are drawn {EXAGGERATE:g} times as large. "
        f"Crown up, bore wall at the right. {SHORT}",
        ha="center", va="bottom", fontsize=7.5, color=HATCH,
    )  # fmt: skip
    return figure


def _ground(axis: Any, spec: Engine, groove_name: str) -> tuple[float, float, float]:
    """Piston with its groove and the bore wall; returns root (negative), height of the groove, land gap."""
    groove = groove_of(spec, groove_name)
    assert groove is not None
    bore = spec.block.bore.diameter_mm / 2
    root, land = groove.root_mm / 2 - bore, -spec.piston.land_clearance_mm / 2
    high = groove.height_mm
    room, deep = 0.9 * high, root - 0.25 * abs(root)
    piston = [
        (deep, -room), (land, -room), (land, 0), (root, 0), (root, high), (land, high), (land, high + room),
        (deep, high + room),
    ]  # fmt: skip
    axis.fill(*zip(*piston, strict=True), fc=OTHER, ec=INK, lw=1.1, hatch="\\\\\\")
    wall = [(0, -room), (0.22 * abs(root), -room), (0.22 * abs(root), high + room), (0, high + room)]
    axis.fill(*zip(*wall, strict=True), fc=STEEL, ec=INK, lw=1.1, hatch="///")
    axis.set_aspect("equal")
    axis.set_axis_off()
    axis.set_xlim(deep - 0.02 * abs(root), 0.75 * abs(root))
    axis.set_ylim(-room - 0.1 * high, high + room + 0.1 * high)
    axis.text(0.26 * abs(root), high / 2, "bore wall", fontsize=8, rotation=90, va="center", color=INK)
    return root, high, land


def _compression(
    axis: Any, spec: Engine, name: str, ring: CompressionRing, up: WayUp, system: System, right: bool
) -> None:
    root, high, _ = _ground(axis, spec, name)
    section = outline(ring.face, ring.inside, ring.height_mm, ring.wall_mm, exaggerate=EXAGGERATE)
    if not right:
        section = upside_down(section, ring.height_mm)
    _fill(axis, section)
    either = up.side_up == "either"
    head = "right" if right else ("alike: no wrong way" if either else "wrong, upside down")
    axis.set_title(f"{name.capitalize()} ring, {head}", fontsize=10.5, weight="bold", color=INK)
    if ring.mark != "none":
        level = ring.height_mm if right else 0.0
        axis.plot([-0.45 * ring.wall_mm], [level], marker="o", color=INK, ms=5, zorder=8)
        label(
            axis,
            ring.mark,
            (-0.45 * ring.wall_mm, level),
            (-0.45 * ring.wall_mm, (1.62 if right else -0.62) * high),
            fontsize=8,
        )
    side = show(high - ring.height_mm, "length", system, fine=True)
    back = show(abs(root) - ring.wall_mm, "length", system, fine=True)
    twist = up.twist if right else up.twist_upside_down
    sizes = f"side clearance {side}, back clearance {back}; twist in the bore: {twist}"
    _under(axis, [sizes, up.how if right else up.upside_down])


def _under(axis: Any, lines: list[str]) -> None:
    """Words under a drawing."""
    text = "\n".join(textwrap.fill(line, 74) for line in lines if line)
    axis.text(0.5, -0.03, text, transform=axis.transAxes, ha="center", va="top", fontsize=7.6, color=INK)


def _fill(axis: Any, section: Array) -> None:
    axis.fill(section[:, 0], section[:, 1], fc=SHELL, ec=INK, lw=1.3, zorder=6)


def _oil(axis: Any, spec: Engine, system: System, right: bool) -> None:
    oil = spec.rings.oil
    assert oil is not None
    _, high, _ = _ground(axis, spec, "oil")
    pack = oil_pack(oil.height_mm, oil.rail_height_mm, oil.rail_wall_mm)
    for piece in (pack.expander, pack.lower_rail, *((pack.upper_rail,) if right else ())):
        _fill(axis, piece)
    head = "right" if right else "wrong, a rail left out"
    axis.set_title(f"Oil ring, {head}", fontsize=10.5, weight="bold", color=INK)
    side = show(high - oil.height_mm, "length", system, fine=True)
    said = (
        OIL_RING_WORDS["three_piece"].why if right else "The pack is slack in its groove and scrapes no oil."
    )
    _under(axis, [f"side clearance of the pack {side}", said])
