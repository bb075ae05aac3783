"""What the builder writes: strict models, one file per part, and the way from a TOML file to them.

Read ``base`` and ``engine`` first. ``load`` is the way in; ``locate``, ``known`` and ``refusals`` make one clear
line of each thing that is wrong, ``clashes`` holds what parts may not be to one another.
"""
