"""Fonts shown: specimens and documents."""
