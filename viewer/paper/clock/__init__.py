"""The ring clock on paper: where every gap stands, seen from above with the front up; rings in their grooves.

Read ``sheet`` first: it lays out a ``face`` for each bore as the banks lie, with ``grooves`` and ``section`` for
which side of a ring is up, and the ``legend``.
"""
