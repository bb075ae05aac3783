"""Signed distance of moving parts: certified full-turn minimum, curve, closest-approach map, swept envelope."""
