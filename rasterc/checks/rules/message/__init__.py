"""Is the message kept to: what it requires, expects and silences?"""
