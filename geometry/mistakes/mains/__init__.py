"""Main bearing caps put on wrong."""
