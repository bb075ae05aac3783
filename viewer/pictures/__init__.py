"""Pictures to keep: stills, films, and a mistake beside the right way."""
