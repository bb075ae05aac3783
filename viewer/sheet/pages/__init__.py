"""One file per kind of page: an engine and its answers to plain content."""
