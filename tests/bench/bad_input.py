"""Spoiled engine files and wrong command lines in number: how many end in a traceback, a hang or a wrong exit code.

Run: ``.venv/bin/python tests/bench/bad_input.py [--count FILES] [--lines LINES] [--seed N] [--limit SECONDS]``.

A file is a demo spoiled in one to three places (a letter, a line, a value, a key, its bytes) and read, checked and
assembled as every command does; a line is a command with words taken from good and bad ones. Each runs in a process
that is given up when it has computed for longer than the limit. Good is: exit code 0 or 1, or 2 with printable lines
on the error output and nothing in the folder that was not there before.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import multiprocessing
import os
import random
import re
import sys
import tempfile
import time
import traceback
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

DEMOS = sorted(path for path in (ROOT / "demo_engines").glob("*.toml") if ".record." not in path.name)
LONG = "9" * 5000
VALUES = (
    "", '""', "nan", "inf", "-inf", "0", "-1", "1e999", LONG, "true", "[]", "{}", "1979-05-27", '"²"', '"٣ mm"',
    '"0 mm"', '"-3 mm"', '"1e300 in"', '"3 kg"', '"1/0 in"', '"nan mm"', '"3"', '"3 mm', "'\\u0000'", '"\\u0000"',
    '"3 mm" "4 mm"', "[[[[]]]]", '["3 mm"]', '"left"', '"none"', "3 mm", "0x7fffffffffffffffff", '"180 deg"',
    '"400 deg"', '"0.001 mm"', '"9999 mm"', "[1, 1]", "[0]", "[-1, 1e9]", '"' + "x" * 2000 + '"',
)  # fmt: skip
LETTERS = "\"'[]{}=.#,\n\t \0²٣µ-+e9\ufeff\U0001f600"


def spoiled(rng: random.Random) -> bytes:
    """The bytes of a demo file with one to three things wrong in it."""
    text = rng.choice(DEMOS).read_text(encoding="utf-8")
    for _ in range(rng.randint(1, 3)):
        text = rng.choice(
            (_letter, _letter, _cut, _line_away, _line_twice, _value, _value, _value, _key, _moved)
        )(text, rng)
    content = text.encode("utf-8", "surrogatepass")
    return _bytes(content, rng) if rng.random() < 0.1 else content


def _letter(text: str, rng: random.Random) -> str:
    at = rng.randrange(len(text) + 1)
    return text[:at] + rng.choice(LETTERS) + text[at + rng.randint(0, 1) :]


def _cut(text: str, rng: random.Random) -> str:
    at = rng.randrange(len(text) + 1)
    return text[:at] + text[at + rng.randint(1, 40) :]


def _line_away(text: str, rng: random.Random) -> str:
    lines = text.split("\n")
    del lines[rng.randrange(len(lines))]
    return "\n".join(lines) or "\n"


def _line_twice(text: str, rng: random.Random) -> str:
    lines = text.split("\n")
    lines.insert(rng.randrange(len(lines)), rng.choice(lines))
    return "\n".join(lines)


def _value(text: str, rng: random.Random) -> str:
    lines = text.split("\n")
    rows = [row for row, line in enumerate(lines) if "=" in line and not line.startswith("#")]
    if rows:
        row = rng.choice(rows)
        key, _, old = lines[row].partition("=")
        others = [lines[other].partition("=")[2] for other in rows]
        number = "".join(letter for letter in old if letter in "0123456789.")
        scaled = old.replace(number, f"{float(number) * rng.choice((0.1, 0.9, 1.1, 2, 10)):.4g}", 1) if (
            number.strip(".").replace(".", "", 1).isdecimal() and number in old
        ) else old  # fmt: skip
        lines[row] = f"{key}= {rng.choice((rng.choice(VALUES), rng.choice(others), scaled))}"
    return "\n".join(lines)


def _key(text: str, rng: random.Random) -> str:
    lines = text.split("\n")
    row = rng.randrange(len(lines))
    lines[row] = rng.choice(("x", "_", "-", '"', "a.", "")) + lines[row][rng.randint(0, 2) :]
    return "\n".join(lines)


def _moved(text: str, rng: random.Random) -> str:
    lines = text.split("\n")
    lines.insert(rng.randrange(len(lines)), lines.pop(rng.randrange(len(lines))))
    return "\n".join(lines)


def _bytes(content: bytes, rng: random.Random) -> bytes:
    return rng.choice(
        (
            content[: rng.randrange(len(content) + 1)],
            b"\xff\xfe" + content,
            content.replace(b"\n", b"\r"),
            content.replace(b" ", b"\xa0", 3),
            content + rng.randbytes(30),
            content.decode("utf-8", "replace").encode("utf-16"),
        )
    )


KNOT = str(ROOT / "demo_engines" / "knot.toml")
BAD = {
    "n": ("1", "0", "-1", "9", "²", "٣", LONG, "nan", "inf", "1e999", "", " ", "1.5", "0x1", "3;3", "1,1", "½", "1_0"),
    "p": ("none/x", "x", "", "pipe", "full", "folder", "x" * 300, "/proc/x", "a\nb", "locked/x"),
    "e": ("none.toml", ".", "", "pipe.toml", "folder.toml", "/dev/zero", "/dev/full", "/proc/kmsg", "/proc/self/mem",
          "/dev/null", "full.toml", "x" * 300, "circle.toml", "empty.toml", "/proc/self/environ", "a\nb"),
    "w": ("bore", "below:1", "below", ":", "tight at 75", "tight at " + LONG[:300], "crank", "rod.way", "set", "none",
          "=", "go=18thou", "note=x\ny", "x" * 5000, "rod : bore_wall", "crank.stroke", "\udcff", "@", "[1]", "--",
          "top of 1 is 9 late", "crown of 1 is 1e300 m high", f"torque {LONG[:400]}:3 N*m", "front", "-", "nan"),
}  # fmt: skip
LINES = """
check <k> --sweep crank.stroke=60mm..64mm:<n>
check <k> --sweep crank.stroke=<n>..<n>:2
check <k> --sweep crank.stroke=<n>mm..64mm:2
check <k> --sweep <w>=1mm..2mm:2
check <k> --sweep engine.name=1mm..2mm:2
check <k> --curve cheek~:~crankcase_wall -o <p>.csv
check <k> --curve cheek~:~crankcase_wall -o <p>.svg
check <k> --curve <w>~:~<w>
check <k> --set <w>=<n>
check <k> --set crank.stroke=<n>
check <k> --set piston.grooves[<n>].root=3~mm
check <k> --built <e>
check <e> --units <n>
clock <k> --bore <n>
clock <k> -o <p>.svg
clock <k> --sections -o <p>.png
clock <e> --built <e>
record <k> set bore <n> rod.way turned
record <k> set bore~<n> ring.top.gap go=<n>thou tight=<n>mm
record <k> set <w> <w> <w>
record <k> set bore 1 rod.way turned --record <e>
record <k> set bore 1 rod.way turned --record <p>.toml
record <k> set crank end_play <n>thou --by <w> --record <p>.toml
record <k> todo --bore <n>
record <k> show --record <e>
explain <k> <w>
explain <k> rod_turned --bore <n>
explain <k> main_cap_turned --main <n>
explain <k> ring_upside_down -o <p>.doc
diagnose <k> --looked <w>:<n>
diagnose <k> --looked below:<n> --bound
diagnose <k> --felt <w>
diagnose <k> --felt after~bore~<n>
diagnose <k> --felt tight~at~<n>~after~top~of~<n>
diagnose <k> --felt burns~oil~in~<n>
diagnose <k> --tight <n> --turns <n>
diagnose <k> --torque <n>:<n>~N*m
diagnose <k> --after-main <n> --no-side-play <n>
diagnose <k> --bound --first <n>
still <k> -o <p>.doc
still <k> -o none/x.png --view bore~<n>
still <k> -o x.png --view bore~<n> --size 9x9
still <k> -o x.png --size <n>x<n> --crank <n>
still <k> -o x.png --hide <w> --size 9x9
film <k> -o <p>.avi
film <k> -o x.gif --fps <n> --size 9x9
film <k> -o x.gif --turns <n> --from <n> --size 9x9
envelope <k> --body <w> -o <p>.stl
envelope <k> --body piston_pin~1 -o <p>.stl
envelope <k> --body rod~<n> -o x.stl
envelope <e> --body crank -o x.<w>
new <p>.toml --layout <w>
new <p>.toml
schema <w>
<w> <e>
"""
"""Words that may be wrong stand in angle brackets, ``~`` for a space within a word."""


def line(rng: random.Random) -> list[str]:
    """One command line with at least one word in it that may be wrong."""

    def chosen(found: re.Match[str]) -> str:
        if found[1] == "k":
            return KNOT if rng.random() < 0.9 else rng.choice(BAD["e"])
        return rng.choice(BAD[found[1]])

    template = rng.choice(LINES.strip().splitlines())
    words = [re.sub("<([a-z])>", chosen, word.replace("~", " ")) for word in template.split(" ")]
    if rng.random() < 0.1:
        words.insert(rng.randrange(1, len(words) + 1), rng.choice(BAD["w"]))
    return words


def prepare(folder: Path) -> None:
    """What bad names may point to: a pipe, a full disk, a folder, links in a circle, a place without permission."""
    os.chdir(folder)
    for ending in (".toml", ".stl", ".svg", ".png", ".csv"):
        Path(f"folder{ending}").mkdir()
        if hasattr(os, "mkfifo"):
            os.mkfifo(f"pipe{ending}")
            Path(f"full{ending}").symlink_to("/dev/full")
    Path("circle.toml").symlink_to("circle.toml")
    Path("empty.toml").touch()
    Path("locked").mkdir(mode=0o500)


def fault_of_line(words: list[str]) -> str:
    """Run a command line in this process; what is wrong with how it ended, or nothing."""
    from viewer.cli import main

    before = {path: path.lstat().st_mtime_ns for path in Path().iterdir()}
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8") for _ in range(2))
    sys.argv = ["fullturn", *words]
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        try:
            main()
            code: object = None
        except SystemExit as left:
            code = left.code
        except BaseException:
            return "traceback: " + traceback.format_exc().strip().splitlines()[-1][:160]
        out.flush()
        err.flush()
    said = err.buffer.getvalue().decode("utf-8", "replace")
    after = {path: path.lstat().st_mtime_ns for path in Path().iterdir()}
    new = sorted(set(after) - set(before))
    left = [path.name for path in new if path.name.startswith(".") and path.suffix != ".toml"]
    for path in new:
        path.unlink()
    if code not in (0, 1, 2):
        return f"wrong exit code {code!r}"
    if code == 2 and not said.strip():
        return "wrong exit code 2 without a word"
    if code == 2 and (new or any(after[path] != stamp for path, stamp in before.items() if path in after)):
        return f"wrong exit code 2 and yet it wrote {[str(path) for path in new]}"
    if left:
        return f"stays behind: {left}"
    if not all(one.isprintable() and len(one) < 3000 for one in said.splitlines()):
        return "unclear line: " + said[:100]
    return ""


def fault_of_file(content: bytes) -> str:
    """Read, check and assemble a spoiled file; what is wrong with how it ended, or nothing."""
    from geometry.errors import GeometryError, InputError
    from viewer.job import read_job

    file = Path("spoiled-engine.toml")
    file.write_bytes(content)
    try:
        read_job(file)
    except (InputError, GeometryError) as refused:
        lines = str(refused).splitlines()
        clear = lines and all(one.isprintable() and len(one) < 3000 for one in lines)
        return "" if clear else "unclear line: " + str(refused)[:100]
    except BaseException:
        return "traceback: " + traceback.format_exc().strip().splitlines()[-1][:160]
    return ""


def work(questions: multiprocessing.connection.Connection, folder: str) -> None:  # type: ignore[name-defined]
    """Answer until there is nothing more to ask."""
    prepare(Path(folder))
    while (asked := questions.recv()) is not None:
        kind, what = asked
        while kind == "spin":  # what a test of the limit asks for
            pass
        questions.send(fault_of_file(what) if kind == "file" else fault_of_line(what))


class Worker:
    """A process that is asked one case at a time, and is replaced by another when it computes for too long."""

    def __init__(self, limit_s: float) -> None:
        self.limit_s = limit_s
        self._start()

    def _start(self) -> None:
        self.folder = tempfile.TemporaryDirectory()
        self.mine, theirs = multiprocessing.Pipe()
        self.process = multiprocessing.get_context("spawn").Process(
            target=work, args=(theirs, self.folder.name), daemon=True
        )
        self.process.start()
        self.spent_s = 0.0

    def ask(self, kind: str, what: object) -> str:
        """What is wrong with how a case ended, or nothing."""
        self.mine.send((kind, what))
        asked, waited = computing_s(self.process.pid), time.monotonic()
        while not self.mine.poll(0.5):
            used, idle = computing_s(self.process.pid) - asked, time.monotonic() - waited
            if not self.process.is_alive():
                self._start()
                return "traceback: the process died"
            if used > self.limit_s or idle > 12 * self.limit_s:
                self.stop()
                self._start()
                return f"hang: given up after {used:.0f} s of computing"
        return self.mine.recv()

    def stop(self) -> None:
        """End the process."""
        self.process.kill()
        self.process.join()
        self.folder.cleanup()


def computing_s(pid: int | None) -> float:
    """Computing time that a process has used; where the system does not tell, the time of day."""
    with contextlib.suppress(OSError):
        fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
        return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")
    return time.monotonic()


def count(kind: str, cases: list[object], limit_s: float) -> Counter[str]:
    """Ask all cases of one kind and tell each fault as it is found."""
    worker, found = Worker(limit_s), Counter()
    for number, case in enumerate(cases):
        fault = worker.ask(kind, case)
        if fault:
            found[fault.partition(":")[0].split(" 2")[0]] += 1
            shown = case if kind == "line" else f"file {number}"
            sys.stdout.write(f"{fault}\n    {str(shown)[:300]}\n")
            sys.stdout.flush()
    worker.stop()
    return found


def run() -> int:
    """Print the count; exit code 1 when anything ended as it should not."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--count", type=int, default=2000, help="spoiled engine files")
    asked.add_argument("--lines", type=int, default=300, help="command lines")
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--limit", type=float, default=20.0, help="seconds of computing for one case")
    given = asked.parse_args()
    rng, bad = random.Random(given.seed), 0
    files = [spoiled(rng) for _ in range(given.count)]
    lines = [line(rng) for _ in range(given.lines)]
    for kind, cases in (("file", files), ("line", lines)):
        started = time.monotonic()
        found = count(kind, cases, given.limit)
        bad += sum(found.values())
        told = ", ".join(f"{number} {what}" for what, number in sorted(found.items())) or "none ended wrongly"
        what = "spoiled engine files" if kind == "file" else "command lines"
        sys.stdout.write(f"{len(cases)} {what}: {told} ({time.monotonic() - started:.0f} s)\n")
        sys.stdout.flush()
    return int(bad > 0)


if __name__ == "__main__":
    sys.exit(run())
