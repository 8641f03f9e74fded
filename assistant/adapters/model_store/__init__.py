"""The folder of speech models: what is wanted, what is there, how it gets there, whether it is still whole."""
