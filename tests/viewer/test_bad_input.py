"""Words on the command line that no reader expects, and places that cannot be written: one line, and nothing left."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.bench.bad_input import fault_of_file, fault_of_line, prepare
from tests.viewer.test_cli import KNOT, refused

LONG = "9" * 5000
HAS_FULL_DEVICE = Path("/dev/full").exists()


@pytest.fixture
def here(tmp_path, monkeypatch):
    """A folder with a pipe, links to a full disk, folders named as files, a place without permission."""
    monkeypatch.chdir(tmp_path)
    prepare(tmp_path)
    return tmp_path


@pytest.mark.parametrize(
    "words, said",
    [
        (("check", KNOT, "--sweep", f"crank.stroke=88mm..96mm:{LONG}"), "is not a sweep"),
        (("check", KNOT, "--sweep", "crank.stroke=88mm..96mm:²"), "is not a sweep"),
        (("check", KNOT, "--sweep", f"crank.stroke={LONG}mm..96mm:3"), "does not begin with a number"),
        (("check", KNOT, "--set", f"crank.stroke={LONG}"), "--set: crank.stroke: "),
        (("still", KNOT, "-o", "x.png", "--view", f"bore {LONG}"), "there is no bore 9999"),
        (("still", KNOT, "-o", "x.png", "--view", "bore ²"), "there is no view 'bore ²'"),
        (("still", KNOT, "-o", "x.png", "--view", "bore ٣"), "there is no bore ٣"),
        (("still", KNOT, "-o", "x.png", "--bore", LONG), "invalid value for '--bore'"),
        (("still", KNOT, "-o", "x.png", "--bore", LONG[:4000]), "there is no bore 9999"),
        (("diagnose", KNOT, "--bound", "--looked", f"below:{LONG}"), "is not a look and a place"),
        (("diagnose", KNOT, "--bound", "--looked", "below:²"), "is not a look and a place"),
        (("diagnose", KNOT, "--bound", "--looked", "below:٣"), "is not a look and a place"),
        (("diagnose", KNOT, "--felt", f"torque {LONG[:400]}:3 N*m"), "is not a crank angle"),
        (("diagnose", KNOT, "--felt", f"top of 1 is {LONG[:400]} late"), "is not a crank angle"),
        (("diagnose", KNOT, "--felt", f"after bore {LONG[:3000]}"), "there is no bore 9999"),
        (("record", KNOT, "set", "bore ²", "rod.way", "turned"), "is not a number of a place"),
    ],
    ids=lambda value: " ".join(value)[-60:] if isinstance(value, tuple) else None,
)
def test_numbers_that_no_reader_expects(call, here, words, said):
    before = sorted(here.iterdir())
    (line,) = refused(call, *words)
    assert said in line
    assert len(line) < 700, "a number of 5,000 digits is no clear line"
    assert sorted(here.iterdir()) == before


@pytest.mark.skipif(not HAS_FULL_DEVICE or not hasattr(os, "mkfifo"), reason="no pipes and devices here")
@pytest.mark.parametrize("place", ["pipe", "full", "folder"])
@pytest.mark.parametrize(
    "words",
    [
        ("clock", KNOT, "-o", "svg"),
        ("clock", KNOT, "--sections", "-o", "png"),
        ("check", KNOT, "--curve", "cheek : crankcase_wall", "-o", "csv"),
        ("check", KNOT, "--curve", "cheek : crankcase_wall", "-o", "svg"),
        ("envelope", KNOT, "--body", "piston_pin 1", "-o", "stl"),
        ("still", KNOT, "-o", "png"),
        ("new", "toml"),
        ("record", KNOT, "set", "bore", "1", "rod.way", "turned", "--record", "toml"),
        ("record", KNOT, "show", "--record", "toml"),
        ("check", "toml"),
        ("check", KNOT, "--built", "toml"),
    ],
    ids=lambda words: " ".join(word for word in words if word != KNOT),
)
def test_a_pipe_a_device_or_a_folder_in_place_of_a_file(call, here, words, place):
    before = sorted(here.iterdir())
    (line,) = refused(call, *words[:-1], f"{place}.{words[-1]}")
    assert line.startswith(f"{place}.{words[-1]}: ")
    assert sorted(here.iterdir()) == before


@pytest.mark.parametrize("place", ["/dev/full", "/dev/zero", "/proc/kmsg"])
def test_a_record_that_is_none_of_the_users_files(call, place, monkeypatch):
    monkeypatch.setattr(
        "geometry.record.store._LOCK_WAIT_S", 1.0
    )  # no lock can be made beside a file of the kernel
    if not Path(place).exists():
        pytest.skip("no such thing here")
    for words in (("show",), ("set", "bore", "1", "rod.way", "turned")):
        if words == ("show",) and place == "/proc/kmsg":
            continue  # a file of the kernel is as good as an empty one
        assert refused(call, "record", KNOT, *words, "--record", place)[0].startswith(f"{place}: ")
    assert not list(Path(place).parent.glob(".*.lock"))


FULL = """
import resource, signal, sys
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (2000, 2000))
from viewer.cli import main
sys.argv = ["fullturn", *sys.argv[1:]]
main()
"""


@pytest.mark.skipif(sys.platform != "linux", reason="limits the size of files as Linux does")
def test_a_disk_that_fills_up_while_writing_leaves_what_was_there(tmp_path):
    """The system refuses every byte of a file beyond the 2000th, as a full disk does."""
    for words, name in (
        (("clock", KNOT, "-o"), "x.svg"),
        (("clock", KNOT, "-o"), "x.pdf"),
        (("check", KNOT, "--curve", "cheek : crankcase_wall", "-o"), "x.csv"),
    ):
        (tmp_path / name).write_text("before")
        done = subprocess.run(
            [sys.executable, "-c", FULL, *words, str(tmp_path / name)],
            capture_output=True, text=True, timeout=120, check=False, cwd=Path(__file__).parents[2],
        )  # fmt: skip
        assert done.returncode == 2
        (line,) = done.stderr.splitlines()
        assert line.startswith(f"{tmp_path / name}: cannot be written (File too large)")
        assert (tmp_path / name).read_text() == "before"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["x.csv", "x.pdf", "x.svg"]


STOPPED = """
import os, signal, sys, time
from viewer.output import made_aside
from viewer.terminal import stopping_cleanly
with stopping_cleanly(), made_aside(sys.argv[1]) as aside:
    aside.write_text("half")
    print("half written", flush=True)
    time.sleep(60)
"""


@pytest.mark.skipif(os.name == "nt", reason="Windows ends a process without a word")
def test_a_program_that_is_told_to_stop_takes_away_what_it_has_half_written(tmp_path):
    for asked in (signal.SIGTERM, signal.SIGHUP, signal.SIGINT):
        running = subprocess.Popen(
            [sys.executable, "-c", STOPPED, str(tmp_path / "x.csv")],
            stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True, cwd=Path(__file__).parents[2],
        )  # fmt: skip
        assert running.stdout.readline() == "half written\n"
        assert len(list(tmp_path.iterdir())) == 1
        running.send_signal(asked)
        assert running.wait(30) != 0
        running.stdout.close()
        assert list(tmp_path.iterdir()) == []


def test_the_count_finds_what_ends_wrongly(here, monkeypatch):
    """The command that counts in tests/bench is worth nothing if it cannot see a fault."""
    assert fault_of_line(["check", "none.toml"]) == ""
    assert fault_of_file(b"units = 3") == ""

    def wrong(result):
        def command():
            if isinstance(result, BaseException):
                raise result
            sys.exit(result)

        return command

    for result, said in ((ValueError("x"), "traceback"), (3, "wrong exit code 3"), (2, "without a word")):
        monkeypatch.setattr("viewer.cli.main", wrong(result))
        assert said in fault_of_line(["check"])

    def leaves():
        Path(".x.lock").touch()
        sys.exit(0)

    monkeypatch.setattr("viewer.cli.main", leaves)
    assert "stays behind" in fault_of_line(["check"])
    monkeypatch.setattr("viewer.job.read_job", lambda _: 1 / 0)
    assert "traceback" in fault_of_file(b"")


def test_the_count_gives_a_hang_up():
    from tests.bench.bad_input import Worker

    worker = Worker(0.5)
    started = time.monotonic()
    try:
        assert worker.ask("spin", None).startswith("hang")
    finally:
        worker.stop()
    assert time.monotonic() - started < 60
