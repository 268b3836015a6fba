"""Are clocks and shifts right at every hour, on every day?"""
