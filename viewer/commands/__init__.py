"""One file per command; a command is imported only when it is called, so that `check` stays quick.

To add one: a file here with a click command called ``command``, and its line in ``SUMMARIES``.
"""

SUMMARIES: dict[str, str] = {
    "new": "Write an engine file to begin with, scaled to what you know of yours.",
    "check": "Every answer about an engine: clearances, rings, dead centres, with limits and verdicts.",
    "view": "Open the interactive window: turn the crank, see what comes close.",
    "still": "Draw a picture of the engine at one crank angle.",
    "film": "Film the turning engine, its worst places, or a mistake right and wrong: MP4, WebP or GIF.",
    "record": "Keep the record of a build: readings in, what is still to do, verdicts out.",
    "match": "Match measured pistons, pins, rods, shells and rings to bores, and say what goes where.",
    "fasteners": "Bolts of rods, mains and head: torque, stretch, what holds, and the order of tightening.",
    "balance": "Balance an engine: bob weights, forces and couples at a speed, which part to lighten.",
    "clock": "Where every ring gap stands: a table, or a sheet for the wall.",
    "sheet": "Write the build sheet for wall and file: limits beside boxes, page by page; PDF, SVG, HTML.",
    "explain": "Explain an assembly mistake in this engine: numbers, words, right and wrong side by side.",
    "diagnose": "Find the mistake from what is felt when the crank is turned, and what to look at next.",
    "page": "Write a page for the browser, one file: the engine to turn, with every answer.",
    "serve": "Serve the same page live on this machine: it follows the files, and tries out dimensions.",
    "envelope": "Write the space that moving parts sweep, as a closed mesh or drawn to scale.",
    "glb": "Write the engine as glTF 2.0 for other programs: parts, looks and motion.",
    "schema": "Print the JSON Schema of the engine file, for editors.",
}
