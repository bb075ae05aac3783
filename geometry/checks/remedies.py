"""Remedies that were tried: what parts two places on this engine, and how much of it is needed.

A change of the engine file is certified like the engine itself. What does not move the two apart, what is not enough
within reason, what the parts refuse and what brings something else past its limit is not offered.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import ceil, floor, inf
from typing import Final

from geometry.checks.changes import Change, Effort, changes_for
from geometry.checks.departures import Departure, departures
from geometry.checks.section import Remedy
from geometry.checks.trials import CLEAR_MM, TrialRefused, Trials
from geometry.clearance.full_turn import Near
from geometry.clearance.least import NO_USE, SHOP_STEP_MM, least_steps
from geometry.clearance.relief import notch_relief, notch_room_mm, short_of
from geometry.clearance.words import ordered
from geometry.collision.certify import TOLERANCE_MM
from geometry.feature import Group
from geometry.units import parse, show, show_fine

MOST_OFFERED: Final = 3
"""Remedies named for one kind of meeting: enough to choose from."""
MOST_OFF: Final = 0.25
"""A size that is made smaller by more than this share is another part altogether."""
SIGNED: Final = (".below_deck", ".floor", ".tray")
"""Keys that are heights, and no sizes."""
SEARCH_MM: Final = 0.03
"""Half-width of the certificates while an amount is searched."""
NOTCH: Final = "grind a notch at the bottom of the bores"


@dataclass(frozen=True, slots=True)
class Answer:
    """What was found for one kind of meeting: remedies, and what does move the two apart but cannot be offered."""

    remedies: tuple[Remedy, ...]
    refused: tuple[str, ...]

    def text(self) -> str:
        """In words."""
        if self.remedies:
            return "; or ".join(remedy.words for remedy in self.remedies)
        if self.refused:
            return "no single change that was tried is enough: " + "; ".join(self.refused)
        return "no key of the engine file that was tried moves these two apart: it takes other parts"


def kind_of(near: Near) -> tuple[str, str, str]:
    """What two meetings have in common that one remedy may serve: their places and their limit."""
    a, b = ordered(near.pair)
    return a.feature, b.feature, near.pair.limit


def answer(trials: Trials, near: Sequence[Near]) -> Answer:
    """What restores the limit of these pairs, which are all of one kind that miss it.

    The least effort comes first, and another crank is tried only where nothing less will do.
    """
    remedies: list[Remedy] = []
    refused: list[str] = []
    for effort in Effort:
        if effort == Effort.OTHER_CRANK and remedies:
            break
        for words, attempt in _attempts(trials, near, effort):
            if len(remedies) == MOST_OFFERED:
                break
            try:
                remedies.append(attempt())
            except TrialRefused as why:
                refused.append(f"{words}: {why}")
    return Answer(tuple(remedies), tuple(refused))


def cure(trials: Trials, near: Near) -> Answer | None:
    """What puts a pair right that is lost through the way in which parts were put together; None where it is not.

    The first single thing that restores the limit is offered, then all that bear on the pair together. Where even that
    is too little the parts are put right first all the same: what the design lacks is seen when it is as designed.
    """
    pair = near.pair
    bores = [place.bore for place in (pair.a, pair.b) if place.bore is not None]
    mains = [place.body.main for place in (pair.a, pair.b) if place.body.main is not None]
    wrong = tuple(departures(trials.assembly.built, sorted(set(bores)), mains))
    wrong = tuple(one for one in wrong if trials.altered(trials.as_put_right((one,)), pair))
    for tried in ((one,) for one in wrong):
        left = trials.margin_mm(trials.as_put_right(tried), [pair], TOLERANCE_MM)
        if left >= 0:
            return Answer((_put_right(trials, tried, near, left),), ())
    if not wrong:
        return None
    left = trials.margin_mm(trials.as_put_right(wrong), [pair], TOLERANCE_MM)
    return Answer((_put_right(trials, wrong, near, left),), ())


def _put_right(trials: Trials, wrong: Sequence[Departure], near: Near, left_mm: float) -> Remedy:
    """Parts put right, as a remedy that was tried."""
    orders, leaves = "; and ".join(one.cure for one in wrong), left_mm + trials.least_mm(near.pair)
    size = show_fine(abs(leaves), trials.system)
    said = (
        f"leaves {'more than ' if left_mm >= CLEAR_MM else ''}{size}"
        if leaves >= 0
        else f"still {size} deep then"
    )
    again = ", too little: check again when it is as designed" if left_mm < 0 else ""
    return Remedy(f"{orders} ({said}{again})", {}, leaves, tuple((one.field, one.number) for one in wrong))


def _attempts(
    trials: Trials, near: Sequence[Near], effort: Effort
) -> Iterator[tuple[str, Callable[[], Remedy]]]:
    """What is worth trying at one effort: the changes of which one step alters any of these pairs."""
    groups: set[Group] = {place.group for n in near for place in (n.pair.a, n.pair.b)}
    for change in changes_for(trials.assembly.spec, groups):
        if change.effort != effort or trials.value(change.shares[0][0]) is None:
            continue
        try:
            trial = trials.trial(_settings(trials, change, 1))
        except TrialRefused:
            continue
        if any(trials.altered(trial, n.pair) for n in near):
            yield change.words, lambda change=change: _remedy(trials, change, near)  # type: ignore[misc]
    at_walls = any("bore_wall" in (n.pair.a.feature, n.pair.b.feature) for n in near)
    if effort == Effort.METAL_OFF and at_walls:
        yield NOTCH, lambda: _notch(trials, near)


def _remedy(trials: Trials, change: Change, near: Sequence[Near]) -> Remedy:
    step, pairs = SHOP_STEP_MM[trials.system], [n.pair for n in near]
    share = abs(change.shares[0][1])
    most = max(floor(_most_mm(trials, change) / step), 1)
    worst = max(near, key=lambda n: trials.least_mm(n.pair) - n.approach.floor_mm)
    short = trials.least_mm(worst.pair) - worst.approach.floor_mm

    def margin(n: int) -> float:
        trial = trials.trial(_settings(trials, change, n))
        still = trials.still_mm(trial, worst)
        if (n == most and still < 0) or still + short < NO_USE * n * step / share:
            return -inf  # one angle shows that it is not enough, or no use
        return trials.margin_mm(trial, pairs, SEARCH_MM)

    steps = least_steps(margin, short, step / share, most)
    if steps is None:
        raise TrialRefused(f"not even {show(most * step, 'length', trials.system)} is enough")
    for more in range(3):
        settings = _settings(trials, change, steps + more)
        whole = trials.trial(settings)
        left = trials.margin_mm(whole, pairs, TOLERANCE_MM)
        if left >= 0:
            remark = trials.harm(whole, pairs, (steps + more) * step / share)
            return _said(trials, _order(trials, change, settings), settings, left, near, remark)
    raise TrialRefused("it does not hold when certified")


def _most_mm(trials: Trials, change: Change) -> float:
    """The farthest that the first key of a change may sensibly go."""
    key, share = change.shares[0]
    far = change.most * trials.assembly.spec.block.bore.diameter_mm * abs(share)
    if share > 0 or key.endswith(SIGNED):
        return far
    return min(far, MOST_OFF * float(trials.value(key)))


def _settings(trials: Trials, change: Change, steps: int) -> dict[str, str]:
    """The values after so many steps, the first on the shop's scale."""
    step = SHOP_STEP_MM[trials.system]
    (key, share), *others = change.shares
    value, sense = float(trials.value(key)), 1.0 if share > 0 else -1.0
    ticks = value / step
    on_scale = round(ticks) if abs(ticks - round(ticks)) < 1e-6 else (floor if sense > 0 else ceil)(ticks)
    new = (on_scale + sense * steps) * step
    found = {key: show(new, "length", trials.system)}
    for other, its in others:
        old = trials.value(other)
        if old is not None:
            found[other] = show_fine(float(old) + (new - value) * its / share, trials.system)
    return found


def _order(trials: Trials, change: Change, settings: Mapping[str, str]) -> str:
    key, share = change.shares[0]
    by = abs(parse(settings[key], "length") - float(trials.value(key)))
    amount = f"{show(by, 'length', trials.system)} {'more' if share > 0 else 'less'}"
    values = " and ".join(f'{name} = "{text}"' for name, text in settings.items())
    return f"{change.words}, {amount}: {values}"


def _notch(trials: Trials, near: Sequence[Near]) -> Remedy:
    assembly, pairs = trials.assembly, [n.pair for n in near]
    short = short_of(assembly, near, trials.least_mm)
    found = notch_relief(assembly, short, trials.system, notch_room_mm(assembly), trials.memory)
    if found is None:
        raise TrialRefused("none below the oil ring is enough")
    settings = {"block.bore.notch": found.written(trials.system)}
    whole = trials.trial(settings)
    left = trials.margin_mm(whole, pairs, TOLERANCE_MM)
    if left < 0:
        raise TrialRefused("it does not hold when certified")
    remark = trials.harm(whole, pairs, found.depth_mm)
    wall = (
        f"{show(found.wall_mm, 'length', trials.system)} of wall left"
        if found.wall_mm > 0
        else "no wall left"
    )
    order = f"{NOTCH}, {wall}: block.bore.notch = {settings['block.bore.notch']}"
    return _said(trials, order, settings, left, near, remark)


def _said(
    trials: Trials, order: str, settings: Mapping[str, str], left_mm: float, near: Sequence[Near], remark: str
) -> Remedy:
    leaves = left_mm + min(trials.least_mm(n.pair) for n in near)
    more = "more than " if left_mm >= CLEAR_MM else ""
    size = show_fine(leaves, trials.system)
    words = f"{order} (leaves {more}{size}{f'; {remark}' if remark else ''})"
    return Remedy(words, settings, leaves)
