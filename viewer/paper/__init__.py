"""Drawings for paper: the ring clock, sections to scale, and the page and lettering they share.

``clock`` is the sheet for the wall, ``sections`` the close-ups that explain a mistake; both are vector drawings,
readable in black and white.
"""
