"""What is bought or made: a force law, its limits and its strength."""
