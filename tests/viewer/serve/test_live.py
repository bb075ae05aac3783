"""The command itself, in a process of its own: a browser that has it open, a thousand at once, and the end of it."""

import asyncio
import os
import re
import resource
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.viewer.serve.conftest import KNOT, in_a_loop

ROOT = Path(__file__).parents[3]
AT_ONCE = 1000


@pytest.fixture(scope="module")
def live(tmp_path_factory):
    """Engine file, port and process of a served engine."""
    engine = Path(shutil.copy(KNOT, tmp_path_factory.mktemp("live")))
    code = "import sys; from viewer.cli import main; main()"
    words = [sys.executable, "-c", code, "serve", str(engine), "--no-open", "--port", "0"]
    environment = {**os.environ, "PYTHONUNBUFFERED": "1"}
    process = subprocess.Popen(
        words, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, cwd=ROOT, env=environment
    )
    said = []
    for line in process.stdout:
        said.append(line)
        if found := re.search(r"http://localhost:(\d+)/", line):
            break
    else:
        raise AssertionError("".join(said))
    yield engine, int(found[1]), process
    if process.poll() is None:
        process.kill()
    process.stdout.close()
    process.wait()


@pytest.mark.browser
def test_the_page_follows_the_file_and_tries_a_value(live, chromium):
    engine, port, _ = live
    text = engine.read_text(encoding="utf-8")
    context = chromium.new_context(viewport={"width": 820, "height": 1180})
    page = context.new_page()
    errors = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.goto(f"http://localhost:{port}/?quality=rough")
    page.locator("#tab-trying").click()
    page.evaluate("fullturn.store.set({crank_deg: 33})")

    page.get_by_label("Search a dimension").fill("thickness gasket")
    page.locator(".hit").first.click()
    page.locator(".tried input").fill("0.06 in")
    page.get_by_text("The picture shows what is tried").wait_for()
    assert page.locator(".tried-answer tbody tr").count() > 0
    assert "gasket.thickness = 0.06 in" in page.locator(".banner").inner_text()
    page.locator(".tried input").fill("0.06")
    page.locator(".tried .wrong").get_by_text("unit").wait_for()
    page.get_by_role("button", name="Reset").click()
    assert engine.read_text(encoding="utf-8") == text

    engine.write_text(text.replace("[crank]", "[crank]\nnonsense = 3", 1), encoding="utf-8")
    page.locator(".banner .wrong").get_by_text("crank.nonsense").wait_for()
    before = page.evaluate("fullturn.live.machine.version")
    aside = engine.with_name("saved aside")  # as many an editor saves
    aside.write_text(text.replace('thickness = "0.045 in"', 'thickness = "0.050 in"'), encoding="utf-8")
    assert aside.read_text(encoding="utf-8") != text
    aside.replace(engine)
    page.locator(".banner .wrong").wait_for(state="detached")
    until = time.monotonic() + 30
    while page.evaluate("fullturn.live.machine.version") == before:
        assert time.monotonic() < until
        time.sleep(0.05)
    assert page.evaluate("[fullturn.store.state.crank_deg, fullturn.store.state.panel]") == [33, "trying"]
    context.close()
    assert errors == []


def test_a_thousand_at_once_are_answered_and_ctrl_c_ends_it(live):
    _, port, process = live
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    resource.setrlimit(resource.RLIMIT_NOFILE, (min(hard, 4096), hard))
    head = f"Host: localhost:{port}\r\nConnection: close\r\n\r\n".encode()

    async def one():
        reader, writer = await asyncio.open_connection("127.0.0.1", port)
        writer.write(b"GET /nowhere HTTP/1.1\r\n" + head)
        answer = await reader.read(200)
        writer.close()
        return answer[9:12]

    async def run():
        stream, held = await asyncio.open_connection("127.0.0.1", port)
        held.write(f"GET /api/events HTTP/1.1\r\nHost: localhost:{port}\r\n\r\n".encode())
        assert b"retry:" in await stream.readuntil(b"\n\n") + await stream.readuntil(b"\n\n")
        began = time.monotonic()
        codes = await asyncio.gather(*(one() for _ in range(AT_ONCE)))
        took = time.monotonic() - began
        process.send_signal(signal.SIGINT)
        began = time.monotonic()
        await asyncio.to_thread(process.wait, 10)
        stopped = time.monotonic() - began
        held.close()
        return codes, took, stopped

    try:
        codes, took, stopped = in_a_loop(run())
    finally:
        resource.setrlimit(resource.RLIMIT_NOFILE, (soft, hard))
    assert set(codes) <= {b"404", b"503"}
    assert codes.count(b"404") > 0
    assert took < 20
    assert stopped < 2
    assert process.returncode == 0
    said = process.stdout.read()
    assert "Stopped." in said
    assert "Traceback" not in said
