"""From an outline to a session for this lifter, this machine, these plates and this day."""
