"""How often the true mistake comes first, and among the first three: every mistake in every place, felt with noise.

Run: ``.venv/bin/python tests/bench/confusion.py [reports per mistake and place] [engine file ...]``. With no engine
file: a demo with two rods on a pin and an inline one.

first, in 3: the true mistake in its true place, ties shared evenly. place: the first cause names a bore, or a main
bearing, that the true one touches. look: the look that the first cause asks for would show the true one. Several
mistakes feel the same (all ring mistakes that burn oil, for instance): those no method can tell apart without looking.
"""

from __future__ import annotations

import sys
import time
from collections import Counter, defaultdict
from dataclasses import dataclass, replace
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from geometry.assembly import assemble  # noqa: E402
from geometry.diagnose.candidates import candidates  # noqa: E402
from geometry.diagnose.ranking import diagnose  # noqa: E402
from geometry.spec.load import load_engine  # noqa: E402
from tests.geometry.diagnose.feeling import feel, seeded  # noqa: E402

DEMOS = ("tern.toml", "dunlin.toml")
MOST_LOOKS = 30
PAIRS = 60
LOOK_EVERY = 3
"""Following the looks takes many diagnoses, so only every third mistake is followed."""


@dataclass(frozen=True)
class Score:
    """One report: chance that the true mistake is put first, and among the first three, ties shared evenly."""

    first: float
    three: float
    place: bool
    look: bool
    instead: str
    seen_only: bool


def score_of(true, causes):
    """Judge one ranking. Causes of equal chance are in no order, so they share the places they take.

    A mistake in a bore that was not in yet by what the report says, wrongly remembered, is not among them.
    """
    mine = next((cause.chance for cause in causes if cause.parts == (true,)), 0.0)
    better = sum(cause.chance > mine * (1 + 1e-9) for cause in causes)
    ties = sum(abs(cause.chance - mine) <= mine * 1e-9 for cause in causes) or 1
    top = causes[0].parts[0]
    return Score(
        first=(better == 0) / ties,
        three=min(max(3 - better, 0) / ties, 1.0),
        place=top.where == true.where and bool(set(top.places) & set(true.places)),
        look=top.look == true.look and bool(set(top.places) & set(true.places)),
        instead=top.key,
        seen_only=true.signature.seen_only,
    )


def scores_of(assembly, singles, reports, thorough=False):
    """Scores by mistake: every mistake in every place, felt with noise."""
    bores = sorted(site.bore for site in assembly.layout.bores)
    mains = list(range(1, len(assembly.layout.main_x_mm) + 1))
    found = defaultdict(list)
    for number, true in enumerate(singles):
        for report in range(reports):
            felt = feel((true,), seeded(number, report), bores, mains, thorough)
            causes = diagnose(felt, singles, len(bores), len(mains)).causes
            found[true.key].append(score_of(true, causes))
    return found


def minutes_to_find(true, felt, singles, bores, mains):
    """Follow the looks as they are advised until one shows the true mistake: minutes spent, and how many looks.

    A look at the right place shows it; the feeler blade between the rods only tells whether there is play.
    """
    spent = 0.0
    for count in range(1, MOST_LOOKS + 1):
        looks = diagnose(felt, singles, bores, mains).looks
        if not looks:
            break
        best = looks[0]
        spent += best.minutes
        if best.look == true.look and best.place in true.places:
            return spent, count
        gone = true.signature.side_play_mm.get(best.place, 1.0) < 0.1
        if best.look == "side_play" and gone:
            felt = replace(felt, no_side_play=(*felt.no_side_play, best.place))
        elif best.look == "side_play":
            felt = replace(felt, side_play_good=(*felt.side_play_good, best.place))
        felt = replace(felt, looked=(*felt.looked, (best.look, best.place)))
    return spent, MOST_LOOKS + 1


def found_by_looking(assembly, singles, every, thorough):
    """One line: how long it takes to find the mistakes that are felt by hand, following the advice."""
    bores = sorted(site.bore for site in assembly.layout.bores)
    mains = list(range(1, len(assembly.layout.main_x_mm) + 1))
    hand = [(k, c) for k, c in enumerate(singles) if not c.signature.seen_only][::every]
    spent = [
        minutes_to_find(
            true, feel((true,), seeded(k, 0), bores, mains, thorough), singles, len(bores), len(mains)
        )
        for k, true in hand
    ]
    minutes, looks = sorted(m for m, _ in spent), sorted(n for _, n in spent)
    middle, most = len(spent) // 2, int(0.9 * (len(spent) - 1))
    return (
        f"found by looking as advised, felt by hand ({len(spent)}): looks {looks[middle]} in the middle, "
        f"{looks[most]} in nine of ten; minutes {minutes[middle]:.0f} and {minutes[most]:.0f}"
    )


def pairs_found(assembly, singles, count, thorough):
    """One line: two mistakes at once, drawn at random from those felt by hand."""
    bores = sorted(site.bore for site in assembly.layout.bores)
    mains = list(range(1, len(assembly.layout.main_x_mm) + 1))
    hand = [c for c in singles if not c.signature.seen_only]
    both = one = 0
    for number in range(count):
        rng = seeded(7, number)
        pair = tuple(hand[k] for k in rng.choice(len(hand), 2, replace=False))
        causes = diagnose(feel(pair, rng, bores, mains, thorough), singles, len(bores), len(mains)).causes
        named = {part for cause in causes[:3] for part in cause.parts}
        both += named >= set(pair)
        one += bool(named & set(pair))
    return (
        f"two at once, felt by hand ({count}): both among the first three causes {both / count:.0%}, "
        f"at least one {one / count:.0%}"
    )


def shares(scores):
    """Mean of: first, in three, right place first, right look first."""
    return tuple(
        sum(getattr(s, name) for s in scores) / len(scores) for name in ("first", "three", "place", "look")
    )


def line(name, scores):
    """One line of the table."""
    return f"{name:26}{len(scores):5}" + "".join(f"{share:8.0%}" for share in shares(scores))


def table(found):
    """The confusion table as lines."""
    lines = [f"{'mistake':26}{'n':>5}{'first':>8}{'in 3':>8}{'place':>8}{'look':>8}  put first instead"]
    for key, scores in sorted(found.items()):
        instead = Counter(s.instead for s in scores if s.instead != key)
        worst = ", ".join(f"{k} {v}" for k, v in instead.most_common(4))
        lines.append(f"{line(key, scores)}  {worst}")
    every = [score for scores in found.values() for score in scores]
    lines.append(line("all", every))
    for name, seen in (("felt by hand", False), ("seen or heard only", True)):
        some = [score for score in every if score.seen_only is seen]
        if some:
            lines.append(line(name, some))
    return lines


def main(arguments):
    """Print one table for each engine."""
    reports = int(arguments[0]) if arguments else 5
    files = arguments[1:] or [str(ROOT / "demo_engines" / name) for name in DEMOS]
    engines = [(Path(file).stem, load_engine(file)) for file in files]
    for name, spec in engines:
        start = time.process_time()
        assembly = assemble(spec)
        singles = candidates(assembly)
        studied = time.process_time() - start
        print(f"\n{name}: {len(singles)} mistakes in places, studied in {studied:.1f} s")  # noqa: T201
        for words, thorough in (("as told, with things left out", False), ("asked about everything", True)):
            print(f"\n{words}")  # noqa: T201
            print("\n".join(table(scores_of(assembly, singles, reports, thorough))))  # noqa: T201
            print(pairs_found(assembly, singles, PAIRS, thorough))  # noqa: T201
            print(found_by_looking(assembly, singles, LOOK_EVERY, thorough))  # noqa: T201


if __name__ == "__main__":
    main(sys.argv[1:])
