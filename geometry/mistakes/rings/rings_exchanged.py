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
from geometry.units import System


def refuse(assembly: Assembly, bore: int) -> str | None:
    """Two rings that are alike, or a ring that does not go into the other groove, cannot be exchanged."""
    missing = ring_words.needs_two_rings(assembly, bore)
    if missing is not None:
        return missing
    if assembly.spec.rings.top == assembly.spec.rings.second:
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
    rows: list[Row] = []
    for name in ("top", "second"):
        before, after = ring_words.ring_fit(right, bore, name), ring_words.ring_fit(wrong, bore, name)
        assert before is not None
        assert after is not None
        limits = after.side_limits
        rows += [
            facts.row(f"{ROLE_WORDS[name]}: side clearance in its groove", facts.mm(before.groove.side_mm),
                      facts.mm(after.groove.side_mm), facts.mm(limits.min_mm), limits.source.text, _side(after.side)),
            facts.row(f"{ROLE_WORDS[name]}: room behind it", facts.mm(before.groove.back_mm),
                      facts.mm(after.groove.back_mm), facts.mm(0.0), "must stay above zero",
                      facts.note("clear") if after.back == "clear" else facts.stop(after.back)),
        ]  # fmt: skip
    top, second = right.spec.rings.top, right.spec.rings.second
    assert second is not None
    rows.append(
        facts.row(
            "ring under the fire: face",
            top.face,
            second.face,
            top.face,
            "your engine file",
            facts.stop("exchanged"),
        )
    )
    if top.material != second.material:
        rows.append(
            facts.row("ring under the fire: metal", _metal(top.material), _metal(second.material),
                      _metal(top.material), "your engine file", facts.stop("exchanged"))
        )  # fmt: skip
    gaps = (facts.text_mm(top.gap_mm, system), facts.text_mm(second.gap_mm, system))
    clock = ring_words.clock(wrong, bore)
    return Study(
        rows=tuple(rows),
        does=f"Top and second ring of bore {bore} are in each other's grooves. The second ring, made to "
        "scrape and with "
        f"a gap of {gaps[1]}, now takes the fire; the top ring, gap {gaps[0]}, has no scraping edge and "
        "cannot keep the "
        "oil down.",
        felt="By hand: nothing at all. Running: oil use, and the second ring wears out in the top groove.",
        look_for="Piston out: compare faces and marks with the maker's sheet, ring by ring.",
        remedy="Take both off and put each in its groove, mark up.",
        signature=Signature(seen_only=True, running=ring_words.LEAK),
        spot=ring_words.ring_spot(
            wrong, bore, "top", clock.angles_deg.get("top", 0.0), (f"top_ring {bore}", f"second_ring {bore}"),
            "second ring in the top groove",
        ),
        cost_of_looking=40.0,
        look="rings",
    )  # fmt: skip


def _side(state: SideState | None) -> facts.Judged | None:
    if state is None:
        return None
    return facts.note(state) if state == "within" else facts.stop(state)


def _metal(material: str) -> str:
    return material.replace("_", " ")


MISTAKE = Mistake(
    "rings_exchanged",
    "top and second ring exchanged",
    "Top and second ring are in each other's grooves.",
    refuse,
    make,
    study,
)
