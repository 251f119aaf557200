"""What can be meant on the car's path: each range once (pure).

Field, action and formula read it here; readings of the bay stand in `mixing.limits`.
Where no source is named, a range is common practice: it catches a slip of the finger
or another unit, nothing else.
"""

from __future__ import annotations

from shopapp.limits import Range

PAINT_UM = Range(low=0.0, high=5000.0, unit="um")
"""Filler is thick; no gauge of a shop reads further."""
