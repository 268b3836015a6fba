"""Does the date follow from the day of packing as it is meant to?"""
