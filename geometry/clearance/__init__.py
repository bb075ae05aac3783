"""The engine's side of clearance: which places can meet, against which limit, over the full turn, what to take off.

Read ``place`` and ``pairs`` first (what is held against what, with ``excuses`` for what is not and ``over_crown``
for valves over a crown), then ``full_turn``, which certifies them; ``limits`` and ``words`` are what is said of the
answer. ``inside`` is for measured solids; ``valve_rooms`` and ``relief`` ask the same search other questions,
``least`` the least change that restores a limit, ``nearness`` how near every point of a surface comes;
``named`` finds a pair by what a person calls it.
"""
