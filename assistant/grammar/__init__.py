"""What may be said, and the JSpeech Grammar Format."""
