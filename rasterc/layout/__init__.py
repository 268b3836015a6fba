"""Texts and fonts to a layout, and a layout to strokes."""
