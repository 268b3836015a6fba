"""Does it hold to the rule sets that the profile chooses?"""
