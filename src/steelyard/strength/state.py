"""Places in the state of a belief."""

from __future__ import annotations

FORM, CURVE, FAST, SLOW, CANDOUR, FIRST_LIFT = range(6)
"""The day's form, ln of the curve's scale relative to a lift's own, logit of the fast share, ln of the slow time
constant, candour, and from there on the ln fresh maximum of each lift."""
