"""Collision of moving convex pieces, knowing no engine: signed distance, certified minimum over a period, swept volume.

Read ``mover`` (what everything here is asked about) and ``certify`` (the way in) first. From the ground up:
``support`` (support functions of the pieces), ``gjk`` (distance), ``epa`` and ``penetration`` (depth, with
``wide_sectors`` while sectors are wide), ``piece_pairs`` and ``nodes`` (many pairs of pieces in one table),
``broad_phase`` (what can never be near), ``branch_and_bound`` (the minimum over the period, with its proof, made
sharp by ``polish``), ``congruence`` (like problems solved once). Beside the search: ``distance_curve``;
``closest_approach`` on ``points``; ``overlap``; ``swept_volume`` on ``lathe`` and ``watertight``.
"""
