"""Drawings for paper: the ring clock, what a rod sweeps, templates at true size, and the page and lettering they share.

``clock`` is the sheet for the wall, ``sweep`` the section with all that rod, cap and bolts sweep, ``template`` what to
cut out; all are vector drawings.
"""
