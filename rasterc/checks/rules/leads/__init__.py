"""Do the words say what the date is, in one language?"""
