"""The head: timing of strokes on a moving product."""
