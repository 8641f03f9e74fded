"""One file per outside thing."""
