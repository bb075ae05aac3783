"""A page for each bore, or for bores that are alike: how its parts go in, and the boxes for its readings."""

from __future__ import annotations

import math
from collections.abc import Hashable, Iterable
from dataclasses import dataclass
from typing import Final

from geometry.checks.passage import FROM_ABOVE, WAY_WORDS
from geometry.checks.push import push_in
from geometry.checks.push_path import SafePush, safe_push
from geometry.record.catalogue import lay_out
from geometry.record.form import FORM
from geometry.record.kind import Bench
from geometry.record.way_round import way_round
from geometry.units import show
from viewer.paper.clock.plans import ClockPlan, plans_of
from viewer.sheet.asked import SheetAsked
from viewer.sheet.content import (
    MARGIN_MM,
    PAPER_MM,
    Block,
    Heading,
    PaperPage,
    Paragraph,
    SheetCell,
    SheetColumn,
    SheetTable,
    SideBySide,
)
from viewer.sheet.pages import boxes
from viewer.sheet.pictures.clock import draw_clock
from viewer.sheet.pictures.dial import draw_dial
from viewer.sheet.pictures.rings import draw_rings
from viewer.sheet.pictures.ways import draw_ways
from viewer.sheet.wording import say

MOST_ON_A_PAGE: Final = 4
"""Bores on one page: more leave no room for a pencil in their boxes."""
CLOCK_SHARE: Final = 0.635
GUTTER_MM: Final = 4.0


@dataclass(frozen=True, slots=True, eq=False)
class BoreGroup:
    """Bores that share a page: their clock, parts, limits and way round are the same."""

    bores: tuple[int, ...]
    plan: ClockPlan


def groups_of(asked: SheetAsked) -> tuple[BoreGroup, ...]:
    """The pages' bores, in the order of work."""
    assembly = asked.designed.assembly
    blank = lay_out(assembly.spec, FORM(), asked.system)
    plan_of = {site.bore: plan for plan in plans_of(assembly) for site in plan.sites}
    alike: dict[Hashable, list[int]] = {}
    for bore in asked.bores:
        alike.setdefault((id(plan_of[bore]), *_alike(asked, blank, bore)), []).append(bore)
    found = []
    for bores in alike.values():
        pages = math.ceil(len(bores) / MOST_ON_A_PAGE)
        most = math.ceil(len(bores) / pages)
        found += [
            BoreGroup(tuple(sorted(bores[k : k + most])), plan_of[bores[0]])
            for k in range(0, len(bores), most)
        ]
    return tuple(sorted(found, key=lambda group: asked.bores.index(group.bores[0])))


def _alike(asked: SheetAsked, blank: Bench, bore: int) -> tuple[Hashable, ...]:
    """All that a page says of a bore as designed, but for its number and what it shares a pin with."""
    assembly = asked.designed.assembly
    site = assembly.layout.site(bore)
    way = way_round(assembly, site)
    limits = tuple(
        (at.kind.path, at.asked, at.limit.text(asked.system) if at.limit else at.wanted and at.wanted.words)
        for ats in boxes.asked_in(blank, bore).values()
        for at in ats
        if at.kind.path != "rod.side"
    )
    safe = tuple((round(a, 2), round(b, 2)) for a, b in push_in(assembly, site).safe_after_top_deg)
    return (
        site.bank, way.mark_end, way.large_end, way.chamfer_tells, way.rod_tang_sign, way.cheeks, way.top, limits, safe,
    )  # fmt: skip


def pages(asked: SheetAsked) -> tuple[PaperPage, ...]:
    """One page for each group of bores."""
    return tuple(_page(asked, group) for group in groups_of(asked))


def _page(asked: SheetAsked, group: BoreGroup) -> PaperPage:
    assembly = asked.designed.assembly
    wide = PAPER_MM[asked.paper][0] - 2 * MARGIN_MM
    clock = CLOCK_SHARE * (wide - GUTTER_MM)
    site = assembly.layout.site(group.bores[0])
    spec = assembly.design(site.bore)
    key = "bore " + "-".join(map(str, group.bores))
    pictures = SideBySide(
        ((draw_clock(group.plan, clock),), (draw_rings(spec, wide - GUTTER_MM - clock),)),
        (CLOCK_SHARE, 1 - CLOCK_SHARE),
    )
    blocks: tuple[Block, ...] = (
        Heading(say("bore", "head rings"), 2),
        pictures,
        Heading(say("bore", "head ways"), 2),
        draw_ways(assembly, site, wide),
        Paragraph(_stand(asked, group), "small"),
        *_push(asked, group, wide),
        Heading(say("bore", "head readings"), 2),
        *boxes.blocks_of(asked.bench, group.bores),
    )
    return PaperPage(key, _title(asked, group), blocks)


def _title(asked: SheetAsked, group: BoreGroup) -> str:
    numbers = [str(bore) for bore in group.bores]
    bores = numbers[0] if len(numbers) == 1 else f"{', '.join(numbers[:-1])} and {numbers[-1]}"
    bank = asked.designed.assembly.layout.site(group.bores[0]).bank
    return say("bore", "one" if len(numbers) == 1 else "several", bores=bores) + say("bore", f"bank {bank}")


def _stand(asked: SheetAsked, group: BoreGroup) -> str:
    """Where the builder stands for the views."""
    bank = asked.designed.assembly.layout.site(group.bores[0]).bank
    return f"{say('bore', 'stand')} {say('bore', f'stand {bank}')}".strip()


def _push(asked: SheetAsked, group: BoreGroup, wide: float) -> tuple[Block, ...]:
    """Where the crank stands while each piston is pushed in."""
    assembly = asked.designed.assembly
    found = {bore: safe_push(assembly, assembly.layout.site(bore)) for bore in group.bores}
    first = found[group.bores[0]]
    head = Heading(say("bore", "head push"), 2)
    if first.plane.passage.way not in FROM_ABOVE:
        way = WAY_WORDS[first.plane.passage.way]
        return head, Paragraph(say("bore", "not from above", way=way), "caution")
    share = 0.32
    dial = draw_dial(
        first.safe_after_top_deg, first.best_after_top_deg, assembly.layout.sense, share * (wide - GUTTER_MM)
    )
    columns = (
        SheetColumn(say("bore", "push bore"), 0.7),
        SheetColumn(say("bore", "push turn to"), 1.5),
        SheetColumn(say("bore", "push safe"), 2.2),
        SheetColumn(say("bore", "initials"), 1.6),
    )
    rows = tuple(
        (SheetCell(str(bore), strong=True), SheetCell(_degrees(one.best_deg), strong=True),
         SheetCell(_stretches(one)), SheetCell("", "box"))
        for bore, one in found.items()
    )  # fmt: skip
    how = say("bore", "push how")
    if assembly.spec.rod.bolt.kind == "bolt_and_nut":
        how = f"{how} {say('bore', 'push hose')}"
    told = (say("bore", "push from", zero=min(asked.bores)), _near(found.values(), asked))
    below = Paragraph(" ".join(filter(None, told)), "small")
    return head, SideBySide(((dial,), (Paragraph(how), SheetTable(columns, rows))), (share, 1 - share)), below


def _near(found: Iterable[SafePush], asked: SheetAsked) -> str:
    """What the solids come nearest to at the best angle, where they come near anything."""
    met = [
        one
        for push in found
        for one in (push.on_the_way, push.onto_the_pin)
        if one is not None and one.feature
    ]
    if not met:
        return ""
    nearest = min(met, key=lambda one: one.least_mm)
    what = nearest.feature.replace("_", " ")
    return say("bore", "push near", what=what, least=show(nearest.least_mm, "length", asked.system))


def _degrees(angle_deg: float | None) -> str:
    return say("bore", "none safe") if angle_deg is None else f"{angle_deg:.0f}°"


def _stretches(found: SafePush) -> str:
    """Safe stretches in whole degrees, rounded inwards."""
    if any(end - start >= 360.0 for start, end in found.safe_deg):
        return say("bore", "any angle")
    texts = [f"{math.ceil(a) % 360}° to {math.floor(b) % 360}°" for a, b in found.safe_deg]
    return say("bore", "and").join(texts) or say("bore", "none safe")
