"""Drawings for paper: the ring clock, sections to scale, and the page and lettering they share."""
