"""What a procedure is, how it is read and checked."""
