"""One file per command; a command is imported only when it is called, so that `check` stays quick.

To add one: a file here with a click command called ``command``, and its line in ``SUMMARIES``.
"""

SUMMARIES: dict[str, str] = {
    "new": "Write a commented starter engine file that already passes its checks.",
    "check": "Every answer about an engine: clearances, rings, dead centres, with limits and verdicts.",
    "view": "Open the interactive window: turn the crank, see what comes close.",
    "still": "Draw a picture of the engine at one crank angle.",
    "schema": "Print the JSON Schema of the engine file, for editors.",
}
