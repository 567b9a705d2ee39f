"""A booklet typed in part by part."""
