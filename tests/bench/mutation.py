"""How many small mutations of the code its tests notice: seeded samples of six areas, made with cosmic-ray.

Run: ``.venv/bin/pip install -e ".[bench]"``, then ``.venv/bin/python tests/bench/mutation.py [--area record]
[--count 20] [--seed 1] [--jobs 2] [--minutes 20]``. The checkout is never touched: every job works in its own copy.

A mutation is one change of a comparison, a sum or product, a sign, a number, a yes or no, an ``and`` or ``or``, a
``not``, a ``break``, or a loop that never runs. Left alone: annotations, decorators, assertions, ``zip(strict=..)``
and all text. The place is drawn first and then what happens to it, so that numbers, which can go up and down, do not
crowd out the rest; a larger count adds to the sample of a smaller one. Only the tests of the area are run, those of
the mutated file first. A run that takes ``SLOWER`` times as long as without mutation counts as noticed.

``--only record:3,record:7`` takes single mutants of the sample again, by the numbers that were printed.
"""

from __future__ import annotations

import argparse
import ast
import difflib
import os
import queue
import random
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter, defaultdict
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from itertools import chain, zip_longest
from pathlib import Path

from cosmic_ray.ast import ast_nodes, get_ast
from cosmic_ray.mutating import mutate_code
from cosmic_ray.plugins import get_operator

ROOT = Path(__file__).parents[2]
SLOWER, LEAST_S = 4.0, 30.0
NO_VERDICT = (3, 4, 5)  # pytest: a fault of its own, of its arguments, no tests
LEFT_BEHIND = (
    ".git",
    ".venv",
    "__pycache__",
    "*.egg-info",
    ".*_cache",
    ".hypothesis",
    "out",
    "build",
    "dist",
)

SWAPS = {
    "ReplaceComparisonOperator": "Lt_LtE Lt_Gt LtE_Lt LtE_GtE Gt_GtE Gt_Lt GtE_Gt GtE_LtE Eq_NotEq NotEq_Eq Is_IsNot "
    "IsNot_Is",
    "ReplaceBinaryOperator": "Add_Sub Sub_Add Mul_Div Div_Mul FloorDiv_Mul Mod_Sub Pow_Mul BitOr_BitAnd BitAnd_BitOr",
    "ReplaceUnaryOperator": "Delete_USub Delete_Not",
}
OPERATORS = (
    *(f"core/{kind}_{swap}" for kind, swaps in SWAPS.items() for swap in swaps.split()),
    *(
        "core/ReplaceTrueWithFalse",
        "core/ReplaceFalseWithTrue",
        "core/ReplaceAndWithOr",
        "core/ReplaceOrWithAnd",
    ),
    *("core/AddNot", "core/NumberReplacer", "core/ReplaceBreakWithContinue", "core/ReplaceContinueWithBreak"),
    "core/ZeroIterationForLoop",
)


@dataclass(frozen=True)
class Area:
    """Code to mutate, and the tests that must notice; patterns below the root.

    ``slow`` tests are run for those files alone that they name.
    """

    code: tuple[str, ...]
    tests: tuple[str, ...]
    slow: tuple[str, ...] = ()


def named(pattern, words):
    """One pattern for each word."""
    return tuple(pattern.format(word) for word in words.split())


CHECKS, MISTAKES = "tests/geometry/checks/test_{}.py", "tests/geometry/mistakes/test_{}.py"
SCENE = "scene scene_measures callouts mistake_halves mistake_spot own_angle still approved"
AREAS = {
    "pairs": Area(
        code=named("geometry/clearance/{}.py", "pairs excuses place"),
        tests=named("tests/geometry/clearance/test_{}.py", "excuses over_crown"),
    ),
    "checks": Area(
        code=("geometry/checks/*.py",),
        tests=(CHECKS.format("*"),),
        slow=named(CHECKS, "clearances clearance_rows remedies whatif valve_notes"),
    ),
    "mistakes": Area(
        code=("geometry/mistakes/**/*.py",),
        tests=named(MISTAKES, "row_verdicts bolts heights piston_turned rod_* catalogue"),
    ),
    "diagnosis": Area(
        code=("geometry/diagnose/*.py",),
        tests=(
            "tests/geometry/diagnose/test_*.py",
            "tests/viewer/test_diagnose_report.py",
        ),
    ),
    "record": Area(
        code=("geometry/record/*.py",),
        tests=("tests/geometry/record/test_*.py",),
        slow=named("tests/geometry/record/test_{}.py", "entering store"),
    ),
    "scene": Area(
        code=("viewer/scene/*.py",),
        tests=(*named("tests/viewer/test_{}.py", SCENE), "tests/viewer/window/test_closest.py"),
    ),
}


@dataclass(frozen=True)
class Mutant:
    """One changed file of an area; ``number`` is its place in the sample, counted from 1."""

    area: str
    number: int
    file: str
    line: int
    code: str
    change: str

    @property
    def name(self):
        return f"{self.area}:{self.number}"


def say(text):
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


def found(patterns):
    """Files that match, in a stable order."""
    return [str(path.relative_to(ROOT)) for pattern in patterns for path in sorted(ROOT.glob(pattern))]


def tests_of(area, file):
    """Test files in the order in which they are run: those named after the mutated file or naming it come first."""
    module = file.removesuffix(".py").replace("/", ".")
    named = re.compile(
        rf"\b{re.escape(module)}\b|from {re.escape(module.rpartition('.')[0])} import .*\b{Path(file).stem}\b"
    )
    every, slow = found(area.tests), found(area.slow)
    own = [
        test
        for test in every
        if Path(test).stem == f"test_{Path(file).stem}"
        or named.search((ROOT / test).read_text(encoding="utf-8"))
    ]
    return [*own, *(test for test in every if test not in own and test not in slow)]


def span(node, lines):
    """Start and end of a node as (line, character); ``ast`` counts bytes."""
    ends = ((node.lineno, node.col_offset), (node.end_lineno, node.end_col_offset))
    return tuple((line, len(lines[line - 1].encode()[:column].decode())) for line, column in ends)


def left_alone(node):
    """Parts of a syntax node that no test has to notice."""
    if isinstance(node, ast.AnnAssign | ast.arg) and node.annotation is not None:
        yield node.annotation
    if isinstance(node, ast.FunctionDef) and node.returns is not None:
        yield node.returns
    if isinstance(node, ast.FunctionDef | ast.ClassDef):
        yield from node.decorator_list
    if isinstance(node, ast.Assert):
        yield node
    if isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING":
        yield node
    if isinstance(node, ast.AnnAssign) and ast.unparse(node.annotation) == "TypeAlias":
        yield node
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "zip":
        yield from (word.value for word in node.keywords if word.arg == "strict")


def places(source):
    """Every place of a source text and the mutations that it can take: {(start, end): [(operator, occurrence)]}."""
    tree, lines = ast.parse(source), source.split("\n")
    nodes = list(ast.walk(tree))
    dead = [span(part, lines) for node in nodes for part in left_alone(node)]
    sums = [span(node, lines) for node in nodes if isinstance(node, ast.BinOp | ast.AugAssign)]

    def within(spans, start, end):
        return any(first <= start and end <= last for first, last in spans)

    grown = list(ast_nodes(get_ast(source)))
    takes = defaultdict(list)
    for name in OPERATORS:
        operator = get_operator(name)()
        spots = chain.from_iterable(operator.mutation_positions(node) for node in grown)
        for occurrence, (start, end) in enumerate(spots):
            star = "BinaryOperator" in name and not within(sums, start, end)
            if not star and not within(dead, start, end):
                takes[start, end].append((name, occurrence))
    return takes


def compiles(code):
    try:
        compile(code, "mutant", "exec")
    except SyntaxError:
        return False
    return True


def change_of(before, after):
    """The lines that differ, in one line."""
    delta = list(difflib.unified_diff(before.split("\n"), after.split("\n"), lineterm="", n=0))[3:]
    return "  ->  ".join(
        " ".join(line[1:].strip() for line in delta if line.startswith(sign)) for sign in "-+"
    )


def sample(name, count, seed):
    """The first ``count`` mutants of an area in the seeded order."""
    area, rng = AREAS[name], random.Random(f"{name} {seed}")
    sources = {file: (ROOT / file).read_text(encoding="utf-8") for file in found(area.code)}
    spots = [
        (file, spot, takes)
        for file, source in sources.items()
        for spot, takes in sorted(places(source).items())
    ]
    rng.shuffle(spots)
    mutants = []
    for file, ((line, _), _), takes in spots:
        if len(mutants) == count:
            break
        operator, occurrence = rng.choice(takes)
        code = mutate_code(sources[file], get_operator(operator)(), occurrence)
        if code is not None and compiles(code):
            number, change = len(mutants) + 1, change_of(sources[file], code)
            mutants.append(Mutant(name, number, file, line, code, change))
    return mutants, len(spots)


def run(tree, tests, limit_s):
    """Run tests in a copy of the tree: 'survived', 'killed' or 'timed out', and how long it took."""
    command = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", "-n", "0", *tests]
    around = {**os.environ, "PYTHONDONTWRITEBYTECODE": "1", "PYTHONPATH": str(tree)}
    started = time.monotonic()
    with subprocess.Popen(
        command,
        cwd=tree,
        env=around,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    ) as process:
        try:
            code = process.wait(limit_s)
            verdict = "killed" if code else "survived"
        except subprocess.TimeoutExpired:
            verdict = "timed out"
        finally:
            if process.poll() is None:
                os.killpg(process.pid, signal.SIGKILL)
    if process.returncode in NO_VERDICT:
        raise SystemExit(f"pytest could not run {' '.join(tests)}")
    return verdict, time.monotonic() - started


def run_with(tree, file, code, limit_s=None):
    """Run the tests of a file's area with its text exchanged, and put the text back."""
    area = next(a for a in AREAS.values() if file in found(a.code) and file not in a.without)
    path = tree / file
    before = path.read_text(encoding="utf-8")
    path.write_text(code, encoding="utf-8")
    try:
        return run(tree, tests_of(area, file), limit_s)
    finally:
        path.write_text(before, encoding="utf-8")


def limit_of(tree, name):
    """How long the tests of an area may take; they must pass as the code stands, and fail where it is not code."""
    file = next(file for file in found(AREAS[name].code))
    text = (ROOT / file).read_text(encoding="utf-8")
    verdict, took_s = run(tree, found(AREAS[name].tests), None)
    if verdict != "survived":
        raise SystemExit(f"{name}: its tests fail without any mutation")
    if run_with(tree, file, text + "\nraise RuntimeError\n")[0] != "killed":
        raise SystemExit(f"{name}: its tests never read {file} of the copy")
    say(f"{name}: tests pass in {took_s:.0f} s")
    return max(LEAST_S, SLOWER * took_s)


def report(mutants, verdicts, room):
    """The score of one area and its survivors."""
    done = [mutant for mutant in mutants if mutant in verdicts]
    count = Counter(verdicts[mutant] for mutant in done)
    score = (len(done) - count["survived"]) / len(done)
    say(
        f"\n{mutants[0].area}: {len(done)} mutants of {room} places: {count['killed']} killed, "
        f"{count['survived']} survived, {count['timed out']} timed out; score {score:.0%}"
    )
    for mutant in done:
        if verdicts[mutant] == "survived":
            say(f"  {mutant.name}  {mutant.file}:{mutant.line}  {mutant.change}")


def judged(mutants, jobs, minutes, limit_s):
    """What became of each mutant; none is begun after so many minutes."""
    names = list(dict.fromkeys(mutant.area for mutant in mutants))
    with tempfile.TemporaryDirectory() as scratch, ThreadPoolExecutor(jobs) as pool:
        trees = queue.SimpleQueue()
        for number in range(jobs):
            copy = Path(scratch) / str(number)
            shutil.copytree(ROOT, copy, ignore=shutil.ignore_patterns(*LEFT_BEHIND))
            trees.put(copy)

        def lent(task, *words):
            tree = trees.get()
            try:
                return task(tree, *words)
            finally:
                trees.put(tree)

        timed = pool.map(lambda name: limit_s or lent(limit_of, name), names)
        limits = dict(zip(names, timed, strict=True))
        until = time.monotonic() + minutes * 60

        def judge(mutant):
            if time.monotonic() > until:
                return None
            verdict, took_s = lent(run_with, mutant.file, mutant.code, limits[mutant.area])
            say(f"{mutant.name:14}{verdict:10}{took_s:5.0f} s  {mutant.file}:{mutant.line}  {mutant.change}")
            return verdict

        answers = pool.map(judge, mutants)
        return {mutant: verdict for mutant, verdict in zip(mutants, answers, strict=True) if verdict}


def main(arguments):
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument(
        "--area", action="append", choices=AREAS, help="one area; may be given more than once"
    )
    parser.add_argument("--count", type=int, default=20, help="mutants for each area")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=1, help="mutants that are tried at the same time")
    parser.add_argument("--minutes", type=float, default=1e6, help="no mutant is begun later than this")
    parser.add_argument(
        "--limit", type=float, help="seconds for a mutant; without it, four times what the tests take"
    )
    parser.add_argument("--only", default="", help="numbers of single mutants, such as record:3,scene:7")
    asked = parser.parse_args(arguments)
    drawn = {name: sample(name, asked.count, asked.seed) for name in asked.area or AREAS}
    only = asked.only.split(",") if asked.only else []
    turns = zip_longest(*(mutants for mutants, _ in drawn.values()))
    wanted = [m for m in chain.from_iterable(turns) if m and (not only or m.name in only)]
    verdicts = judged(wanted, asked.jobs, asked.minutes, asked.limit)
    for mutants, room in drawn.values():
        if any(mutant in verdicts for mutant in mutants):
            report(mutants, verdicts, room)


if __name__ == "__main__":
    main(sys.argv[1:])
