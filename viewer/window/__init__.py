"""The interactive window. Read ``state`` first: all that it shows and a hand can change, without a renderer.

``actions`` is the table of keys and buttons; ``showing`` draws a state, ``view`` turns keys, clicks and time into
states, ``events`` feeds it from a real window, ``open`` starts it on files and ``watch`` notices that they were
saved. ``scene.eye`` is where it looks from and ``gaze`` takes the camera there. ``hud``, ``panels``, ``charts`` and
``closest`` are the flat layer; ``finding`` works things out beside it; ``beside`` shows a mistake next to the right
way, and ``on_paper`` its plane drawing, where the solids look alike.
"""
