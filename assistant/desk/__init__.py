"""The shop's desk: what is done to a job without leading it, over any archive: close, forget, hand out, take in."""
