"""What a print says to its reader: dates, the words that lead to them, elements of a code."""
