"""Programs of an office, written against clients that are generated from the description."""
