"""Savers killed while they save, each a fork of this process: see test_killed. ``python -m ... RECORD KILLS``."""

import gc
import os
import random
import signal
import sys
import time
import tomllib
from pathlib import Path
from types import SimpleNamespace

from geometry.record import store
from geometry.record.history import entries_of
from geometry.record.load import record_of
from geometry.record.place import BenchPlace
from geometry.spec.load import load_engine
from viewer.serve.journal import ChangeJournal
from viewer.serve.readings import Entering, save_entry

KNOT = Path(__file__).parents[3] / "demo_engines" / "knot.toml"
DECK, CRANK = (BenchPlace("bore", 1), "deck"), (BenchPlace("crank"), "end_play")
STEPS = ("_write_aside", "_flush", "_rename", "_flush_directory", "_take_away", "_keep_previous", "_content")
FIRST_SAVE = 16
"""No fewer steps than one save has."""


def told_of(record, engine):
    """As much of a served engine as saving asks for."""
    job = SimpleNamespace(assembly=SimpleNamespace(spec=engine), system="in")
    return SimpleNamespace(
        shown=SimpleNamespace(job=job), serving=SimpleNamespace(record=record), journal=ChangeJournal()
    )


def die_at(step, before):
    """Kill this process at the so-manieth step of saving, before or after it is done."""
    left = [step]

    def wrapped(function):
        def called(*arguments):
            left[0] -= 1
            if before and left[0] == 0:
                os.kill(os.getpid(), signal.SIGKILL)
            found = function(*arguments)
            if left[0] == 0:
                os.kill(os.getpid(), signal.SIGKILL)
            return found

        return called

    for name in STEPS:
        setattr(store, name, wrapped(getattr(store, name)))


def main(record, kills):
    engine, chance = load_engine(KNOT), random.Random(20261128)
    served = told_of(record, engine)
    save_entry(served, Entering("crank", "end_play", {"value": "5 thou"}, None, "KL", "p"))
    present, killed, acknowledged = None, 0, 0
    gc.disable()
    gc.freeze()  # a fork then copies no page that it does not write
    for number in range(kills):
        order = [f"{number % 90 + 1}.{turn} thou" for turn in range(3)]
        lines, status = saver(served, record, order, present, number, chance)
        killed += os.WIFSIGNALED(status)
        text = record.read_text()
        record_of(text, "record", engine)
        found = entries_of(tomllib.loads(text))
        now = found.get(DECK)
        assert found[CRANK]["value"] == "5 thou"
        if lines:  # the one after the last acknowledged may be there already
            assert lines == order[: len(lines)]
            assert now["value"] in order[len(lines) - 1 : len(lines) + 1], "acknowledged, and not there"
        else:
            assert now == present or now["value"] == order[0]
        present, acknowledged = now, acknowledged + len(lines)
    os.write(1, f"{killed} {acknowledged}\n".encode())


def saver(served, record, order, seen, number, chance):
    """Fork a saver of these values one after the other, and kill it: what it acknowledged, and how it ended."""
    reader, writer = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reader)
        if number % 2:
            die_at(1 + number // 4 % FIRST_SAVE, number % 4 == 1)
        for value in order:
            save_entry(served, Entering("bore 1", "deck", {"value": value}, seen, "EH", "p"))
            os.write(writer, f"{value}\n".encode())
            seen = entries_of(tomllib.loads(record.read_text()))[DECK]
        os._exit(0)
    os.close(writer)
    if number % 2 == 0:
        time.sleep(chance.uniform(0.0, 0.04))
        os.kill(child, signal.SIGKILL)
    with os.fdopen(reader) as said:
        lines = said.read().splitlines()
    return lines, os.waitpid(child, 0)[1]


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]))
