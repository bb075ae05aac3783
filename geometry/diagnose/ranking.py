"""From what is felt to the mistake: rank every mistake in every place, and pairs, and name the next look."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations

from geometry.diagnose.candidates import Candidate, expected
from geometry.diagnose.felt import Felt
from geometry.diagnose.likelihood import (
    LOOK_MISSES,
    NO_PLAY_BELOW_MM,
    About,
    Evidence,
    evidence,
    on_record,
    total,
)
from geometry.diagnose.looks import LOOKS
from geometry.diagnose.order import NotYet, not_yet

PAIR_SHARE = 0.05
"""First chance that a second mistake was made, against that of the first; judgement, no source."""
UNLISTED_SHARE = 0.02
"""First chance of a cause that is not in the catalogue."""
PAIR_POOL = 24
"""Singles that pairs are made of: the best, and the best for each single observation."""
LEADING = 0.99
"""Share of the chances over which looks are weighed."""
FEW = 2
"""So many places are named one by one even where they are all that there are."""


@dataclass(frozen=True, slots=True)
class Cause:
    """One mistake, or two together, that could be behind it.

    Attributes
    ----------
    parts : the mistakes
    chance : of it, among all causes weighed, the unlisted one included
    weight : natural log of the ratio to "some unlisted cause"
    speaks_for, speaks_against : the evidence, the heaviest first
    """

    parts: tuple[Candidate, ...]
    chance: float
    weight: float
    speaks_for: tuple[Evidence, ...]
    speaks_against: tuple[Evidence, ...]

    @property
    def name(self) -> str:
        """In words."""
        return "; and ".join(part.name for part in self.parts)


@dataclass(frozen=True, slots=True)
class Alike:
    """One mistake, or two together, in every place between which nothing that was told decides.

    Attributes
    ----------
    causes : one for each place, in order of the places; all of one chance
    everywhere : whether these are all the places in which it can be made, and more than two
    """

    causes: tuple[Cause, ...]
    everywhere: bool = False

    @property
    def chance(self) -> float:
        """Of all of them together."""
        return math.fsum(cause.chance for cause in self.causes)

    @property
    def name(self) -> str:
        """In words, such as ``ring gap too tight, bore 1, 2 or 3``."""
        first, *others = self.causes
        if not others:
            return first.name
        if len(first.parts) > 1:
            return (
                f"{first.name} (or alike in {len(others)} other {'place' if len(others) == 1 else 'places'})"
            )
        if self.everywhere:
            of_two = len(first.parts[0].places) > 1
            return f"{first.parts[0].title}, any {'pair' if of_two else first.parts[0].place_word}"
        *most, last = (" and ".join(map(str, cause.parts[0].places)) for cause in self.causes)
        places = f"{', '.join(most)} or {last}"
        word = f"{first.parts[0].place_word}{'s' if len(first.parts[0].places) > 1 else ''}"
        return f"{first.parts[0].title}, {word} {places}"


@dataclass(frozen=True, slots=True)
class NextLook:
    """A look that tells the causes apart.

    Attributes
    ----------
    look, place : what, where
    words : for the builder
    minutes : what it costs
    bits : what it is expected to tell, in bits
    """

    look: str
    place: int
    words: str
    minutes: float
    bits: float

    @property
    def bits_per_minute(self) -> float:
        """By this the looks are ordered."""
        return self.bits / self.minutes


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """The answer.

    Attributes
    ----------
    causes : the likeliest first
    alike : the same, those places taken together that nothing tells apart
    unlisted : chance that the cause is not in the catalogue
    looks : the most telling per minute first
    later : what was not in yet when it began, and was not asked
    """

    causes: tuple[Cause, ...]
    alike: tuple[Alike, ...]
    unlisted: float
    looks: tuple[NextLook, ...]
    later: NotYet = field(default_factory=NotYet)


def diagnose(felt: Felt, singles: Sequence[Candidate], bores: int, mains: int) -> Diagnosis:
    """Rank causes by their chance given what was felt.

    Parameters
    ----------
    felt : observations
    singles : every mistake in every place, from ``candidates``
    bores, mains : how many the engine has
    """
    later = not_yet(felt, bores, mains)
    weighed: dict[tuple[Candidate, ...], tuple[Evidence, ...]] = {
        (c,): evidence(felt, expected(c), bores, mains) + on_record((c,))
        for c in singles
        if later.could_be(c)
    }
    # What is not in yet has its share of the first chances all the same, and no chance after.
    prior = math.log((1 - UNLISTED_SHARE) / max(len(singles), 1))
    pool = _pool({parts[0]: entries for parts, entries in weighed.items()})
    share = math.log(PAIR_SHARE / max(len(singles), 1))
    scored = {parts: prior + total(entries) for parts, entries in weighed.items()}
    for pair in combinations(pool, 2):
        if _same_place_again(pair):
            continue
        entries = evidence(felt, expected(*pair), bores, mains) + on_record(pair)
        weighed[pair] = entries
        scored[pair] = prior + share + total(entries)
    unlisted = math.log(UNLISTED_SHARE)
    top = max([unlisted, *scored.values()])
    mass = math.fsum(math.exp(value - top) for value in [unlisted, *scored.values()])
    causes = [_cause(parts, math.exp(value - top) / mass, weighed[parts]) for parts, value in scored.items()]
    # What nothing tells apart stands in the order of what the look costs.
    causes.sort(key=lambda c: (-float(f"{c.chance:.9e}"), len(c.parts), _minutes(c), c.name))
    return Diagnosis(
        tuple(causes),
        _taken_together(causes, Counter(single.key for single in singles)),
        math.exp(unlisted - top) / mass,
        _next_looks(causes, frozenset(felt.looked), later),
        later,
    )


def _taken_together(causes: Iterable[Cause], places: Mapping[str, int]) -> tuple[Alike, ...]:
    """Causes of one kind and of equal chance in one: what is told does not say in which place.

    They stand in the order of the chance of one place, which is what one look costs; of kinds that are equal in
    that, the one with more places first.

    Parameters
    ----------
    places : in how many places each mistake can be made
    """
    found: defaultdict[tuple[str, ...], list[Cause]] = defaultdict(list)
    for cause in causes:
        found[(*(part.key for part in cause.parts), f"{cause.chance:.9e}")].append(cause)
    together = (
        Alike(
            tuple(sorted(group, key=lambda cause: [part.places for part in cause.parts])),
            len(parts) == 2 and FEW < len(group) == places[parts[0]],
        )
        for parts, group in found.items()
    )
    # Sorting keeps what is equal in the order in which it came: that of the cost of the look.
    return tuple(sorted(together, key=lambda a: (-float(f"{a.causes[0].chance:.9e}"), -len(a.causes))))


def _minutes(cause: Cause) -> float:
    return sum(LOOKS[part.look].minutes for part in cause.parts)


def _cause(parts: tuple[Candidate, ...], chance: float, entries: tuple[Evidence, ...]) -> Cause:
    heavy = sorted(entries, key=lambda entry: -abs(entry.weight))
    return Cause(
        parts,
        chance,
        total(entries),
        tuple(entry for entry in heavy if entry.weight > 0),
        tuple(entry for entry in heavy if entry.weight < 0),
    )


def _pool(weighed: dict[Candidate, tuple[Evidence, ...]]) -> list[Candidate]:
    """Singles worth pairing: the best of all, and those that best explain each single observation."""
    ranked = sorted(weighed, key=lambda c: -total(weighed[c]))
    chosen = ranked[: PAIR_POOL // 2]
    best: defaultdict[About, list[tuple[float, int]]] = defaultdict(list)
    for index, candidate in enumerate(ranked):
        for entry in weighed[candidate]:
            if entry.weight > 0.5:
                best[entry.about].append((-entry.weight, index))
    for found in best.values():
        chosen += [ranked[index] for _, index in sorted(found)[:4]]
    return list(dict.fromkeys(chosen))[: 2 * PAIR_POOL]


def _same_place_again(pair: tuple[Candidate, Candidate]) -> bool:
    return pair[0].key == pair[1].key and bool(set(pair[0].places) & set(pair[1].places))


def _next_looks(
    causes: Iterable[Cause], done: frozenset[tuple[str, int]], later: NotYet
) -> tuple[NextLook, ...]:
    """Expected information of every look at the places that lead, per minute."""
    leading: list[Cause] = []
    covered = 0.0
    for cause in causes:
        if covered >= LEADING or len(leading) >= 60:
            break
        leading.append(cause)
        covered += cause.chance
    wanted = {
        (part.look, place)
        for cause in leading
        for part in cause.parts
        for place in _in_by_then(part, later)[:1]
    }
    wanted |= {
        ("side_play", bore)
        for cause in leading
        for part in cause.parts
        for bore in part.signature.side_play_mm
        if bore not in later.bores
    }
    found = [_worth(leading, look, place) for look, place in sorted(wanted - done)]
    return tuple(sorted(found, key=lambda look: (-look.bits_per_minute, look.look, look.place)))


def _in_by_then(part: Candidate, later: NotYet) -> list[int]:
    """Its places that can be looked at."""
    out = later.mains if part.where == "main" else later.bores
    return [place for place in part.places if place not in out]


def _worth(leading: Sequence[Cause], look: str, place: int) -> NextLook:
    """What one look tells on average: entropy before, less entropy after, over what may be seen."""
    whole = math.fsum(cause.chance for cause in leading)
    seen: defaultdict[str, list[float]] = defaultdict(list)
    for cause in leading:
        chance, shown = cause.chance / whole, _shown(cause, look, place)
        if shown:
            seen[shown].append(chance * (1 - LOOK_MISSES))
            seen[""].append(chance * LOOK_MISSES)
        else:
            seen[""].append(chance)
    before = -math.fsum(p * math.log2(p) for cause in leading if (p := cause.chance / whole) > 0)
    after = 0.0
    for chances in seen.values():
        outcome = math.fsum(chances)
        if outcome > 0:
            after -= math.fsum(p * math.log2(p / outcome) for p in chances if p > 0)
    return NextLook(look, place, LOOKS[look].words(place), LOOKS[look].minutes, max(0.0, before - after))


def _shown(cause: Cause, look: str, place: int) -> str:
    """What a look would show if this cause is true; empty when nothing."""
    if look == "side_play":
        gone = any(p.signature.side_play_mm.get(place, 1.0) < NO_PLAY_BELOW_MM for p in cause.parts)
        return "none" if gone else ""
    return " ".join(sorted(p.key for p in cause.parts if p.look == look and place in p.places))
