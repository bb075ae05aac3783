"""Rod bolts that stand out."""
