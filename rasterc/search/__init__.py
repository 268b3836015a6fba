"""Looking over the messages of a plant: what is there, and what will happen to it."""
