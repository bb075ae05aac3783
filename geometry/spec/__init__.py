"""What the builder writes: strict models, one file per part, and the way from a TOML file to them."""
