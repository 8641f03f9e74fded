"""The made-up technician and the demo."""
