"""Sections, upright hydrostatics and cross curves from a hull given by formulas or ordinates."""
