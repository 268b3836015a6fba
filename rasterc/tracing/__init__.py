"""From a printed text back to what printed it, and what two versions print differently.

Both look at whole years of minutes at once. Time is cut into cells in which every clock shows one
day and one shift runs (`timeline`); within a cell only the time of day goes on.
"""
