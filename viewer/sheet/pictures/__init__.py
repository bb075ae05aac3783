"""Pictures of the build sheet, drawn at their size on paper: black on white, told apart by line and hatch."""
