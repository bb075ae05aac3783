"""The interactive window. Read ``state`` first: all that it shows and a hand can change, without a renderer.

``actions`` is the table of keys; ``view`` turns keys, clicks and time into states and draws them, ``events`` feeds
it from a real window, ``open`` starts it on files and ``watch`` notices that they were saved. ``hud``, ``panels``,
``charts`` and ``closest`` are the flat layer; ``finding`` works things out beside it; ``beside`` shows a mistake
next to the right way.
"""
