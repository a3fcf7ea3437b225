"""Work on the machine itself: describing, calibrating, drawing it, and what plates to buy; all through `service`."""
