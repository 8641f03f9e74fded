"""The deterministic conversation machine and the fold that rebuilds it."""
