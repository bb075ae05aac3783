"""The usual cautions, in one place, for every command, picture and sheet."""

SHORT = "Simplified solids: no picture or number here replaces a physical check of the real parts."
AS_ASSUMED = ", as assumed"
"""Behind a verdict that holds for the values as they are assumed, and perhaps for no others."""

LINES = (
    "Simplified solids: no number here replaces a physical check (clay, feeler gauge, dial indicator).",
    "The part makers' instructions, local codes and licensed practice come first.",
    "Turn the crank by hand only, plugs out, hands and tools clear; never force it: find out why it binds.",
    "Lift blocks and cranks with rated gear. Rod bolts: the maker's own torque, stretch and lubricant.",
    "First start: guards on, people clear, extinguisher at hand, oil pressure proved before running.",
)
