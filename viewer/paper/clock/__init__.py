"""The ring clock on paper: where every gap stands, seen from above with the front up; rings in their grooves."""
