"""Dot fonts: model, file formats, library and audit."""
