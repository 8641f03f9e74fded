"""The versions of the shop's store."""
