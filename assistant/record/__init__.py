"""Facts to the shop's record of a job and its documents."""
