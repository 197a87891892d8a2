"""What is shown. Built from sheet and findings; nothing here computes a figure."""
