"""What learns the weights that the program carries, from sound and words; only a checkout of the sources has it."""
