"""Every kind of reading: each file of this folder holds some rows under ``KINDS``, and a new file is found by itself.

========== =====================================================================
bores      the bore's diameter, piston to wall
rings      gaps, grooves, which way up, where the gaps stand
bearings   oil clearance, shells, main caps, end play
ways       piston, rod and cap: which way round, on which bore
rod_bolts  torque or stretch, head on its seat
parts      which parts of the shelf were chosen for the bore
heights    rod side clearance, compression height, rod length, deck
turning    torque that turns the crank
========== =====================================================================
"""
