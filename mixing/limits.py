"""What can be meant at the bench, in the air, on a data sheet: each range once (pure).

Field, action, request and formula read it here. Where no source is named, a range is
common practice: it catches a slip of the finger or another unit, nothing else.
"""

from __future__ import annotations

from shopapp.limits import Range

# One reading. Field, sheet and safety block took three different ranges once.
AIR_C = Range(low=-20.0, high=60.0, unit="degc")
"""A bay or a yard."""
PANEL_C = Range(low=-30.0, high=90.0, unit="degc")
"""A car comes in from a hard frost; black paint in the sun comes near the upper end.
What lies over it is another unit: 95 °F is a warm panel."""
RH_PCT = Range(low=1.0, high=100.0, unit="pct")
"""Air without any moisture has no dew point, and no hygrometer of a shop reads it: 0 is
one that is off. It ends at 100 % by definition."""
AIR_M_PER_S = Range(low=0.0, high=10.0, unit="m_per_s")
"""Over the panel; no page asks for it, only a request may hold it."""
