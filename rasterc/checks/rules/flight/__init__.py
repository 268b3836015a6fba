"""Do the drops land where the strokes want them?"""
