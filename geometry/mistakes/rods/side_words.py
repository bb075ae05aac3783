"""What a small chamfer at the crank cheek does, for every mistake that puts one there."""

from __future__ import annotations

from dataclasses import dataclass, replace

from geometry.assembly import Assembly
from geometry.checks.fillets import cheek_on_both_sides, rods_on_pin, side_fit
from geometry.checks.section import Row
from geometry.clearance.limits import limit_for
from geometry.kinematics.layout import BoreSite
from geometry.mistakes import facts
from geometry.mistakes.mistake import Spot
from geometry.units import System, show_fine


@dataclass(frozen=True, slots=True)
class SideStory:
    """Side clearance and fillet, right and wrong.

    Attributes
    ----------
    rows : the numbers
    depth_mm : how deep the edge goes into the fillet, rod against cheek; 0 when it clears
    left_mm : side clearance left on this pin; zero or below: bound
    total_mm : side clearance of the pin without the fillets
    bores : whose rods share it
    two_cheeks : the rod has a cheek on either side, so that turning it changes nothing there
    alike : both its chamfers are alike, so that turning it changes nothing anywhere
    """

    rows: tuple[Row, ...]
    depth_mm: float
    left_mm: float
    total_mm: float
    bores: tuple[int, ...]
    two_cheeks: bool
    alike: bool

    @property
    def bound(self) -> bool:
        """No side clearance is left at all."""
        return self.left_mm <= 0.0

    @property
    def silent(self) -> bool:
        """The fillets are as designed, or the edge clears them all the same."""
        return self.two_cheeks or self.alike or self.depth_mm <= 0.0

    @property
    def play_mm(self) -> dict[int, float]:
        """Side play left, by bore, where it changes."""
        return {} if self.silent else dict.fromkeys(self.bores, max(self.left_mm, 0.0))


def side_story(right: Assembly, wrong: Assembly, site: BoreSite) -> SideStory:
    """Compare one crankpin as designed with the same crankpin as put together."""
    limit = limit_for(wrong.spec, "rod_side")
    before, after = side_fit(right, site), side_fit(wrong, site)
    left, total, least = after.left_mm, after.total_mm, limit.least_mm
    verdict = facts.note("clear")
    if left <= 0:
        verdict = facts.stop("bound")
    elif facts.edge_depth_mm(after) > 0:
        verdict = facts.stop("rides on the fillet")
    by_geometry = "45° chamfer against a round fillet, plane geometry"
    rows = (
        facts.mm_row(
            "rod's edge to the fillet, rod against the cheek", before.rod.clearance_mm, after.rod.clearance_mm,
            0.0, by_geometry, facts.stop("digs in") if after.rod.clearance_mm < 0 else facts.note("clear"),
        ),
        facts.mm_row("side clearance left by the fillets", before.left_mm, left, least, limit.source, verdict),
        facts.mm_row("chamfer at the cheek", before.chamfer_mm, after.chamfer_mm),
        facts.mm_row("side clearance on the pin", total, total),
    )  # fmt: skip
    two = cheek_on_both_sides(wrong.spec, site)
    chamfer = wrong.spec.rod.chamfer
    alike = chamfer.cheek_mm == chamfer.other_mm
    pin = tuple(rod.bore for rod in rods_on_pin(wrong, site))
    return SideStory(rows, facts.edge_depth_mm(after), left, total, pin, two, alike)


def side_sentence(story: SideStory, system: System) -> str:
    """What the chamfer that now faces the cheek does, for a customer."""
    remains = "only numbers, oil hole and tangs face the wrong way."
    if story.two_cheeks:
        meets = "A rod here has a cheek on both sides, so its chamfers meet the same two fillets as before"
        return f"{meets} and nothing touches; {remains}"
    if story.alike:
        return f"Both chamfers of a rod are alike, so the fillet is met as before; {remains}"
    if story.depth_mm <= 0:
        return (
            "The chamfer that now faces the cheek is still large enough for the fillet of this crankpin, so nothing "
            "touches."
        )
    text = (
        f"The corner of the big end meets the rounded fillet of the crankpin: pushed against the cheek it would "
        f"have to go {show_fine(story.depth_mm, system)} into the steel."
    )
    if story.bound:
        return f"{text} No side clearance is left, so the rods jam between the cheeks."
    return (
        f"{text} Only {show_fine(story.left_mm, system)} of {show_fine(story.total_mm, system)} side clearance "
        "is left; running, the edge cuts into the fillet, where a crankshaft is most easily broken."
    )


def fillet_spot(wrong: Assembly, site: BoreSite, depth_mm: float, system: System) -> Spot:
    """The close-up of chamfer and fillet, at the bottom dead centre of the bore, where it is seen from below."""
    toward = 1.0 if site.cheek_side == "rear" else -1.0
    half = wrong.spec.rod.big_end.width_mm / 2
    radius = wrong.spec.crank.pin.diameter_mm / 2 + side_fit(wrong, site).rod.radial_mm
    bites, bodies = depth_mm > 0, (f"rod {site.bore}", f"rod_cap {site.bore}", "crank")
    deep = f"edge of the big end {show_fine(depth_mm, system)} into the fillet"
    text = deep if bites else "small chamfer at the cheek, clears the fillet"
    point = (toward * half, radius, 0.0)
    spot = facts.big_end_spot(wrong, site.bore, bodies, point, text, "stop" if bites else "note")
    return replace(spot, view="section", bore=None, drawing="fillet")


def side_spot(
    wrong: Assembly, site: BoreSite, story: SideStory, system: System, drawing: str, text: str
) -> Spot:
    """The close-up of chamfer and fillet; where both chamfers are met as before, what differs instead.

    Parameters
    ----------
    drawing, text : the drawing of what differs where the chamfer at the cheek does not, and the words for it
    """
    spot = fillet_spot(wrong, site, story.depth_mm, system)
    if chamfer_changes(wrong, site, story):
        return spot
    return replace(spot, drawing=drawing, text=text, severity="stop")


def chamfer_changes(wrong: Assembly, site: BoreSite, story: SideStory) -> bool:
    """Whether another chamfer than before faces the cheek."""
    return wrong.built.bore(site.bore).rod_turned and not (story.two_cheeks or story.alike)
