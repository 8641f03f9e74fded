"""Which fault, how sure, what to test next. Plain numbers in, plain numbers out."""
