"""The engine's side of clearance: which places can meet, against which limit, over the full turn, what to take off."""
