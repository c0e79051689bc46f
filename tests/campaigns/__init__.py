"""Campaigns against the program, as long as asked: each try is made from a seed, so that what it finds can be made again."""
