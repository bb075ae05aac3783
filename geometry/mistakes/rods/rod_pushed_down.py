"""A piston pushed in with the crank in the wrong place: the rod's open end, or a bolt, nicks the crankpin."""

from __future__ import annotations

import math

from geometry.assembly import Assembly
from geometry.built import Built
from geometry.checks.passage import FROM_ABOVE, WAY_WORDS, passage
from geometry.checks.push import PushIn, first_strike, push_in
from geometry.kinematics.layout import BoreSite
from geometry.mistakes import facts
from geometry.mistakes.mistake import Mistake, Noticed, Signature, Spot, Study
from geometry.units import System


def refuse(assembly: Assembly, bore: int) -> str | None:
    """Only a piston that goes in from the deck is pushed down onto its crankpin."""
    way = passage(assembly, assembly.layout.site(bore)).way
    return None if way in FROM_ABOVE else f"the rod goes through the bore {WAY_WORDS[way]}"


def make(assembly: Assembly, bore: int) -> Built:
    """Everything ends up in its place; what stays is the nick."""
    del bore
    return assembly.built


def study(right: Assembly, wrong: Assembly, bore: int, system: System) -> Study:
    """Safe crank positions for pushing this piston in, and how its rod passes through the bore."""
    site = wrong.layout.site(bore)
    found = push_in(wrong, site)
    top = facts.top_deg(wrong.linkage, wrong.layout.index(bore))
    bottom, crank = _bottom_deg(wrong, bore), (top + found.unsafe_after_top_deg) % 360.0
    screw = wrong.spec.rod.bolt.kind == "cap_screw"
    end = "The rod's open end hits" if screw else "The threads of the bolts, sticking out of the rod, hit"
    strikes, safe = found.at_unsafe_mm < 0, range_words(found.safe_deg)
    verdict = facts.stop("strikes") if strikes else facts.note("clear")
    return Study.of(
        _signs(wrong, bore),
        rows=(
            facts.row("crank for pushing in, engine degrees", safe, f"{crank:.0f}°", safe,
                      "open end against crankpin at every lean, plane geometry", verdict),
            facts.row("the same after this bore's top dead centre", range_words(found.safe_after_top_deg),
                      f"{found.unsafe_after_top_deg:.0f}°"),
            facts.row("open end to crankpin, crown flush with the deck", facts.mm(found.at_bottom_mm),
                      "strikes" if strikes else facts.mm(found.at_unsafe_mm), facts.mm(0.0), "parts must not touch",
                      verdict),
            facts.mm_row("room on either side when led onto the pin", found.landing_mm, None),
            facts.mm_row("big end through the bore, upright, on the diameter", found.passage.room_mm, None, 0.0,
                         "outline of the open end in the bore's circle",
                         facts.note(f"passes {WAY_WORDS[found.passage.way]}")),
        ),
        does=f"The piston of bore {bore} was driven in with its crankpin too high. {end} the polished pin before "
        f"anybody sees it. Safe are {safe} of the crank, best {bottom:.0f}°, bottom dead centre of this bore; a nick "
        "left standing scores the shell with every turn.",
        spot=Spot(crank, "push", None, (f"rod {bore}", f"piston {bore}", "crank"), "stop", None,
                  _struck(wrong, site, found), "crankpin too high to push the piston in", "push"),
    )  # fmt: skip


def signs(right: Assembly, wrong: Assembly, bore: int, system: System, found: None) -> Noticed:
    """What is noticed: for that no safe angle need be sought."""
    del right, system, found
    return _signs(wrong, bore)


def _signs(wrong: Assembly, bore: int) -> Noticed:
    sleeves = "" if wrong.spec.rod.bolt.kind == "cap_screw" else " Pull a length of hose over each bolt."
    return Noticed(
        Signature(seen_only=True, running=frozenset({"low_oil_pressure"}), scores_pin=True),
        felt="By hand: at most a faint grating; a fingernail catches on the crankpin. Running: the shell is scored.",
        look_for="Cap off: draw a fingernail over the crankpin, look for a bright dent.",
        remedy=f"Turn the crank to {_bottom_deg(wrong, bore):.0f}° before pushing in.{sleeves} Dress a nick with a "
        "fine stone and oil until nothing stands up; a deep one goes to the crank grinder.",
        look="pin_scratch",
    )


def _bottom_deg(assembly: Assembly, bore: int) -> float:
    """Where the crankpin is lowest under a bore: half a turn from its top dead centre."""
    return (facts.top_deg(assembly.linkage, assembly.layout.index(bore)) + 180.0) % 360.0


def _struck(wrong: Assembly, site: BoreSite, found: PushIn) -> facts.Point:
    """The place on the crankpin that is struck; where nothing is, the crankpin's side towards the deck."""
    spec = wrong.design(site.bore)
    strike = first_strike(spec, site.offset_mm, found.throw_deg)
    if strike is not None:
        return facts.in_engine(wrong, site, (0.0, *strike.at_mm))
    throw, phi = spec.crank.stroke_mm / 2, math.radians(found.throw_deg)
    pin = -throw * math.sin(phi), throw * math.cos(phi) + spec.crank.pin.diameter_mm / 2
    return facts.in_engine(wrong, site, (0.0, *pin))


def range_words(ranges: tuple[tuple[float, float], ...]) -> str:
    """Stretches of crank angle in words."""
    if not ranges:
        return "none"
    if ranges[0][1] - ranges[0][0] >= 360.0:
        return "every angle"
    return " and ".join(f"{start % 360:.0f}° to {end % 360:.0f}°" for start, end in ranges)


MISTAKE = Mistake(
    "rod_pushed_down",
    "crankpin nicked while pushing the piston in",
    "The piston is driven in while its crankpin stands too high: the rod's open end or a bolt strikes the pin.",
    make,
    study,
    refuse,
    signs=signs,
)
