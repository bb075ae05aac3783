"""Rules of the block: bores, crankcase, main webs and caps."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from geometry.spec.base import Rule
from geometry.spec.clashes.rule import rods_per_throw

if TYPE_CHECKING:
    from geometry.spec.block import Notch
    from geometry.spec.engine import Engine

MOST_ACROSS: Final = 4.0
"""Size of main caps and reach of the crankcase as a multiple of the bore."""


def rules(spec: Engine) -> Iterator[Rule]:
    """The whole block."""
    yield from _bore_rules(spec)
    yield from _main_rules(spec)
    yield from _size_rules(spec)
    yield from _case_rules(spec)
    yield ("block.slant", abs(spec.block.slant_deg) > 90,
           "the engine would stand on its head", "how far the bores lean, 90 deg at most")  # fmt: skip


def _bore_rules(spec: Engine) -> Iterator[Rule]:
    bore = spec.block.bore
    longest_bank = max(len(bank) for bank in spec.engine.numbering.banks().values())
    yield ("block.bore.spacing", longest_bank > 1 and bore.spacing_mm is None,
           "more than one bore in a bank needs their spacing", 'spacing = "4.40 in"')  # fmt: skip
    # Bores may share their walls (siamesed), so a wall may fill all that is left between two bores.
    most = bore.diameter_mm / 2 if bore.spacing_mm is None else bore.spacing_mm - bore.diameter_mm
    yield (
        "block.bore.wall", bore.wall_mm > most,
        "the wall reaches into the neighbour bore" if bore.spacing_mm else "the wall is as thick as half the bore",
        "at most block.bore.spacing less block.bore.diameter" if bore.spacing_mm else "the thickness of the wall",
    )  # fmt: skip
    yield ("block.bore.chamfer", bore.chamfer_mm >= bore.wall_mm,
           "the chamfer cuts through the wall", "a leg smaller than block.bore.wall")  # fmt: skip
    yield ("block.bore.material", bore.material == "aluminium" and spec.block.material != "aluminium",
           "an iron block has no bores of aluminium",
           'block.material = "aluminium", or leave block.bore.material out')  # fmt: skip
    if bore.notch is not None:
        yield from _notch_rules(spec, bore.notch)


def _notch_rules(spec: Engine, notch: Notch) -> Iterator[Rule]:
    bore = spec.block.bore
    yield ("block.bore.notch.width", notch.width_mm >= bore.diameter_mm,
           "the notch is as wide as the bore", "its width as a chord of the bore")  # fmt: skip
    yield ("block.bore.notch.height", notch.height_mm >= bore.length_mm / 2,
           "the notch reaches half way up the bore", "how far up from the bottom of the bore it reaches")  # fmt: skip
    yield ("block.bore.notch.sides",
           notch.sides in ("inboard", "outboard") and spec.engine.layout != "vee",
           f"only a vee has an {notch.sides} side to its bores", '"major", "minor" or "both"')  # fmt: skip
    yield ("block.bore.notch.offset", notch.offset_mm != 0 and rods_per_throw(spec) == 1,
           "no two bores share a throw here, so there is none to stand towards", "leave offset out")  # fmt: skip
    yield ("block.bore.notch.offset",
           notch.width_mm < bore.diameter_mm <= 2 * abs(notch.offset_mm) + notch.width_mm,
           "the notch reaches past the end of the bore along the crank",
           "offset and half of block.bore.notch.width together less than half of block.bore.diameter")  # fmt: skip


def _main_rules(spec: Engine) -> Iterator[Rule]:
    block, cap, main = spec.block, spec.block.main_cap, spec.crank.main
    for key, thick in (("block.web", block.web_mm), ("block.main_cap.thickness", cap.thickness_mm)):
        yield (key, thick >= main.width_mm,
               "the main journal is no longer than this is thick: the crank cheeks would run in it",
               "a thickness below crank.main.width")  # fmt: skip
    yield ("block.main_cap.height", cap.height_mm <= main.diameter_mm / 2,
           "the cap ends inside the main journal", "a height greater than half of crank.main.diameter")  # fmt: skip
    yield ("block.main_cap.width", cap.width_mm <= cap.bolt_spacing_mm,
           "the cap bolts stand outside the cap", "a width greater than block.main_cap.bolt_spacing")  # fmt: skip
    yield ("block.main_cap.bolt_spacing", cap.bolt_spacing_mm - cap.bolt_diameter_mm <= main.diameter_mm,
           "the cap bolts would pass through the main journal",
           "a spacing greater than crank.main.diameter plus a bolt diameter")  # fmt: skip


def _size_rules(spec: Engine) -> Iterator[Rule]:
    """Sizes that a slip of the decimal point makes ten times too large."""
    block, rail, bore = spec.block, spec.block.pan_rail, spec.block.bore.diameter_mm
    for key, thick in (
        ("block.end_wall", block.end_wall_mm),
        ("block.crankcase.wall", block.crankcase.wall_mm),
        ("block.pan_rail.width", rail.width_mm),
        ("block.pan_rail.thickness", rail.thickness_mm),
    ):
        yield (key, thick > bore,
               "this is thicker than the bore is wide", "its own size; look at the decimal point")  # fmt: skip
    for key, across in (
        ("block.main_cap.width", block.main_cap.width_mm),
        ("block.main_cap.height", block.main_cap.height_mm),
    ):
        yield (key, across > MOST_ACROSS * bore,
               "this is more than four times the bore", "its own size; look at the decimal point")  # fmt: skip


def _case_rules(spec: Engine) -> Iterator[Rule]:
    case, rail = spec.block.crankcase, spec.block.pan_rail
    yield from _section_rules("block.crankcase.section", case.section)
    yield ("block.pan_rail.inside", abs(case.section[0][0] - rail.inside_mm) > rail.width_mm,
           "the rail stands away from the crankcase's wall",
           "the same distance from the middle as the first point of block.crankcase.section")  # fmt: skip
    sections = {f"bays.{bay}": section for bay, section in case.bays.items()}
    if case.section_left is not None:
        sections["section_left"] = case.section_left
    for name, section in sections.items():
        key = f"block.crankcase.{name}"
        yield from _section_rules(key, section)
        off = abs(section[0][1] - rail.height_mm) if section else 0.0
        yield (key, off > rail.thickness_mm,
               "the section does not start at the pan rail",
               "a first point at the height of block.pan_rail")  # fmt: skip
    count = sum(len(bank) for bank in spec.engine.numbering.banks().values()) // rods_per_throw(spec)
    for bay in case.bays:
        yield (f"block.crankcase.bays.{bay}", bay not in {str(number + 1) for number in range(count)},
               "this crankcase has no such bay", f"a bay's number from the front, 1 to {count}")  # fmt: skip


def _section_rules(key: str, section: Sequence[Sequence[float]]) -> Iterator[Rule]:
    yield key, len(section) < 2, "one point is not a section", "at least two points, from the pan rail up"
    if section:
        across = [point[0] for point in section]
        yield (key, across[0] <= 0 or min(across) < 0,
               "the section crosses the crank's middle plane",
               "every point [across, up] with across above zero")  # fmt: skip
    yield (key, any(upper[1] < lower[1] for lower, upper in pairwise(section)),
           "the section runs down again", "points from the pan rail upwards")  # fmt: skip
