"""Looking back: what was done, what it says, and what comes next."""
