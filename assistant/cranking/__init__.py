"""The sound of the starter, starter duty, paced actions."""
