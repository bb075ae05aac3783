"""A process that makes the single's page once and then serves it in children, which can be killed and born again.

Words on its input: ``serve PORT`` (0 for any) forks a child and answers ``PID PORT``.
"""

import os
import signal
import sys
from pathlib import Path

from viewer.serve.doors import doors_for
from viewer.serve.running import listening, run
from viewer.serve.served import Served, Serving, digest_of
from viewer.serve.watching import remade


def main(engine, record):
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)
    serving = Serving(Path(engine), Path(record))
    shown = remade(serving)
    say("made")
    for line in sys.stdin:
        if os.fork() == 0:
            serve(serving, shown, int(line.split()[1]))
            os._exit(0)


def serve(serving, shown, port):
    on = listening(port, False)
    port = on.getsockname()[1]
    served = Served(serving, shown, record_version=digest_of(serving.record))
    run(served, doors_for(port), on, lambda: say(f"{os.getpid()} {port}"))


def say(words):
    os.write(1, f"{words}\n".encode())


if __name__ == "__main__":
    main(*sys.argv[1:])
