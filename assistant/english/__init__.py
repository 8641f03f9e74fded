"""All English that the guide speaks, and the words by which its own questions are answered: by meaning, no rules.

A second language is a second such room. Whoever asks names what is meant and hands over names and amounts as spoken.
"""
