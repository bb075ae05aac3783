"""How often the true mistake comes first, and among the first three: every mistake in every place, felt with noise.

Run: ``.venv/bin/python tests/bench/confusion.py [reports per mistake and place] [engine file ...]``. With no engine
file: the demo, and the same parts as an inline four.

first, in 3: the true mistake in its true place, ties shared evenly. place: the first cause names a bore, or a main
bearing, that the true one touches. look: the look that the first cause asks for would show the true one. Several mistakes feel
the same (all ring mistakes that burn oil, for instance): those no method can tell apart without looking.
"""

from __future__ import annotations

import sys
import time
from collections import Counter, defaultdict
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from geometry.assembly import assemble  # noqa: E402
from geometry.mistakes.candidates import candidates  # noqa: E402
from geometry.mistakes.diagnose import diagnose  # noqa: E402
from geometry.spec.load import load_engine  # noqa: E402
from tests.geometry.mistakes.feeling import feel, seeded  # noqa: E402


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
    """Judge one ranking. Causes of equal chance are in no order, so they share the places they take."""
    mine = next(cause for cause in causes if cause.parts == (true,))
    better = sum(cause.chance > mine.chance * (1 + 1e-9) for cause in causes)
    ties = sum(abs(cause.chance - mine.chance) <= mine.chance * 1e-9 for cause in causes)
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
            felt = feel(true, seeded(number, report), bores, mains, thorough)
            causes = diagnose(felt, singles, len(bores), len(mains)).causes
            found[true.key].append(score_of(true, causes))
    return found


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
    engines = [(path, load_engine(path)) for path in arguments[1:]]
    if not engines:
        from tests.geometry.rings.engines import engine

        engines = [("demo, vee of eight", load_engine(ROOT / "demo_engines" / "tern.toml"))]
        engines.append(("the same parts, inline four", engine("inline")))
    for name, spec in engines:
        start = time.process_time()
        assembly = assemble(spec)
        singles = candidates(assembly)
        studied = time.process_time() - start
        print(f"\n{name}: {len(singles)} mistakes in places, studied in {studied:.1f} s")  # noqa: T201
        for words, thorough in (("as told, with things left out", False), ("asked about everything", True)):
            print(f"\n{words}")  # noqa: T201
            print("\n".join(table(scores_of(assembly, singles, reports, thorough))))  # noqa: T201


if __name__ == "__main__":
    main(sys.argv[1:])
