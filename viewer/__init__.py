"""Everything that a person looks at: command line, scene, window, pictures, sheets."""
