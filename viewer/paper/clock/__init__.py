"""The ring clock on paper: where every gap stands, seen from above with the front up; rings in their grooves.

Read ``sheet`` first: it lays out a ``face`` and a ``table`` for all bores that share a plan (``plans``), ``alone`` one
bore so that it is read from two metres; ``grooves`` and ``section`` show which side of a ring is up.
"""
