"""Work on the machine itself: describing, calibrating and drawing it, and what plates to buy."""
