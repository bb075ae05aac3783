"""Which piston, pin, rod, shells and rings go into which bore, so that every clearance is as near its middle as can be.

=========== ====================================================================================
columns     kinds of parts, and the columns that each may have
sheet       from the text of a parts file to parts, or to one clear line for everything wrong with it
fits        every clearance of every combination of parts, its limits, and who says them
costs       what a combination costs: the goal in numbers, and which combinations stay within limits
solve       the best of all assignments, proved: linear programme, reduced costs, mixed-integer solver
outcome     what goes where, with each clearance and its verdict; how level decks and how even weights are
blame       where nothing works: the smallest set of parts to blame, and what size would do
fragment    the tables to paste into the engine file
recorded    the outcome as entries of the build record
=========== ====================================================================================
"""
