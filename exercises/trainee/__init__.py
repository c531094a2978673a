"""One trainee at work: practice, how far, what comes back, the concept check."""
