"""Jets and fits to measurements, in words and as a diagram."""
