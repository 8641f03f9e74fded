"""Hearing inside a grammar. Pure: the network is a callable handed in."""
