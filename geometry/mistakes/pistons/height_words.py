"""A piston that stands too high at top dead centre, for whatever reason."""

from __future__ import annotations

from geometry.assembly import Assembly
from geometry.built import Built
from geometry.kinematics.layout import BoreSite
from geometry.mistakes import facts
from geometry.mistakes.mistake import Mistake, Noticed, Signature, Spot, Study
from geometry.mistakes.pistons.valve_words import CrownHits, crown_sentence, crown_story, seek_crowns, stacks
from geometry.stack import face_mm
from geometry.units import System, show_fine

TOO_MUCH_MM = 2.54
"""A tenth of an inch, a usual step between pistons or rods of one family. From memory, no source."""


def stands_high(key: str, title: str, different: str, change: str, does: str, remedy: str) -> Mistake:
    """The mistake of a piston, or of a rod under it, that is too high.

    Parameters
    ----------
    key, title, different : as in ``Mistake``
    change : the field of ``BoreBuild`` that holds how much too high
    does : what is wrong, with ``{bore}`` and ``{by}``, how much
    remedy : as in ``Study``
    """

    def make(assembly: Assembly, bore: int) -> Built:
        return assembly.built.with_bore(bore, **{change: TOO_MUCH_MM})

    def study(right: Assembly, wrong: Assembly, bore: int, system: System) -> Study:
        site = wrong.layout.site(bore)
        before, after = stacks(right, wrong, site)
        story = crown_story(right, wrong, site)
        deck = facts.mm_row("crown below the deck at top dead centre", before.deck_mm, after.deck_mm)
        by = show_fine(getattr(wrong.built.bore(bore), change), system)
        return Study.of(
            _signs(right, wrong, bore, story, remedy),
            rows=(story.head, *story.valves, deck),
            does=f"{does.format(bore=bore, by=by)} {crown_sentence(story, wrong, system)} One that stands as much too "
            "low would turn freely and cost compression instead.",
            spot=_spot(right, wrong, site, system),
        )

    def signs(right: Assembly, wrong: Assembly, bore: int, system: System, found: list[CrownHits]) -> Noticed:
        del system
        return _signs(right, wrong, bore, found[0], remedy)

    return Mistake(key, title, different, make, study, seek=seek_crowns, signs=signs)


def _signs(right: Assembly, wrong: Assembly, bore: int, hits: CrownHits, remedy: str) -> Noticed:
    """What is noticed of a crown that stands high."""
    before, after = stacks(right, wrong, wrong.layout.site(bore))
    signature = Signature(
        tight=hits.arcs,
        period_deg=hits.period_deg,
        top_shift_mm=before.head_mm - after.head_mm,
        with_head=bool(hits.arcs),
        seen_only=not hits.arcs,
    )
    look_for = (
        "Measure crown to deck in every bore at its own top dead centre; they must agree within a few "
        "hundredths of a millimetre."
    )
    return Noticed(signature, _felt(hits), look_for, remedy, "deck")


def _felt(story: CrownHits) -> str:
    """For the hand on the crank."""
    if not story.arcs:
        return "By hand: nothing is felt; the crown stands visibly higher than its neighbours."
    arc = story.arcs[0]
    there, back = arc.start_deg % 360, arc.end_deg % 360
    return f"By hand, with the head on: stops hard at {there:.0f}° and, turned back, at {back:.0f}°."


def _spot(right: Assembly, wrong: Assembly, site: BoreSite, system: System) -> Spot:
    """The crown at its top dead centre, with the rise as a dimension."""
    face, gaps = face_mm(wrong.spec), [stack.head_mm for stack in stacks(right, wrong, site)]
    crank = facts.top_deg(wrong.linkage, wrong.layout.index(site.bore))
    out = 0.6 * wrong.spec.block.bore.diameter_mm / 2
    start, end = (facts.in_engine(wrong, site, (out, 0.0, face - gap)) for gap in gaps)
    text = f"crown {show_fine(gaps[0] - gaps[1], system)} too high"
    return Spot(crank, "bore", site.bore, (f"piston {site.bore}",), "stop", start, end, text, "head")
