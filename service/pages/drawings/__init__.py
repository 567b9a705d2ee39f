"""The drawings of the pages: pure functions from figures to SVG text, with their text alternatives."""
