"""Can dates be read in one way only?"""
