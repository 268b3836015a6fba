"""Do elements and item numbers say what the rest of the code says?"""
