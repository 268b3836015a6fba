"""Do lots, serials and counters last, and are they told apart?"""
