"""What if: the window between too soft and too stiff, and the sheet that puts a sizing together."""
