"""What books, papers and experiments say, and how the formulas compare: these cases come along with the program."""
