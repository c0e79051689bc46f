"""How it moves: one force model, asked where it rests and how it wants to move."""
