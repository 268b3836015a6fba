"""Pictures and files of strokes."""
