"""The rings, their clock and their heat."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from geometry.spec.proportions.crank import OWN
from geometry.spec.proportions.row import Proportion, ValuesByKey


def _bore(values: ValuesByKey) -> float:
    return values["block.bore.diameter"]


def _compression_rows(ring: str) -> Iterator[Proportion]:
    key = f"rings.{ring}"
    yield Proportion(
        f"{key}.height", "stock", "micrometer", "micrometer over the ring's faces, to 0.0002 in (0.005 mm)",
        lambda v: _bore(v) / 60.0, "a sixtieth of the bore (starters)",
        leaves=0.005,
    )  # fmt: skip
    yield Proportion(
        f"{key}.wall", "stock", "micrometer", "micrometer across the ring's wall, to 0.001 in (0.02 mm)",
        lambda v: _bore(v) / 25.0, "a twenty-fifth of the bore (starters)",
        leaves=0.02,
    )  # fmt: skip
    yield Proportion(
        f"{key}.gap", "depth", "feeler", "ring squared in its own bore, feeler blade in the gap, to 0.001 in (0.02 mm)",
        lambda v: v[f"{ring} gap by bore"] * _bore(v),
        "what the duty asks for, by the bore, and a little (trade tables)",
        leaves=0.02,
    )  # fmt: skip
    sheet = "the sheet in the box of rings"
    yield Proportion(f"{key}.gap_least", "chosen", "sheet", sheet)
    yield Proportion(f"{key}.gap_most", "chosen", "sheet", sheet)
    yield Proportion(
        f"{key}.free_gap",
        "stock",
        "caliper",
        "caliper over the gap of the ring lying on the bench, to 0.020 in (0.5 mm)",
        leaves=0.5,
    )


ROWS: Final = (
    *_compression_rows("top"),
    *_compression_rows("second"),
    Proportion(
        "rings.oil.height", "stock", "caliper",
        "caliper over rails and expander pressed together, to 0.002 in (0.05 mm)",
        lambda v: _bore(v) / 30.0,
        "a thirtieth of the bore (starters)",
        leaves=0.05,
    ),
    Proportion(
        "rings.oil.rail_height", "stock", "micrometer",
        "micrometer over one rail, to 0.0005 in (0.01 mm)",
        lambda v: _bore(v) / 180.0,
        "a sixth of the pack (starters)",
        leaves=0.01,
    ),
    Proportion(
        "rings.oil.rail_wall", "stock", "micrometer",
        "micrometer across a rail, to 0.001 in (0.02 mm)",
        lambda v: 0.0267 * _bore(v),
        f"0.0267 of the bore ({OWN})",
        leaves=0.02,
    ),
    Proportion(
        "rings.oil.rail_gap", "depth", "feeler",
        "rail squared in its own bore, feeler blade in the gap, to 0.001 in (0.02 mm)",
        lambda v: max(0.0067 * _bore(v), 0.42),
        f"0.0067 of the bore, never below the 0.015 in of the trade ({OWN})",
        leaves=0.02,
    ),
    Proportion(
        "rings.oil.rail_gap_least", "chosen", "sheet",
        "the sheet in the box of rings",
    ),
    Proportion(
        "rings.oil.rail_gap_most", "chosen", "sheet",
        "the sheet in the box of rings",
    ),
    *(
        Proportion(
            f"rings.clock.{key}", "chosen", "protractor",
            f"where you put the gap of the {key.replace('_', ' ')}, by eye or ring protractor, to 5 degrees",
        )
        for key in ("top", "second", "upper_rail", "expander", "lower_rail")
    ),
    Proportion(
        "rings.minimum_separation", "chosen", "sheet",
        "what you hold your gaps to",
    ),
    *(
        Proportion(f"rings.heat.{key}", "chosen", "sheet", f"how hot you take {words} to run")
        for key, words in (("ring", "the top ring"), ("second_ring", "the second ring"), ("bore", "the wall"))
    ),
    Proportion(
        "rings.heat.ring_expansion", "material", "sheet",
        "the maker's figure for the ring's metal",
    ),
    Proportion(
        "rings.heat.bore_expansion", "material", "sheet",
        "the maker's figure for the wall's metal",
    ),
    Proportion(
        "rings.oversize", "chosen", "sheet",
        "what the box of file-fit rings says",
    ),
    Proportion(
        "rings.side_least", "chosen", "sheet",
        "the sheet in the box of rings",
    ),
    Proportion(
        "rings.side_most", "chosen", "sheet",
        "the sheet in the box of rings",
    ),
    Proportion(
        "rings.gap_bore", "journal", "bore_gauge",
        "bore gauge where the gaps were measured, to 0.0005 in (0.01 mm)",
        leaves=0.01,
    ),
)  # fmt: skip
