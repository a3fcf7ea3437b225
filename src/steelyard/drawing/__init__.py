"""Our own drawings as SVG text: the beam, the stack, the rack, and the weekly spans."""
