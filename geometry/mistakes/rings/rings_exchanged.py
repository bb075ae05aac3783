"""Top and second ring in each other's grooves."""

from __future__ import annotations

from geometry.assembly import Assembly
from geometry.built import Built
from geometry.checks.section import Row
from geometry.mistakes import facts
from geometry.mistakes.mistake import Mistake, Signature, Study
from geometry.mistakes.rings import ring_words
from geometry.rings.groove import SideState
from geometry.rings.schemes import ROLE_WORDS
from geometry.units import System, show_fine


def refuse(assembly: Assembly, bore: int) -> str | None:
    """Two rings that are alike, or a ring that does not go into the other groove, cannot be exchanged."""
    missing = ring_words.needs_two_rings(assembly, bore)
    if missing is not None:
        return missing
    rings = assembly.design(bore).rings
    if rings.top == rings.second:
        return "top and second ring of this engine are alike"
    wrong = ring_words.fitted(
        Assembly(assembly.spec, assembly.layout, make(assembly, bore), assembly.linkage, ()), bore
    )
    stuck = [ring for ring in wrong.rings if ring.name in ("top", "second") and ring.groove.side_mm < 0]
    return f"the {ROLE_WORDS[stuck[0].name]} is too high for the other groove" if stuck else None


def make(assembly: Assembly, bore: int) -> Built:
    """Both rings change grooves."""
    return assembly.built.with_bore(bore, rings_exchanged=True)


def study(right: Assembly, wrong: Assembly, bore: int, system: System) -> Study:
    """Side clearance, back clearance and heat in the wrong grooves."""
    top, second = right.design(bore).rings.top, right.design(bore).rings.second
    assert second is not None
    rows: list[Row] = []
    said: dict[str, tuple[str, str]] = {"face": (top.face, second.face)}
    if top.material != second.material:
        said["metal"] = (top.material.replace("_", " "), second.material.replace("_", " "))
    for what, (of_top, of_second) in said.items():
        exchanged = ("your engine file", facts.stop("exchanged"))
        rows.append(facts.row(f"ring under the fire: {what}", of_top, of_second, of_top, *exchanged))
    for name in ("top", "second"):
        before, after = ring_words.ring_fit(right, bore, name), ring_words.ring_fit(wrong, bore, name)
        limits, ring = after.side_limits, ROLE_WORDS[name]
        rows += [
            facts.mm_row(f"{ring}: side clearance in its groove", before.groove.side_mm, after.groove.side_mm,
                         limits.min_mm, limits.source.text, _side(after.side)),
            facts.mm_row(f"{ring}: room behind it", before.groove.back_mm, after.groove.back_mm, 0.0,
                         "must stay above zero",
                         facts.note("clear") if after.back == "clear" else facts.stop(after.back)),
        ]  # fmt: skip
    gaps = (show_fine(top.gap_mm, system), show_fine(second.gap_mm, system))
    both = (f"top_ring {bore}", f"second_ring {bore}")
    return Study(
        rows=tuple(rows),
        does=f"Top and second ring of bore {bore} are in each other's grooves. The second ring, made to scrape and "
        f"with a gap of {gaps[1]}, now takes the fire; the top ring, gap {gaps[0]}, has no scraping edge and cannot "
        "keep the oil down.",
        felt="By hand: nothing at all. Running: oil use, and the second ring wears out in the top groove.",
        look_for="Piston out: compare faces and marks with the maker's sheet, ring by ring.",
        remedy="Take both off and put each in its groove, mark up.",
        signature=Signature(seen_only=True, running=ring_words.LEAK),
        spot=ring_words.ring_spot(wrong, bore, "top", both, "second ring in the top groove", "ring_grooves"),
        look="rings",
    )


def _side(state: SideState | None) -> facts.Judged | None:
    if state is None:
        return None
    return facts.note(state) if state == "within" else facts.stop(state)


MISTAKE = Mistake(
    "rings_exchanged",
    "top and second ring exchanged",
    "Top and second ring are in each other's grooves.",
    make,
    study,
    refuse,
)
