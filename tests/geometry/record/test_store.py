"""Saving a record: all or nothing, whoever else writes, whenever the process dies."""

import errno
import os
import random
import signal
import stat
import subprocess
import sys
import time
import tomllib
from itertools import product
from pathlib import Path
from types import SimpleNamespace

import pytest

from geometry.errors import InputError
from geometry.record.store import edit, previous_path
from geometry.spec.load import MOST_BYTES

ROOT = Path(__file__).parents[3]
WRITER = """
import sys, tomllib
from geometry.record.store import edit
path, name = sys.argv[1], sys.argv[2]
count = int(sys.argv[3]) if len(sys.argv) > 3 else 10**9
def add(text, n):
    data = text or ""
    return data + f"{name}_{n} = {n}\\n"
start = int(sys.argv[4]) if len(sys.argv) > 4 else 0
for n in range(start, start + count):
    edit(path, lambda text: add(text, n))
    print(n, flush=True)
"""


def writer(path, name, *more):
    return subprocess.Popen(
        [sys.executable, "-c", WRITER, str(path), name, *map(str, more)],
        stdout=subprocess.PIPE, text=True, cwd=ROOT,
    )  # fmt: skip


def test_the_state_before_is_kept(tmp_path):
    path = tmp_path / "a.record.toml"
    edit(path, lambda text: "a = 1\n")
    edit(path, lambda text: text + "b = 2\n")
    assert path.read_text() == "a = 1\nb = 2\n"
    assert previous_path(path).read_text() == "a = 1\n"


def test_a_change_that_fails_changes_nothing(tmp_path):
    path = tmp_path / "a.record.toml"
    edit(path, lambda text: "a = 1\n")

    def refuse(text):
        raise InputError([])

    with pytest.raises(InputError):
        edit(path, refuse)
    assert path.read_text() == "a = 1\n"
    assert names_in(tmp_path) == ["a.record.toml"]


def names_in(folder):
    return sorted(path.name for path in folder.iterdir())


def test_nothing_stays_behind_but_the_record_and_the_state_before(tmp_path):
    path = tmp_path / "a.record.toml"
    for left in (".a.record.toml.aside", ".a.record.toml.previous.aside"):
        (tmp_path / left).write_text("of a writer who was stopped")
    edit(path, lambda text: "a = 1\n")
    assert names_in(tmp_path) == ["a.record.toml"]
    edit(path, lambda text: text + "b = 2\n")
    edit(path, lambda text: text)
    assert names_in(tmp_path) == ["a.record.toml", "a.record.toml.previous"]


@pytest.mark.parametrize("stop", [KeyboardInterrupt, OSError(errno.ENOSPC, "No space left on device")])
@pytest.mark.parametrize("at", ["fsync", "replace"])
def test_a_save_that_is_stopped_half_way_leaves_nothing_behind(tmp_path, monkeypatch, stop, at):
    path = tmp_path / "a.record.toml"
    edit(path, lambda text: "a = 1\n")

    def stopped(*_):
        raise stop

    monkeypatch.setattr(os, at, stopped)
    with pytest.raises(KeyboardInterrupt if stop is KeyboardInterrupt else InputError):
        edit(path, lambda text: text + "b = 2\n")
    assert names_in(tmp_path) == ["a.record.toml"]
    assert path.read_text() == "a = 1\n"


def test_a_record_that_would_be_too_large_to_read_again_is_not_saved(tmp_path):
    path = tmp_path / "a.record.toml"
    with pytest.raises(InputError, match="as large as a record may be"):
        edit(path, lambda text: "# " + "x" * MOST_BYTES)
    assert names_in(tmp_path) == []


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="no devices that are files")
def test_a_place_that_is_no_file_is_neither_read_nor_locked(tmp_path):
    pipe = tmp_path / "a.record.toml"
    os.mkfifo(pipe)
    for place in (pipe, Path("/dev/zero"), tmp_path):
        with pytest.raises(InputError, match=r"is a device or pipe|is a directory"):
            edit(place, lambda text: "a = 1\n")
    assert names_in(tmp_path) == ["a.record.toml"]
    assert not Path("/dev/.zero.lock").exists()


def test_a_loss_of_power_at_any_moment_leaves_a_whole_state_and_after_the_answer_the_new_one(
    tmp_path, monkeypatch
):
    """A disk keeps the content of a file only once that file was flushed, and may or may not keep each renaming
    until the directory was flushed (POSIX fsync(2), rename(2)): every disk that can be found after a loss of power
    is tried, after every step."""
    path, states = tmp_path / "a.record.toml", ["a = 1\n", "a = 1\nb = 2\n", "a = 1\nb = 2\nc = 3\n"]
    steps, before_this = [], 0
    fsync, replace = os.fsync, os.replace

    def flushed(descriptor):
        fsync(descriptor)
        found = os.fstat(descriptor)
        folder = stat.S_ISDIR(found.st_mode)
        assert not folder or os.path.samestat(found, os.stat(tmp_path)), "another directory was flushed"
        steps.append(("folder", None, None) if folder else ("file", found.st_ino, content_of(found.st_ino)))

    def content_of(inode):
        return next(p.read_text() for p in tmp_path.iterdir() if p.stat().st_ino == inode)

    def renamed(source, target):
        steps.append(("name", os.stat(source).st_ino, os.path.basename(target)))
        replace(source, target)

    monkeypatch.setattr(os, "fsync", flushed)
    monkeypatch.setattr(os, "replace", renamed)
    monkeypatch.setattr("geometry.record.store.sys", SimpleNamespace(platform="any"))
    for number, state in enumerate(states):
        edit(path, lambda text, state=state: state)
        allowed = {None if number == 0 else states[number - 1], state}
        for length in range(len(steps) + 1):
            kept, pending, disk = {}, [], {}
            for kind, inode, what in steps[:length]:
                if kind == "file":
                    kept[inode] = what
                elif kind == "name":
                    pending.append((what, inode))
                else:
                    disk.update(pending)
                    pending = []
            found = set()
            for chosen in product((False, True), repeat=len(pending)):
                after = disk | dict(one for one, taken in zip(pending, chosen, strict=True) if taken)
                found |= {kept.get(after[n], "torn") for n in after}
                if length > before_this:
                    whole = kept.get(after[path.name], "torn") if path.name in after else None
                    assert whole in allowed
            assert "torn" not in found
        assert kept[disk[path.name]] == state, "the answer came before the disk had it"
        assert not pending
        before_this = len(steps)


def test_several_writers_lose_nothing(tmp_path):
    path = tmp_path / "many.record.toml"
    writers = [writer(path, name, 40) for name in ("a", "b", "c")]
    for process in writers:
        out, _ = process.communicate(timeout=60)
        assert len(out.split()) == 40
    found = tomllib.loads(path.read_text())
    assert found == {f"{name}_{n}": n for name in ("a", "b", "c") for n in range(40)}


ENTERING = """
import sys
from geometry.record.entries import set_entries
from geometry.spec.load import load_engine
path, tern, bore = sys.argv[1:]
engine = load_engine(tern)
for n in range(1, 9):
    set_entries(path, engine, f"bore {bore}", ["ring.top.gap", f"go={n}thou"])
    set_entries(path, engine, "bore 8", ["ring.top.gap", f"go={bore}{n}thou"])
    set_entries(path, engine, "bore 8", ["rod.number", f"{n}", f"note=by {bore}"])
    print(n, flush=True)
"""


def test_writers_of_the_same_entries_leave_one_of_them_whole_and_lose_no_others(tmp_path):
    path = tmp_path / "same.record.toml"
    tern = ROOT / "demo_engines" / "tern.toml"
    writers = [
        subprocess.Popen(
            [sys.executable, "-c", ENTERING, str(path), str(tern), bore],
            stdout=subprocess.PIPE,
            text=True,
            cwd=ROOT,
        )
        for bore in "123"
    ]
    for process in writers:
        assert process.communicate(timeout=60)[0].split() == [str(n) for n in range(1, 9)]
    found = tomllib.loads(path.read_text())["bore"]
    assert {bore: found[bore]["ring"]["top"]["gap"]["go"] for bore in "123"} == dict.fromkeys("123", "8thou")
    # Each writer's last word on bore 8 was 8; whoever came last, it is one writer's entry and not a mixture.
    assert found["8"]["ring"]["top"]["gap"]["go"] in ("18thou", "28thou", "38thou")
    assert found["8"]["rod"]["number"]["value"] == 8
    assert found["8"]["rod"]["number"]["note"] in ("by 1", "by 2", "by 3")


NURSERY = """
import os, signal, sys
from geometry.record.store import edit
signal.signal(signal.SIGCHLD, signal.SIG_IGN)
path = sys.argv[1]
for line in sys.stdin:
    name = line.strip()
    child = os.fork()
    if child == 0:
        n = 0
        while True:
            edit(path, lambda text: (text or "") + f"{name}_{n} = {n}\\n")
            os.write(1, f"{name}_{n} {n}\\n".encode())
            n += 1
    os.write(1, f"pid {child}\\n".encode())
"""


@pytest.mark.slow
@pytest.mark.skipif(not hasattr(os, "fork"), reason="forks, and kills with a POSIX signal")
def test_killing_the_process_at_any_moment_loses_nothing_acknowledged(tmp_path):
    # 300 writers, two at a time, each killed at a random moment. A line on the output is an acknowledgement: what it
    # names must be in the file afterwards.
    path = tmp_path / "killed.record.toml"
    chance = random.Random(20260314)
    nursery = subprocess.Popen(
        [sys.executable, "-c", NURSERY, str(path)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        cwd=ROOT,
    )
    said, alive = [], []
    starts = time.perf_counter()
    for n in range(5):
        edit(tmp_path / "trial.record.toml", lambda text, n=n: (text or "") + f"a_{n} = {n}\n")
    one_save_s = (time.perf_counter() - starts) / 5  # a slow or busy disk gets longer before each kill
    longest_s = min(max(0.015, 3 * one_save_s), 0.05)

    def born(name):
        nursery.stdin.write(f"{name}\n")
        nursery.stdin.flush()
        while True:
            word, _, value = nursery.stdout.readline().partition(" ")
            if word == "pid":
                return int(value)
            said.append((word, int(value)))

    for number in range(300):
        alive.append(born(f"w{number}"))
        if len(alive) == 2:
            time.sleep(chance.uniform(0.0, longest_s))
            os.kill(alive.pop(0), signal.SIGKILL)
    for child in alive:
        os.kill(child, signal.SIGKILL)
    rest, _ = nursery.communicate(timeout=30)
    said += [(line.split()[0], int(line.split()[1])) for line in rest.splitlines() if len(line.split()) == 2]
    acknowledged = dict(pair for pair in said if pair[0] != "pid")
    present = tomllib.loads(path.read_text())
    assert len(acknowledged) > 5  # there was something to lose
    assert acknowledged.items() <= present.items()
    assert tomllib.loads(previous_path(path).read_text())
