"""Can the characters be read?"""
